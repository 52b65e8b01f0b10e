"""Temporary changes: announced with an end, and whether they stand in the drive yet, still, or no more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from asleft.jobs.record import Record, Recorded
from asleft.record import same_value
from asleft.vocabulary import vocabulary

State = Literal["announced", "standing", "undone"]
LEFT_OVER = "replacement"
"""The occasion of a plan that is to be carried out by its day; every other one ends by it."""


@dataclass(frozen=True, slots=True)
class Temporary:
    """One temporary change, of the newest plan of an asset.

    ``announced``: no reading since, so whether it was made cannot be told. ``standing``: the newest reading
    holds at least one of its values, those of ``keys``. ``undone``: it holds none of them. ``overdue`` counts
    the days since its last day; 0 while it runs and once it is undone.

    ``left_over``: a replaced unit was left otherwise than planned until that day. What is temporary then is
    that it stands otherwise: ``standing`` are the settings that do not hold the plan yet.
    """

    asset: str
    plan: Recorded
    until: date
    state: State
    keys: tuple[str, ...]
    overdue: int
    left_over: bool = False


def temporary(record: Record, tags: Iterable[str], on: date) -> tuple[Temporary, ...]:
    """The temporary changes of some assets, the longest overdue first."""
    found = [one for tag in tags for one in _of(record, tag, on)]
    return tuple(sorted(found, key=lambda one: (-one.overdue, one.until, one.asset)))


def _of(record: Record, tag: str, on: date) -> Iterable[Temporary]:
    plans = record.series(tag, "planned")
    if not plans or not plans[-1].reading.until:
        return
    plan = plans[-1]
    readings = [one for one in record.readings(tag) if one.reading.kind != "planned"]
    before = [one for one in readings if one.rank < plan.rank]
    since = [one for one in readings if one.rank > plan.rank]
    keys = changed_keys(plan, before[-1] if before else None)
    until = date.fromisoformat(plan.reading.until)
    left_over = plan.reading.occasion == LEFT_OVER
    standing = keys
    if since:
        standing = _missing(plan, since[-1]) if left_over else _standing(plan, since[-1], keys)
    state: State = "announced" if not since else "standing" if standing else "undone"
    over = 0 if state == "undone" else max((on - until).days, 0)
    yield Temporary(tag, plan, until, state, standing, over, left_over)


def changed_keys(plan: Recorded, before: Recorded | None) -> tuple[str, ...]:
    """The settings a plan changes of the reading before it; all of them where there is none."""
    old = before.set.values if before else {}
    return tuple(
        key
        for key, value in plan.set.values.items()
        if vocabulary()[key].class_ in ("setting", "address")
        and not (key in old and same_value(old[key], value))
    )


def _standing(plan: Recorded, newest: Recorded, keys: Iterable[str]) -> tuple[str, ...]:
    """Those of the keys that stand as planned; what was not read may stand so still."""
    values = newest.set.values
    return tuple(
        key
        for key in keys
        if key in newest.set.not_read or (key in values and same_value(values[key], plan.set.values[key]))
    )


def _missing(plan: Recorded, newest: Recorded) -> tuple[str, ...]:
    """The settings that do not stand as planned; one that was not read may not either."""
    return changed_keys(plan, newest)


def words(one: Temporary) -> str:
    """Where it stands, in one sentence."""
    if one.left_over:
        return _left_over_words(one)
    number = f"{len(one.keys)} setting{'s' if len(one.keys) != 1 else ''}"
    stands = "stands" if len(one.keys) == 1 else "stand"
    says = {
        "announced": f"no reading since; whether {number} of it {stands} in the drive cannot be told",
        "standing": f"{number} of it still {stands} in the newest reading",
        "undone": "the newest reading holds none of it any more",
    }[one.state]
    if one.overdue:
        days = "1 day" if one.overdue == 1 else f"{one.overdue} days"
        return f"OVERDUE by {days}: {says}. Undo it, or plan it anew with a later day."
    return says[0].upper() + says[1:] + "."


def _left_over_words(one: Temporary) -> str:
    number = f"{len(one.keys)} setting{'s' if len(one.keys) != 1 else ''} left over from the replacement"
    says = {
        "announced": "no reading since the unit was left with a part of its list; make the rest and read it",
        "standing": f"{number} still {'waits' if len(one.keys) == 1 else 'wait'}",
        "undone": "the newest reading holds all that was left over from the replacement",
    }[one.state]
    if one.overdue:
        days = "1 day" if one.overdue == 1 else f"{one.overdue} days"
        return f"OVERDUE by {days}: {says}. See what to enter: asleft plan {one.asset}"
    return says[0].upper() + says[1:] + "."
