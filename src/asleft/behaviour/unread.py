"""Entries that were not read, tried at every choice: where the outcome hangs on one, the answer is open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from asleft.behaviour.drive import Drive
from asleft.record import Value
from asleft.vocabulary import vocabulary

LOOK = 6_000
"""Product states looked at for each choice tried."""


@dataclass(frozen=True, slots=True)
class CannotTell:
    """An entry that was not read and that decides behaviour; ``words`` says what hangs on it."""

    key: str
    choices: tuple[str, ...]
    words: str


def tried_at_every_choice(a: Drive, b: Drive, step_hz: Fraction) -> tuple[CannotTell, ...]:
    """The unread entries of either drive on which it hangs whether the two behave alike."""
    open_ones = (_tried(a, b, key, step_hz) for key in sorted(unread_that_count(a) | unread_that_count(b)))
    return tuple(found for found in open_ones if found is not None)


def unread_that_count(drive: Drive) -> set[str]:
    """The unread entries that change this drive, at one value or another."""
    return {key for key in drive.settings.unread if key not in drive.values and _counts(drive, key)}


def _counts(drive: Drive, key: str) -> bool:
    if _dormant(drive, key):
        return False
    configs = [with_value(drive, key, value).config for value in values_of(key)]
    return not configs or any(c != drive.config for c in configs)


def _dormant(drive: Drive, key: str) -> bool:
    """Whether another entry of the set puts this one out of use."""
    row = vocabulary().get(key)
    return row is not None and any(drive.values.get(d.key) in d.values for d in row.dormant)


def values_of(key: str) -> tuple[Value, ...]:
    """Every choice of a key; none where it is a number or a text, whose values cannot all be tried."""
    row = vocabulary().get(key)
    return () if row is None or row.kind != "choice" else tuple(row.choices)


def with_value(drive: Drive, key: str, value: Value) -> Drive:
    """The drive with one more value."""
    return drive.with_values({**drive.values, key: value})


def _tried(a: Drive, b: Drive, key: str, step_hz: Fraction) -> CannotTell | None:
    values = values_of(key)
    if not values:
        return CannotTell(key, (), f"{key} was not read, and it decides behaviour")
    differing = [value for value, apart in _apart(a, b, key, values, step_hz) if apart]
    if not differing:
        return None
    words = ", ".join(str(v).replace("_", " ") for v in differing)
    return CannotTell(
        key, tuple(str(v) for v in differing), f"{key} was not read; behaviour differs if it is {words}"
    )


def _apart(
    a: Drive, b: Drive, key: str, values: tuple[Value, ...], step_hz: Fraction
) -> Iterator[tuple[Value, bool]]:
    """Each choice with whether it makes a difference of its own, on the side where it was not read."""
    from asleft.behaviour.equivalence import walk_over
    from asleft.behaviour.search import Budget, first_difference, settled_search

    side = a if key not in a.values and key in a.not_read else b
    known = (b if side is a else a).values.get(key)
    reference = with_value(side, key, known if known is not None else values[0])
    tried = [(reference.config, False)]
    table = None
    for value in values:
        drive = with_value(side, key, value)
        apart = next((told for config, told in tried if config == drive.config), None)
        if apart is None:
            walk = walk_over(reference, drive, step_hz, table)
            settled_search(walk, Budget(LOOK, 0), first_difference)
            table, apart = walk.a, bool(walk.found)
            tried.append((drive.config, apart))
        yield value, apart
