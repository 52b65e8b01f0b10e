"""Temporary changes that were announced: which still stand, and which should have been undone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from asleft.compare import Side, compare
from asleft.jobs.record import Record, Recorded


@dataclass(frozen=True, slots=True)
class Temporary:
    """One announced change that is not known to be undone. ``keys`` still stand at the planned value, or were
    not read since."""

    planned: Recorded
    keys: tuple[str, ...]
    until: date

    def is_overdue(self, on: date) -> bool:
        """Whether its last day is over."""
        return on > self.until


def temporary_changes(record: Record, tag: str) -> tuple[Temporary, ...]:
    """Announced changes of an asset that still stand, oldest first.

    One that was never read since counts as standing: nobody has shown that it is undone.
    """
    found = []
    for planned in record.series(tag, "planned"):
        if planned.reading.until:
            keys = _standing(record, tag, planned)
            if keys:
                found.append(Temporary(planned, keys, date.fromisoformat(planned.reading.until)))
    return tuple(found)


def _standing(record: Record, tag: str, planned: Recorded) -> tuple[str, ...]:
    readings = [one for one in record.readings(tag) if one.reading.kind != "planned"]
    before = [one for one in readings if one.reading.kind == "as_left" and one.rank < planned.rank]
    if not before:
        return ()
    model = record.model_of(planned.set)
    wanted = Side(planned.set, model)
    changed = [change.key for change in compare(Side(before[-1].set, model), wanted).changes]
    since = [one for one in readings if one.rank > planned.rank]
    if not since:
        return tuple(changed)
    newest = Side(since[-1].set, record.model_of(since[-1].set))
    moved = {change.key for change in compare(wanted, newest).changes}
    return tuple(key for key in changed if key not in moved)
