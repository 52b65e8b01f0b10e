"""Temporary changes: announced with an end, and whether they stand in the drive yet, still, or no more."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from asleft.jobs.record import Record, Recorded
from asleft.record import Value, same_value
from asleft.record.days import plain_date
from asleft.vocabulary import vocabulary

State = Literal["announced", "standing", "undone"]
LEFT_OVER = "replacement"
"""The occasion of a plan that is to be carried out by its day; every other one ends by it."""


@dataclass(frozen=True, slots=True)
class Temporary:
    """One temporary change: a plan of an asset with an end, the newest one or one that is still open.

    ``announced``: no reading since, so whether it was made cannot be told. ``standing``: the newest reading
    holds at least one of its values, those of ``keys``. ``undone``: it holds none of them. ``overdue`` counts
    the days since its last day; 0 while it runs and once it is undone.

    ``left_over``: a replaced unit was left otherwise than planned until that day. What is temporary then is
    that it stands otherwise: ``standing`` are the settings that do not hold the plan yet. ``earlier``: a
    later plan was made since.
    """

    asset: str
    plan: Recorded
    until: date
    state: State
    keys: tuple[str, ...]
    overdue: int
    left_over: bool = False
    earlier: bool = False


def temporary(record: Record, tags: Iterable[str], on: date) -> tuple[Temporary, ...]:
    """The temporary changes of some assets, the longest overdue first."""
    found = [one for tag in tags for one in _of(record, tag, on)]
    return tuple(sorted(found, key=lambda one: (-one.overdue, one.until, one.asset)))


def _of(record: Record, tag: str, on: date) -> Iterable[Temporary]:
    plans = record.series(tag, "planned")
    readings = [one for one in record.readings(tag) if one.reading.kind != "planned"]
    own = _own_keys(plans, readings)
    for place, plan in enumerate(plans):
        if plan.reading.until:
            later = [(one, own[place + 1 + n]) for n, one in enumerate(plans[place + 1 :])]
            since = [one for one in readings if one.rank > plan.rank]
            found = _judged(tag, plan, _kept(plan, own[place], later), since, on)
            if not later:
                yield found
            elif found.state != "undone":
                yield replace(found, earlier=True)


def _own_keys(plans: Sequence[Recorded], readings: Sequence[Recorded]) -> list[tuple[str, ...]]:
    """The settings of each plan; one that changes nothing announces anew what earlier ones planned alike."""
    found: list[tuple[str, ...]] = []
    for place, plan in enumerate(plans):
        keys = changed_keys(plan, _last_before(plan, readings))
        if not keys:
            values = plan.set.values
            earlier = [(key, plans[n]) for n in range(place) for key in found[n]]
            keys = tuple(dict.fromkeys(key for key, one in earlier if _holds(values, key, one.set.values)))
        found.append(keys)
    return found


def _last_before(plan: Recorded, readings: Sequence[Recorded]) -> Recorded | None:
    before = [one for one in readings if one.rank < plan.rank]
    return before[-1] if before else None


def _kept(
    plan: Recorded, keys: Sequence[str], later: Sequence[tuple[Recorded, Sequence[str]]]
) -> tuple[str, ...] | None:
    """The keys a plan still stands for: a later one takes over those it plans alike. None where a later list
    takes the place of one that was left over."""
    if plan.reading.occasion == LEFT_OVER:
        return None if any(one.reading.occasion == LEFT_OVER for one, _ in later) else tuple(keys)
    values = plan.set.values
    for one, own in later:
        alike = {key for key in own if _holds(one.set.values, key, values)}
        keys = [key for key in keys if key not in alike]
    return tuple(keys)


def _judged(
    tag: str, plan: Recorded, keys: tuple[str, ...] | None, since: Sequence[Recorded], on: date
) -> Temporary:
    until = date.fromisoformat(plan.reading.until)
    left_over = plan.reading.occasion == LEFT_OVER
    standing: tuple[str, ...] = keys or ()
    if since and keys is not None:
        standing = _waits(plan, since) if left_over else _stands(plan, keys, since, until)
    state: State = "standing" if standing else "undone"
    if not since and keys:
        state = "announced"
    over = 0 if state == "undone" else max((on - until).days, 0)
    return Temporary(tag, plan, until, state, standing, over, left_over)


def _waits(plan: Recorded, since: Sequence[Recorded]) -> tuple[str, ...]:
    """What of a list left over still waits; nothing once a reading held all of it."""
    missing: tuple[str, ...] = ()
    for one in since:
        missing = _missing(plan, one)
        if not missing:
            break
    return missing


def _stands(plan: Recorded, keys: Sequence[str], since: Sequence[Recorded], until: date) -> tuple[str, ...]:
    """What of a plan stands in the newest reading. It is over for good once a reading that came after it
    had stood, or after its last day, held none of it."""
    stood, standing = False, tuple[str, ...]()
    for one in since:
        standing = _standing(plan, one, keys)
        if not standing and (stood or one.at.date() > until):
            break
        stood = stood or any(_holds(one.set.values, key, plan.set.values) for key in keys)
    return standing


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
    return tuple(key for key in keys if key in newest.set.not_read or _holds(values, key, plan.set.values))


def _holds(values: Mapping[str, Value], key: str, wanted: Mapping[str, Value]) -> bool:
    return key in values and key in wanted and same_value(values[key], wanted[key])


def _missing(plan: Recorded, newest: Recorded) -> tuple[str, ...]:
    """The settings that do not stand as planned; one that was not read may not either."""
    return changed_keys(plan, newest)


def words(one: Temporary) -> str:
    """Where it stands, in one sentence."""
    said = _left_over_words(one) if one.left_over else _words(one)
    if not one.earlier:
        return said
    reading = one.plan.reading
    why = f" ({reading.reason})" if reading.reason else ""
    return f"An earlier plan, made {plain_date(one.plan.at)} by {reading.by}{why}: {said}"


def _words(one: Temporary) -> str:
    number = f"{len(one.keys)} setting{'s' if len(one.keys) != 1 else ''}"
    stands = "stands" if len(one.keys) == 1 else "stand"
    says = {
        "announced": f"no reading since; whether {number} of it {stands} in the drive cannot be told",
        "standing": f"{number} of it still {stands} in the newest reading",
        "undone": "a reading since held none of it, so it was undone",
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
