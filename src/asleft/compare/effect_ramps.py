"""Ramp times mean a slope only together with the frequency they count to."""

from __future__ import annotations

from decimal import Decimal

from asleft.compare.changes import Change, Comparison
from asleft.compare.effect import Verdict
from asleft.compare.ramp_reference import KEY, TIMES, ramp_reference
from asleft.compare.sides import Side
from asleft.record import shown
from asleft.vocabulary import vocabulary


def ramps(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """10 s to 50 Hz is 20 s to 100 Hz, and 10.0 s on two references are two slopes."""
    before, after = ramp_reference(old.values, old.model), ramp_reference(new.values, new.model)
    if before is None or after is None:
        return _unknown(old, new, before, after)
    if before == after:
        return Verdict()
    same: dict[str, str] = {}
    cannot: dict[str, str] = {}
    slopes: dict[str, str] = {}
    for key in TIMES:
        was, now = old.values.get(key), new.values.get(key)
        if not isinstance(was, Decimal) or not isinstance(now, Decimal):
            continue
        told = f"{_to(was, before)} and {_to(now, after)}"
        brought = now * before / after
        steps = old.step(key, was), new.step(key, now) * before / after
        if abs(was - brought) * 2 <= min(steps):
            same[key] = f"the same slope: {told}, {_slope(was, before)}"
        elif abs(was - brought) * 2 <= max(steps):
            cannot[key] = f"{told}: one side shows steps of {shown(max(steps), 's')}, too coarse to tell"
        else:
            slopes[key] = f"{told}: {_slope(was, before)} before, {_slope(now, after)} now"
    return _verdict(comparison, Change(KEY, before, after), same, cannot, slopes)


def _verdict(
    comparison: Comparison,
    reference: Change,
    same: dict[str, str],
    cannot: dict[str, str],
    slopes: dict[str, str],
) -> Verdict:
    if same and not cannot and not slopes:
        same[KEY] = "the ramp times count to it, and give the same slopes"
        return Verdict(same, cannot)
    listed = {change.key for change in comparison.changes}
    hidden = [vocabulary()[key].label for key in slopes if key not in listed]
    notes = dict(slopes)
    if hidden:
        notes[KEY] = f"The same seconds now act otherwise: {', '.join(hidden)}."
    return Verdict(same, cannot, notes, (reference,))


def _unknown(old: Side, new: Side, before: Decimal | None, after: Decimal | None) -> Verdict:
    """One reference known and the other not: no ramp time can be held against another."""
    if before is None and after is None:
        return Verdict()
    why = "the frequency the ramp times count to is not known on one side"
    both = [key for key in TIMES if key in old.values and key in new.values]
    return Verdict(cannot_tell=dict.fromkeys(both, why))


def _to(seconds: Decimal, reference: Decimal) -> str:
    return f"{shown(seconds, 's')} to {reference.normalize():f} Hz"


def _slope(seconds: Decimal, reference: Decimal) -> str:
    if seconds == 0:
        return "no ramp"
    return f"{float(reference / seconds):.3g} Hz/s"
