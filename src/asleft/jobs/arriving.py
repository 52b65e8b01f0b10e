"""The unit that goes into a slot, recorded as it came: as found, before anything of it is touched."""

from __future__ import annotations

from dataclasses import dataclass, replace

from asleft.intake import Taken
from asleft.intake.secrets import withheld
from asleft.intake.toml_file import completed
from asleft.jobs.naming import Named
from asleft.jobs.record import Record
from asleft.jobs.replacing import REPLACEMENT
from asleft.jobs.snapshot import snapshot
from asleft.jobs.who import Who
from asleft.jobs.working import Bench
from asleft.record import ParameterSet, Reading


@dataclass(frozen=True, slots=True)
class Arrival:
    """Whether the unit's own reading is recorded: ``commit`` where it was now, else ``why`` it was not."""

    commit: str = ""
    why: str = ""


def record_arrival(record: Record, at: Bench, who: Who, dry_run: bool = False) -> Arrival:
    """Record what was read of another unit as found in its slot, once. Raises ``Refused``.

    What nobody read of a drive (factory values, a plan) is never recorded, and the slot's own unit has its
    reading in the record already.
    """
    unit = at.pair.unit
    if not at.replaced:
        return Arrival(why="it is recorded of this slot already")
    if not was_read(unit):
        return Arrival(why="what was named for it was never read from a drive")
    if unit.recorded is not None and unit.asset is not None and unit.asset.tag != at.tag:
        return Arrival(why=f"what was named for it is a reading of {unit.asset.tag}")
    taken = _taken(at)
    if _stands(record, at.tag, taken.set):
        return Arrival(why="it is recorded already")
    if dry_run:
        return Arrival(why="this is a dry run")
    commit = snapshot(record, at.tag, taken, "as_found", REPLACEMENT, _told(who, unit.set.reading)).commit
    record.forget(at.tag)
    return Arrival(commit or "", "" if commit else "it is recorded already")


def _told(who: Who, read: Reading | None) -> Who:
    """Who records it, with who read the unit and when, where that was somebody else or another time."""
    if read is None or (read.by, read.at) == (who.by, who.at):
        return who
    words = f"read {read.at:%Y-%m-%d %H:%M} by {read.by}"
    return replace(who, reason=f"{who.reason}; {words}" if who.reason else words)


def was_read(unit: Named) -> bool:
    """Whether a set comes from a drive; factory values come from its model, a plan from a person."""
    if unit.recorded is None and unit.asset is not None:
        return False
    return unit.set.reading is None or unit.set.reading.kind != "planned"


def _taken(at: Bench) -> Taken:
    unit, model = at.pair.unit, at.pair.model
    given = completed(unit.set, model, unit.asked)
    how = unit.set.reading.how if unit.set.reading else given.how
    return withheld(replace(given, how=how), unit.asked, model)


def _stands(record: Record, tag: str, given: ParameterSet) -> bool:
    """Whether the newest reading of the slot is this unit's, as it came."""
    readings = [one for one in record.readings(tag) if one.reading.kind != "planned"]
    if not readings or readings[-1].reading.kind != "as_found":
        return False
    newest = readings[-1]
    same = replace(given, asset=tag, reading=newest.reading)
    return newest.reading.occasion == REPLACEMENT and newest.set == same
