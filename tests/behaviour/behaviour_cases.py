"""Reads the case files of the simulated drive."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from asleft.record import Value

FOLDER = Path(__file__).parent.parent / "cases" / "behaviour"


@dataclass(frozen=True)
class Case:
    """A set, a model's options, and lines; ``result`` is what carrying them out gives."""

    file: str
    name: str
    values: Mapping[str, Value]
    options: Mapping[str, str]
    lines: tuple[str, ...]
    result: str


def value_of(raw: Any) -> Value:
    """A TOML value as a set holds it."""
    if isinstance(raw, list):
        return tuple(str(item) for item in raw)
    return Decimal(raw) if isinstance(raw, (int, Decimal)) else str(raw)


def values_of(table: Mapping[str, Any]) -> dict[str, Value]:
    """A table of a case file as a set holds it; a value "absent" takes the key away."""
    return {key: value_of(raw) for key, raw in table.items() if raw != "absent"}


def load(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


BASE = load(FOLDER / "base.toml")
BASE_SET = values_of(BASE["set"])


def _read() -> list[Case]:
    cases = []
    for path in sorted(FOLDER.glob("*.toml")):
        for row in load(path).get("case", []):
            before = BASE["before"][row["after"]] if "after" in row else []
            cases.append(
                Case(
                    file=path.stem,
                    name=row["name"],
                    values=values_of({**BASE["set"], **row.get("set", {})}),
                    options=row.get("options", {}),
                    lines=(*before, *row["lines"]),
                    result=row.get("result", "met"),
                )
            )
    return cases


CASES = _read()
