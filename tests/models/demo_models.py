"""The demo's two model files, whole or with one thing changed."""

import re
from functools import cache
from pathlib import Path

from asleft.models import Model, ModelFile, read_model

HOUSE = Path(__file__).parents[2]
DEMO = HOUSE / "fixtures" / "demo"
CASES = HOUSE / "tests" / "cases" / "models"
FAMILIES = ("merrow-m4", "skarn-k")


@cache
def text_of(family: str) -> str:
    return (DEMO / "models" / f"{family}.toml").read_text(encoding="utf-8")


@cache
def file_of(family: str) -> ModelFile:
    return read_model(text_of(family).encode(), f"{family}.toml")


@cache
def model_of(name: str) -> Model:
    """A full model name, as a set gives it."""
    family = next(family for family in FAMILIES if name.startswith(family))
    return file_of(family).size(name.removeprefix(f"{family}-"))


def planted(family: str, table: str, was: str, now: str) -> str:
    """The file with ``was``, which stands once in ``table``, replaced; with no ``was``, ``now`` is added."""
    text = text_of(family)
    start = text.index(f"[{table}]\n")
    next_table = re.search(r"\n\n\[", text[start:])
    end = start + next_table.start() if next_table else len(text)
    block = text[start:end]
    if not was:
        return text[:start] + block.replace("]\n", f"]\n{now}\n", 1) + text[end:]
    assert block.count(was) == 1, f"{was!r} stands {block.count(was)} times in [{table}]"
    return text[:start] + block.replace(was, now) + text[end:]
