"""The cases of explained changes and their golden texts.

``python tests/explain/explain_cases.py`` writes the golden files anew; read every line before keeping it.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from asleft.compare import Side, compare
from asleft.explain import Explained, explain
from asleft.explain.facts import Fact
from asleft.files.assets import read_asset
from asleft.files.sets import read_set
from asleft.record import Asset, Value
from asleft.record.values import shown
from asleft.vocabulary import Parameter, slot_fields, vocabulary

TESTS = Path(__file__).parents[1]
CASES = TESTS / "cases" / "explain"
GOLDEN = TESTS / "golden" / "explain"
FILES = ("usual", "untuned", "together")


@dataclass(frozen=True)
class Machine:
    """A drive in its slot, and the slots it may ask for."""

    side: Side
    asset: Asset

    def changed(self, values: dict[str, Value]) -> Side:
        """The same drive with some settings changed."""
        return Side(self.side.set.with_values(values))


@dataclass(frozen=True)
class Case:
    """Settings changed on one machine, in words; ``first`` are settings it starts from."""

    name: str
    about: str
    machine: str
    changes: dict[str, Value]
    first: dict[str, Value]


@cache
def machines() -> dict[str, Machine]:
    """Every machine by name."""
    content = tomllib.loads((CASES / "machines.toml").read_text(encoding="utf-8"))
    return {name: _machine(row) for name, row in content.items()}


def others(tag: str) -> Asset | None:
    """A slot by its tag, as a site would find it."""
    return next((one.asset for one in machines().values() if one.asset.tag == tag), None)


def _machine(row: dict[str, Any]) -> Machine:
    base = CASES / "bases" / row["like"]
    parameters = read_set(base.with_suffix(".set.toml").read_bytes(), row["like"])
    asset = read_asset(base.with_suffix(".slot.toml").read_bytes(), row["like"])
    if "tag" in row:
        asset = replace(asset, tag=row["tag"], feeds=(), permits=(), machine={})
    plate = {name: slot_value(f"plate.{name}", text) for name, text in row.get("plate", {}).items()}
    machine = {name: slot_value(f"machine.{name}", text) for name, text in row.get("machine", {}).items()}
    values = {key: typed(vocabulary()[key], text) for key, text in row.get("values", {}).items()}
    asset = replace(
        asset,
        designation=row.get("designation", asset.designation),
        application=row.get("application", asset.application),
        plate={**asset.plate, **plate},
        machine={**asset.machine, **machine},
    )
    return Machine(Side(parameters.with_values(values)), asset)


def slot_value(field: str, text: str) -> Value:
    """A field of a slot from its text."""
    return typed(slot_fields()[field], text)


def typed(parameter: Parameter, given: Any) -> Value:
    """A value in memory from a case file's text or list."""
    if isinstance(given, list):
        return tuple(given)
    return Decimal(given) if parameter.is_number else str(given)


def cases(file: str) -> tuple[Case, ...]:
    """The cases of one file."""
    content = tomllib.loads((CASES / f"{file}.toml").read_text(encoding="utf-8"))
    return tuple(
        Case(name, row["about"], row["machine"], _values(row["set"]), _values(row.get("first", {})))
        for name, row in content.items()
    )


def _values(row: dict[str, Any]) -> dict[str, Value]:
    return {key: typed(vocabulary()[key], given) for key, given in row.items()}


def sides(case: Case) -> tuple[Side, Side, Asset]:
    """Before, after, and the slot."""
    machine = machines()[case.machine]
    before = Side(machine.side.set.with_values(case.first)) if case.first else machine.side
    return before, Side(before.set.with_values(case.changes)), machine.asset


def told(case: Case) -> tuple[Explained, ...]:
    """The changes of a case, explained."""
    before, after, asset = sides(case)
    return explain(compare(before, after), before, after, asset, others)


def text_of(case: Case) -> str:
    """A case as a golden file shows it: lines for a reader, then every fact with its basis."""
    machine = machines()[case.machine]
    lines = [f"# {case.name}: {case.about}", f"# {machine.asset.tag}, {machine.asset.designation}"]
    for one in told(case):
        lines.append(one.words)
        lines += [f"    {line}" for line in one.effects]
        more = [fact for fact in one.facts if not any(line.startswith(fact.words) for line in one.effects)]
        lines += [f"    + {fact.words}" for fact in more]
        lines += [f"    = {_value(fact)}" for fact in one.facts if fact.value is not None]
    return "\n".join(lines) + "\n"


def _value(fact: Fact) -> str:
    sources = ", ".join(dict.fromkeys(given.source for given in fact.basis))
    return f"{fact.name} {shown(Decimal(repr(fact.value)), fact.unit)} by {sources}"


def golden(file: str) -> str:
    """The whole golden text of one case file."""
    return "\n".join(text_of(case) for case in cases(file))


def write() -> None:
    """Write every golden file anew."""
    GOLDEN.mkdir(parents=True, exist_ok=True)
    for file in FILES:
        (GOLDEN / f"{file}.txt").write_text(golden(file), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write()
