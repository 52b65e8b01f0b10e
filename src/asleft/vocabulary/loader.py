"""The group files as parameters, those that repeat numbered."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

from asleft.vocabulary.kept import kept
from asleft.vocabulary.parameter import Choice, Dormant, Group, Parameter, Vocabulary

DATA = Path(__file__).parent / "data"
GROUP_ORDER = (
    "drive", "supply", "motor", "tuned", "control", "limits", "skip_bands", "ramps", "start_stop", "stations",
    "reference", "digital_inputs", "analog_inputs", "outputs", "presets", "protection", "recovery", "braking",
    "process", "mechanical_brake", "comms", "access",
)  # fmt: skip
Row: TypeAlias = tuple[str, int | None, Mapping[str, Any]]
_NUMBERED = r"_n(?=[._])"


_FORM = 1
"""Number of the form in which rows are kept; a change of ``_shaped`` takes the next."""


@cache
def vocabulary() -> Vocabulary:
    """The whole vocabulary, parsed at most once a process. Shape: about 300 numbered keys of 259 rows."""
    groups, rows = kept(DATA, GROUP_ORDER, _shaped, _FORM)
    return Vocabulary(tuple(Group(*group) for group in groups), rows, _parameter)


def _shaped(contents: Mapping[str, Any]) -> tuple[list[tuple[str, str, str]], dict[str, Row]]:
    groups = [(name, held["group"]["title"], held["group"]["meaning"]) for name, held in contents.items()]
    rows: dict[str, Row] = {}
    for held in contents.values():
        rows.update(_in_order(held["parameter"]))
    return groups, rows


@cache
def slot_fields() -> Vocabulary:
    """Fields of a slot beside the drive's own: ``plate.…`` and ``machine.…``."""
    content = contents(("slot",))["slot"]
    head = content["group"]
    common = {"class": "slot", "locked_running": False, "risk": "medium"}
    rows: dict[str, Row] = {
        key: (key, None, {**common, **data}) for key, data in content["parameter"].items()
    }
    return Vocabulary((Group("slot", head["title"], head["meaning"]),), rows, _parameter)


def contents(names: tuple[str, ...]) -> dict[str, Any]:
    """Data files of this room by name, as parsed."""
    found: dict[str, Any] = kept(DATA, names)
    return found


def _in_order(rows: Mapping[str, Any]) -> Iterator[tuple[str, Row]]:
    """Rows one after another; rows that repeat by the same numbers and stand together, number by number."""
    waiting: list[tuple[str, Any]] = []
    for row, data in rows.items():
        if waiting and not _together(waiting[-1], (row, data)):
            yield from _numbered(waiting)
            waiting = []
        waiting.append((row, data))
    yield from _numbered(waiting)


def _together(one: tuple[str, Any], other: tuple[str, Any]) -> bool:
    stem_one, stem_other = (re.split(_NUMBERED, row)[0] for row, _ in (one, other))
    return (
        "numbers" in one[1]
        and one[1]["numbers"] == other[1].get("numbers")
        and stem_one == stem_other
        and all("." in re.split(_NUMBERED, row)[1] for row, _ in (one, other))
    )


def _numbered(rows: list[tuple[str, Any]]) -> Iterator[tuple[str, Row]]:
    for number in rows[0][1].get("numbers", [None]):
        for row, data in rows:
            yield (row if number is None else re.sub(_NUMBERED, f"_{number}", row)), (row, number, data)


def _parameter(key: str, row: str, number: int | None, data: Mapping[str, Any]) -> Parameter:
    get = data.get
    return Parameter(
        key=key,
        row=row,
        number=number,
        label=data["label"] if number is None else data["label"].replace("{n}", str(number)),
        kind=data["type"],
        unit=get("unit", ""),
        low=_decimal(get("low")),
        high=_decimal(get("high")),
        step=_decimal(get("step")),
        at_least=_number_in(get("at_least", ""), number),
        at_most=_number_in(get("at_most", ""), number),
        class_=data["class"],
        locked_running=data["locked_running"],
        risk=data["risk"],
        risk_because=get("risk_because", ""),
        common=get("common", True),
        meaning=data["meaning"],
        raised=get("raised", ""),
        lowered=get("lowered", ""),
        up=get("up", ""),
        down=get("down", ""),
        usual=get("usual", ""),
        choices={name: Choice(name, c["says"], c["means"]) for name, c in get("choices", {}).items()},
        changes=get("changes", {}),
        together=tuple(_number_in(key, number) for key in get("together", ())),
        dormant=tuple(
            Dormant(_number_in(rule["key"], number), tuple(rule["is"])) for rule in get("dormant", ())
        ),
        standard=get("standard", ""),
        source=get("source", ""),
    )


def _number_in(key: str, number: int | None) -> str:
    return key if number is None or "_n" not in key else re.sub(_NUMBERED, f"_{number}", key)


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
