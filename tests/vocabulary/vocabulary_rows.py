"""The vocabulary's rows as the data files have them, before the loader numbers them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cache
from typing import Any

from asleft.vocabulary.loader import DATA, GROUP_ORDER

SENTENCE_LIMIT = 120
UNFIT = re.compile(r"[^\x20-\x7e°µ·³²±–−]|\s{2}|\s[.,;:]|[.,;:]{2}|\bnan\b|^\s|\s$")
SENTENCE_END = re.compile(r"(?<=\.)\s+(?=[A-Z0-9])")


@cache
def rows() -> dict[str, dict[str, Any]]:
    """Each row of the data as written, by its key before numbering."""
    found: dict[str, dict[str, Any]] = {}
    for name in GROUP_ORDER:
        found.update(content(name)["parameter"])
    return found


@cache
def content(name: str) -> dict[str, Any]:
    return tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"))


def of_type(*kinds: str) -> Iterator[tuple[str, dict[str, Any]]]:
    return ((row, data) for row, data in rows().items() if data["type"] in kinds)


def sentences_of(data: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Everything in a row that stands as full sentences, with the name of its place."""
    for field in ("meaning", "risk_because", "raised", "lowered"):
        if field in data:
            yield field, data[field]
    for name, choice in data.get("choices", {}).items():
        yield f"choices.{name}", choice["means"]
    for pattern, sentence in data.get("changes", {}).items():
        yield f"changes.{pattern}", sentence


def phrases_of(data: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Everything in a row that a person reads."""
    yield from sentences_of(data)
    yield "label", data["label"].replace("{n}", "1")
    yield "usual", data.get("usual", "")
    for name, choice in data.get("choices", {}).items():
        yield f"says.{name}", choice["says"]


def bad_sentence(text: str) -> str:
    """What is wrong with a text of full sentences; empty if nothing is."""
    parts = SENTENCE_END.split(text)
    if not text.endswith(".") or text.endswith(".."):
        return "no full stop"
    if len(parts) > 2 or any(len(part) > SENTENCE_LIMIT for part in parts):
        return "too long"
    if not all(part[0].isupper() or part[0].isdigit() for part in parts):
        return "small first letter"
    return "stray characters" if UNFIT.search(text) else ""
