"""Drives that should be alike: how far they drifted, and how far one change has come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from asleft.compare import Side
from asleft.compare.alike import Column, Drift, drift
from asleft.compare.rollout import Planned, Rollout, rollout
from asleft.files.entry import split_number, typed_value
from asleft.files.value import did_you_mean
from asleft.jobs.checking import needed, newest
from asleft.jobs.naming import Inputs
from asleft.jobs.record import Broken, Record, readable
from asleft.record import Fault, Refused
from asleft.vocabulary import vocabulary


@dataclass(frozen=True, slots=True)
class Alike:
    """The answer to ``alike``; ``unread`` are drives of which nothing was ever read, ``broken`` those that
    cannot be looked at, ``doubtful`` slots of which nobody can tell whether they belong to the group."""

    group: str
    drift: Drift
    unread: tuple[str, ...]
    broken: tuple[Broken, ...] = ()
    doubtful: tuple[Broken, ...] = ()


def alike(
    names: Sequence[str],
    reference: str,
    allowed: Sequence[str],
    point: str,
    inputs: Inputs,
    on: date,
) -> Alike:
    """Hold drives against each other: tags, or the name of a group. Raises ``Refused``."""
    record = needed(inputs)
    tags, group, doubtful = group_of(record, names)
    columns, unread, broken = _columns(record, tags, point, on)
    house = record.site.house_rules.get("may_differ", [])
    if len(columns) < 2:
        few = Fault("fewer than two drives with a reading are named.", "Name more, or a group of slots.")
        raise Refused([few, *_faults([*broken, *doubtful])])
    wanted = record.tag(reference) if reference else ""
    if lost := [one for one in broken if one.asset == wanted]:
        raise Refused(lost[0].faults)
    if wanted and wanted not in [column.tag for column in columns]:
        raise Refused(
            Fault(f"{reference} is not among the drives named.", f"Among them are {', '.join(tags)}.")
        )
    return Alike(
        group, drift(columns, wanted, [*allowed, *house]), tuple(unread), tuple(broken), tuple(doubtful)
    )


def _faults(broken: Sequence[Broken]) -> list[Fault]:
    return [fault for one in broken for fault in one.faults]


def group_of(record: Record, names: Sequence[str]) -> tuple[list[str], str, list[Broken]]:
    """Tags of the drives named, or of the one group named, and the slots no one can read that may belong.

    Raises ``Refused``.
    """
    sound, broken = readable(record.tags(), record.asset)
    assets = dict(sound)
    groups = sorted({asset.alike for asset in assets.values() if asset.alike})
    if len(names) == 1 and names[0] in groups:
        wanted = [tag for tag, asset in assets.items() if asset.alike == names[0] and not asset.retired]
        return wanted, names[0], broken
    if len(names) == 1 and names[0].lower() not in [tag.lower() for tag in record.tags()]:
        near = did_you_mean(names[0], [*groups, *assets])
        unknown = Fault(
            f"{names[0]!r} is neither a group nor an asset.", near or f"Groups: {', '.join(groups)}."
        )
        raise Refused([unknown, *_faults(broken)])
    return [record.tag(name) for name in names], "", []


def _columns(
    record: Record, tags: Sequence[str], point: str, on: date
) -> tuple[list[Column], list[str], list[Broken]]:
    """The drives to be held against each other, those never read, and those that cannot be looked at."""
    record.load(tags)
    found, broken = readable(tags, lambda tag: _column(record, tag, point, on))
    columns = [column for _, column in found if column is not None]
    return columns, [tag for tag, column in found if column is None], broken


def _column(record: Record, tag: str, point: str, on: date) -> Column | None:
    series = record.series(tag, "as_left") if point == "left" else record.readings(tag)
    reading = newest([one for one in series if one.reading.kind != "planned"])
    if reading is None:
        return None
    age = (on - reading.at.astimezone(record.site.zone).date()).days
    side = Side(reading.set, record.model_of(reading.set))
    return Column(tag, side, record.asset(tag).values, age)


@dataclass(frozen=True, slots=True)
class RolledOut:
    """The answer to ``rollout``; ``unread``, ``broken`` and ``doubtful`` as in the answer to ``alike``."""

    planned: Mapping[str, Planned]
    result: Rollout
    unread: tuple[str, ...]
    broken: tuple[Broken, ...] = ()
    doubtful: tuple[Broken, ...] = ()

    @property
    def is_done(self) -> bool:
        """Whether every drive that can hold the change holds it."""
        open_ones = self.unread or self.broken or self.doubtful
        return not open_ones and self.result.is_done


def roll_out(
    names: Sequence[str], settings: Sequence[str], since: str, inputs: Inputs, on: date
) -> RolledOut:
    """How far one change has come over alike drives, by their newest readings. Raises ``Refused``.

    ``since`` counts only readings of that day or later as read after the change.
    """
    record = needed(inputs)
    tags, _, doubtful = group_of(record, names)
    planned = planned_values(settings)
    columns, unread, broken = _columns(record, tags, "newest", on)
    if since:
        oldest = _days(since, on)
        unread += [column.tag for column in columns if (column.age_days or 0) > oldest]
        columns = [column for column in columns if (column.age_days or 0) <= oldest]
    return RolledOut(planned, rollout(planned, columns), tuple(unread), tuple(broken), tuple(doubtful))


def _days(since: str, on: date) -> int:
    try:
        return (on - date.fromisoformat(since)).days
    except ValueError:
        raise Refused(Fault(f"{since!r} is no date.", "Write 2026-10-01.", "--since")) from None


def planned_values(settings: Sequence[str]) -> dict[str, Planned]:
    """``KEY=VALUE``, or ``KEY=N% of OTHER_KEY`` for a value each drive takes from its own base."""
    found: dict[str, Planned] = {}
    faults = []
    for setting in settings:
        key, sign, text = setting.partition("=")
        parameter = vocabulary().get(key.strip())
        if parameter is None or not sign:
            hint = did_you_mean(key, vocabulary()) or "Write KEY=VALUE."
            faults.append(Fault(f"{setting!r} names no setting to change.", hint))
            continue
        try:
            found[key.strip()] = _planned(parameter.key, text.strip())
        except ValueError as problem:
            faults.append(Fault(str(problem), "", setting))
    if faults:
        raise Refused(faults)
    return found


def _planned(key: str, text: str) -> Planned:
    share, _, base = text.partition("% of ")
    if not base:
        return Planned(typed_value(vocabulary()[key], text))
    number, base = split_number(share), base.strip()
    if number is None or number[1]:
        raise ValueError(f"{share!r} is no per cent.")
    if base not in vocabulary() or not vocabulary()[base].is_number:
        raise ValueError(f"{base} is no number of the drive. {did_you_mean(base, vocabulary())}".strip())
    return Planned(number[0] / Decimal(100), base)
