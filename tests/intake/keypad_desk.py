"""A guide over the demo's bucket elevator E1, with its newest as-left as the last reading."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from tests.models.demo_models import DEMO, model_of

from asleft.files.assets import read_asset
from asleft.intake import take
from asleft.intake.keypad import PLANNING, READING, Answer, Guide, Row, enterable, rows_of
from asleft.models import Model
from asleft.record import ParameterSet

CASES = Path(__file__).parents[1] / "cases" / "keypad"
MODEL = "merrow-m4-15k"


def cases(name: str, table: str) -> list[dict[str, Any]]:
    """The cases of a file, each checked by hand."""
    return list(tomllib.loads((CASES / f"{name}.toml").read_text(encoding="utf-8"))[table])


@cache
def model() -> Model:
    return model_of(MODEL)


@cache
def last() -> ParameterSet:
    content = (DEMO / "readings" / "2026-09-02" / "E1-left.toml").read_bytes()
    return take(content, "E1-left.toml", model()).set


@cache
def rows(recorded: bool = True) -> tuple[Row, ...]:
    """The entries; without a last reading, a drive read for the first time."""
    asset = read_asset((DEMO / "assets" / "E1" / "asset.toml").read_bytes(), "asset.toml")
    return rows_of(model(), last() if recorded else None, asset.plate)


def guide(purpose: str = "reading", recorded: bool = True, answers: tuple[Answer, ...] = ()) -> Guide:
    if purpose == "planning":
        return Guide(model(), enterable(model(), last()), PLANNING, answers)
    return Guide(model(), rows(recorded), READING, answers)


def said(answer: Answer | None) -> str:
    """An answer as the cases write it: how and value, or the reason."""
    if answer is None:
        return "open"
    return f"{answer.how} {answer.value if answer.is_read else answer.reason}"
