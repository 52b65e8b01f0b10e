"""Reads the group files once and keeps what was read beside them, as Python keeps compiled modules."""

from __future__ import annotations

import marshal
import re
import sys
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache
from importlib.util import source_hash
from pathlib import Path
from typing import Any, TypeAlias

from asleft.vocabulary.parameter import Choice, Dormant, Group, Parameter, Vocabulary

DATA = Path(__file__).parent / "data"
GROUP_ORDER = (
    "drive", "supply", "motor", "tuned", "control", "limits", "skip_bands", "ramps", "start_stop", "stations",
    "reference", "digital_inputs", "analog_inputs", "outputs", "presets", "protection", "recovery", "braking",
    "process", "mechanical_brake", "comms", "access",
)  # fmt: skip
Row: TypeAlias = tuple[str, int | None, Mapping[str, Any]]
_NUMBERED = re.compile(r"_n(?=[._])")


@cache
def vocabulary() -> Vocabulary:
    """The whole vocabulary, parsed at most once a process. Shape: about 300 numbered keys of 259 rows."""
    groups: list[Group] = []
    rows: dict[str, Row] = {}
    for name, content in contents().items():
        head = content["group"]
        groups.append(Group(name, head["title"], head["meaning"]))
        rows.update(_in_order(content["parameter"]))
    return Vocabulary(tuple(groups), rows, _parameter)


@cache
def slot_fields() -> Vocabulary:
    """Fields of a slot beside the drive's own: ``plate.…`` and ``machine.…``."""
    content = _parsed("slot")
    head = content["group"]
    common = {"class": "slot", "locked_running": False, "risk": "medium"}
    rows: dict[str, Row] = {
        key: (key, None, {**common, **data}) for key, data in content["parameter"].items()
    }
    return Vocabulary((Group("slot", head["title"], head["meaning"]),), rows, _parameter)


def _parsed(name: str) -> dict[str, Any]:
    return contents((name,))[name]  # type: ignore[no-any-return]


def contents(names: tuple[str, ...] = GROUP_ORDER) -> dict[str, Any]:
    sources = {name: (DATA / f"{name}.toml").read_bytes() for name in names}
    digest = source_hash(b"\0".join(sources.values())).hex()
    kept = DATA / "__pycache__" / f"{names[0]}.{sys.implementation.cache_tag}.{digest}.bin"
    try:
        found: dict[str, Any] = marshal.loads(kept.read_bytes())
        return found
    except (OSError, ValueError, EOFError, TypeError):
        return _parse_and_keep(sources, kept)


def _parse_and_keep(sources: Mapping[str, bytes], kept: Path) -> dict[str, Any]:
    import tomllib

    parsed = {name: tomllib.loads(text.decode("utf-8")) for name, text in sources.items()}
    try:
        kept.parent.mkdir(exist_ok=True)
        fresh = kept.with_suffix(f".{id(parsed)}.new")
        fresh.write_bytes(marshal.dumps(parsed))
        fresh.replace(kept)
    except OSError:
        pass  # an installation nobody may write to parses each time
    return parsed


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
    stem_one, stem_other = (_NUMBERED.split(row)[0] for row, _ in (one, other))
    return (
        "numbers" in one[1]
        and one[1]["numbers"] == other[1].get("numbers")
        and stem_one == stem_other
        and all("." in _NUMBERED.split(row)[1] for row, _ in (one, other))
    )


def _numbered(rows: list[tuple[str, Any]]) -> Iterator[tuple[str, Row]]:
    for number in rows[0][1].get("numbers", [None]):
        for row, data in rows:
            yield (row if number is None else _NUMBERED.sub(f"_{number}", row)), (row, number, data)


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
    return key if number is None else _NUMBERED.sub(f"_{number}", key)


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
