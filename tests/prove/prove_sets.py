"""Sheets of the demo's sets and of small ones."""

from __future__ import annotations

import os
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from asleft.jobs.naming import Inputs
from asleft.jobs.record import Record
from asleft.prove.making import drive_of, make_sheet
from asleft.prove.sheet import Sheet, Step
from asleft.record import Value
from asleft.store import Git, find

CASES = Path(__file__).parents[1] / "cases" / "prove"


def load(name: str) -> dict[str, Any]:
    return tomllib.loads((CASES / f"{name}.toml").read_text(encoding="utf-8"), parse_float=Decimal)


def inputs_of(site: Path) -> Inputs:
    return Inputs(Record(find(site, Git(dict(os.environ)))), lambda: b"", site)


def value_of(raw: Any) -> Value:
    return Decimal(raw) if isinstance(raw, (int, Decimal)) else str(raw)


def values_of(case: dict[str, Any], base: dict[str, Any]) -> dict[str, Value]:
    merged = {**base, **case["set"]}
    return {key: value_of(raw) for key, raw in merged.items() if raw != "absent"}


def small_sheet(case: dict[str, Any], base: dict[str, Any]) -> Sheet:
    not_read = dict.fromkeys(case.get("not_read", []), "not shown")
    return make_sheet(drive_of(values_of(case, base), {}, not_read))


def said(step: Step) -> str:
    return f"cannot: {step.cannot}" if step.cannot else step.predicted
