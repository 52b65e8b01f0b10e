"""A reading becomes part of the record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from asleft.compare import Comparison, Side, compare
from asleft.files.sets import write_set
from asleft.intake import Taken
from asleft.jobs.naming import current_model
from asleft.jobs.record import KINDS, Record, Recorded
from asleft.jobs.who import Who
from asleft.models import Model
from asleft.record import OCCASIONS, Fault, ParameterSet, Reading, Refused
from asleft.record.sets import ReadingKind


@dataclass(frozen=True, slots=True)
class Snapshot:
    """What was recorded. ``commit`` is None where the record held it already, or on a dry run.

    ``against`` is the reading it was compared with: the last as-left for an as-found, the as-found of the
    same visit for an as-left. ``current`` is the reading of the same kind that was read later and so stays
    the current one.
    """

    asset: str
    set: ParameterSet
    taken: Taken
    commit: str | None
    dry_run: bool
    against: Recorded | None
    comparison: Comparison | None
    model: Model | None
    current: Recorded | None = None


def model_for(record: Record, tag: str, named: str) -> Model | None:
    """The model to read a source with: as named, else as the slot's last reading or the slot has it."""
    asset = record.asset(tag)
    name = named or current_model(record, asset)
    return record.model(name) if name else None


def snapshot(
    record: Record,
    tag: str,
    taken: Taken,
    kind: ReadingKind,
    occasion: str,
    who: Who,
    dry_run: bool = False,
    also: Mapping[str, bytes] | None = None,
) -> Snapshot:
    """Record a reading, and in the same commit the files ``also``. Raises ``Refused`` with every reason why
    not; then nothing has changed."""
    asset = record.asset(tag)
    refuse_bad_reading(record, tag, kind, occasion, who)
    _refuse_empty(taken)
    against = _against(record, asset.tag, kind, who.at)
    after = against.blob if against and kind == "as_found" else ""
    reading = Reading(
        kind, who.at, who.by, taken.how, occasion, who.reason, who.work_order, after, as_shown=taken.as_shown
    )
    model = record.model(taken.set.model, taken.set.model_version) if _is_current(record, taken) else None
    parameters = replace(taken.set, asset=asset.tag, reading=reading)
    comparison = None
    if against is not None:
        comparison = compare(Side(against.set, record.model_of(against.set)), Side(parameters, model))
    earlier = record.series(asset.tag, kind)
    commit = None if dry_run else _write(record, parameters, reading, who, also or {})
    newer = [one for one in earlier if one.at > who.at]
    current = newer[-1] if newer else None
    return Snapshot(asset.tag, parameters, taken, commit, dry_run, against, comparison, model, current)


def _is_current(record: Record, taken: Taken) -> bool:
    return bool(taken.set.model) and taken.set.model in record.model_names()


def refuse_bad_reading(record: Record, tag: str, kind: str, occasion: str, who: Who) -> None:
    """Raise ``Refused`` for a kind, occasion or time that no reading can have."""
    faults = []
    if kind not in KINDS:
        faults.append(Fault(f"a reading is as-found or as-left, not {kind!r}.", "Say --reading as-left."))
    if occasion not in OCCASIONS:
        faults.append(Fault(f"{occasion!r} is no occasion.", f"One of {', '.join(OCCASIONS)}."))
    if who.at > who.now + timedelta(minutes=10):
        faults.append(
            Fault(f"{who.at:%Y-%m-%d %H:%M} lies in the future.", "Say when it was read with --at.")
        )
    if not who.by.strip():
        faults.append(Fault("nobody is named as having read the drive.", "Say --by NAME."))
    if record.asset(tag).retired:
        faults.append(Fault(f"{tag} is retired: {record.asset(tag).retired}.", "Add the new slot instead."))
    if faults:
        raise Refused(faults)


def _refuse_empty(taken: Taken) -> None:
    if not taken.set.values:
        named = f"the list of {taken.set.model}" if taken.set.model else "the trade's terms"
        raise Refused(
            Fault(
                f"nothing that was read belongs to {named}, so it is no reading of this drive.",
                "Check the source, and the drive model: --model NAME.",
            )
        )


def _against(record: Record, tag: str, kind: str, at: datetime) -> Recorded | None:
    """What a new reading is held against first: the last as-left before it, or for an as-left the last
    reading of either kind."""
    kinds = ("as_left",) if kind == "as_found" else ("as_left", "as_found")
    taken = [one for one in record.readings(tag) if one.reading.kind in kinds and one.at <= at]
    return taken[-1] if taken else None


def _write(
    record: Record, parameters: ParameterSet, reading: Reading, who: Who, also: Mapping[str, bytes]
) -> str | None:
    path = f"assets/{parameters.asset}/{reading.kind}.toml"
    words = reading.kind.replace("_", " ")
    files = {path: write_set(parameters), **record.unrecorded_model(parameters.model), **also}
    return record.store.write(
        files,
        f"{parameters.asset} {words}, {reading.occasion}",
        who.trailers(parameters.asset, words.replace(" ", "-"), reading.occasion),
        author_name=who.by,
        author_email=who.email,
        author_at=who.at,
        committed_at=who.now,
    )
