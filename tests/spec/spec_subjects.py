"""Subjects for tests, from the plain tables of case files."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from asleft.files.value import to_value
from asleft.models import Model, Native, NativeChoice
from asleft.record import Asset, Feed, ParameterSet, Permit, Reading, Value
from asleft.spec import Rule, SpecFile, Subject, read_spec
from asleft.vocabulary import Vocabulary, slot_fields, vocabulary

CASES = Path(__file__).parent.parent / "cases" / "spec"
HEAD = (
    'format = 1\nname = "test"\ntitle = "Test"\nrevision = "1"\nowner = "R. Example"\napplication = "any"\n'
)
COMMON = {"text": "What is required.", "reason": "what a breach can do", "severity": "high", "source": "none"}
TODAY = date(2026, 9, 2)


def cases_of(path: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each case of a file by its name; what stands before the first is the same for all."""
    data = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    shared = {name: value for name, value in data.items() if name != "case"}
    for name, case in data["case"].items():
        yield f"{path.stem}: {name}", {**shared, **case}


def values_of(raw: Mapping[str, Any], known: Vocabulary, prefix: str = "") -> dict[str, Value]:
    """Plain values as the record holds them."""
    return {name: to_value(known[prefix + name], value) for name, value in raw.items()}


def model_of(lacks: list[str], fixed: Mapping[str, Any], behaviour: Mapping[str, str]) -> Model:
    """A drive with one native parameter a neutral key, save what it lacks or has fixed."""
    held = values_of(fixed, vocabulary())
    natives = {
        f"id of {key}": _native(f"id of {key}", key)
        for key in vocabulary()
        if key not in lacks and key not in held
    }
    why = dict.fromkeys(lacks, "the maker left it out")
    return Model("test", "Test drive", "", "", ("1", "1"), 0, behaviour, held, why, natives)


def _native(native_id: str, key: str) -> Native:
    parameter = vocabulary()[key]
    choices = {
        name: NativeChoice(name, choice.says, {key: name}) for name, choice in parameter.choices.items()
    }
    if parameter.is_number:
        low, high = parameter.low or Decimal(-100000), parameter.high or Decimal(100000)
        return Native(
            native_id, parameter.label, "1", "number", (key,), parameter.unit, low, high, Decimal("0.01")
        )
    form = "choice" if parameter.kind == "choice" else "text"
    return Native(native_id, parameter.label, "1", form, (key,), choices=choices if form == "choice" else {})


def subject_of(case: Mapping[str, Any], tag: str = "E1") -> Subject:
    """The drive of a case."""
    model = None
    if "lacks" in case or "fixed" in case or case.get("model"):
        model = model_of(case.get("lacks", []), case.get("fixed", {}), case.get("behaviour", {}))
    asset = Asset(
        tag,
        application=case.get("application", ""),
        specs=tuple(case.get("specs", [])),
        plate=values_of(case.get("plate", {}), slot_fields(), "plate."),
        machine=values_of(case.get("machine", {}), slot_fields(), "machine."),
        feeds=tuple(Feed(into) for into in case.get("feeds", [])),
        permits=tuple(Permit(*link) for link in case.get("permits", [])),
        alike=case.get("alike", ""),
    )
    found = ParameterSet(
        tag,
        model=case.get("model_name", ""),
        values=values_of(case.get("values", {}), vocabulary()),
        not_read=case.get("not_read", {}),
        reading=_reading(case.get("reading")),
    )
    facts = {
        name: str(value) if isinstance(value, str) else Decimal(value)
        for name, value in case.get("facts", {}).items()
    }
    return Subject(asset, found, model, facts, case.get("events", {}))


def _reading(raw: Mapping[str, Any] | None) -> Reading | None:
    if raw is None:
        return None
    day = raw.get("at", TODAY)
    at = datetime(day.year, day.month, day.day, 14, tzinfo=UTC)
    return Reading(raw.get("kind", "as_left"), at, "R. Example", "keypad", "service")


def others_of(case: Mapping[str, Any]) -> dict[str, Subject]:
    """The other drives of a case."""
    return {tag: subject_of(other, tag) for tag, other in case.get("others", {}).items()}


def spec_of(rules: Mapping[str, Mapping[str, Any]], application: str = "any") -> SpecFile:
    """A spec file of these rules, with the fields every rule needs."""
    import tomli_w

    tables = {"rule": {name: {**COMMON, **rule} for name, rule in rules.items()}}
    head = HEAD.replace('"any"', f'"{application}"')
    return read_spec((head + tomli_w.dumps(tables)).encode(), "test.toml")


def rule_of(raw: Mapping[str, Any]) -> Rule:
    """One rule, which must be sound."""
    return spec_of({"1": raw}).usable().rules[0]
