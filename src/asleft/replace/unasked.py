"""What stands in the unit and the record says nothing of: nobody asked for it, and it acts."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from asleft.compare import Side
from asleft.models.model import Model
from asleft.models.translate import displayed_words
from asleft.record import Value
from asleft.replace.translate import NOTHING
from asleft.vocabulary import Parameter, vocabulary


@dataclass(frozen=True, slots=True)
class Unasked:
    """A setting of the unit with no counterpart in the record, as it will stand. ``factory``: at the value it
    left the factory with. ``why`` says why the record is silent."""

    key: str
    value: Value
    native: str
    menu: str
    shows: str
    factory: bool
    why: str


def unasked(
    wanted: Side, unit: Model, result: Mapping[str, Value], shown: Mapping[str, str], asked: Collection[str]
) -> tuple[Unasked, ...]:
    """Settings in ``result`` beyond those ``asked`` for, left out where off, zero or asleep. ``shown`` is
    what the unit displays then."""
    return tuple(_found(wanted, unit, result, shown, asked))


def _found(
    wanted: Side, unit: Model, result: Mapping[str, Value], shown: Mapping[str, str], asked: Collection[str]
) -> Iterator[Unasked]:
    for native in unit.natives.values():
        keys = [key for key in native.keys if key in result and key not in asked]
        if native.read_only or native.secret or native.id not in shown or not keys:
            continue
        for key in keys[:1]:
            parameter = vocabulary()[key]
            if parameter.class_ == "setting" and _acts(parameter, result):
                text = shown[native.id]
                yield Unasked(
                    key,
                    result[key],
                    native.id,
                    native.menu,
                    displayed_words(native, text),
                    text == native.factory,
                    wanted.why(key),
                )


def _acts(parameter: Parameter, values: Mapping[str, Value]) -> bool:
    value = values[parameter.key]
    if value in NOTHING or value == () or value == 0:
        return False
    return not any(values.get(rule.key) in rule.values for rule in parameter.dormant)
