"""What changed between and during visits, with and without a record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from asleft.compare import Comparison, Side, compare
from asleft.explain import Explained, explain
from asleft.files.value import did_you_mean
from asleft.jobs.apart import Apart, apart, pairs_of
from asleft.jobs.behaving import NOT_ASKED, Behaving, behave, switches
from asleft.jobs.checking import Judge, breaches_by_key, needed, newest
from asleft.jobs.differences import slots_of
from asleft.jobs.naming import Inputs
from asleft.jobs.record import Broken, Record, Recorded
from asleft.jobs.temporary import Temporary, temporary
from asleft.record import OCCASIONS, Asset, Fault, Refused
from asleft.record.days import plain_date
from asleft.record.findings import Finding
from asleft.record.tags import parse_moment


@dataclass(frozen=True, slots=True)
class Step:
    """The way from one reading to the next.

    ``recorded`` is true where the way is what a visit itself did (found to left), false where it lies
    between visits (left to found). ``breaches`` are the rules that the newer reading breaches, by the
    setting that changed; ``findings`` all its breaches.
    """

    before: Recorded
    after: Recorded
    recorded: bool
    comparison: Comparison
    told: tuple[Explained, ...]
    breaches: tuple[tuple[Finding, ...], ...]
    findings: tuple[Finding, ...]
    note: str = ""
    behaviour: Behaving = NOT_ASKED

    @property
    def harmless(self) -> int:
        """Changes that breach no rule."""
        return sum(1 for found in self.breaches if not found)


@dataclass(frozen=True, slots=True)
class Row:
    """One asset's audit. ``now``: breaches of its newest reading; ``age``: days since it. ``lost``: recorded
    readings that cannot be read and were passed over, later ones standing in their places. ``apart``: what
    two people recorded without each other; each line is walked by itself. ``temporary``: changes with an
    end that are not undone."""

    asset: Asset
    steps: tuple[Step, ...]
    newest: Recorded | None
    age: int | None
    now: tuple[Finding, ...]
    note: str = ""
    lost: tuple[Fault, ...] = ()
    apart: tuple[Apart, ...] = ()
    temporary: tuple[Temporary, ...] = ()

    def count(self, recorded: bool) -> int:
        """Changes with, or without, a record; one that two people found apart counts once."""
        found: set[tuple[str, str, object]] = set()
        for step in self.steps:
            if step.recorded is recorded:
                found |= {(step.before.commit, one.change.key, one.change.new) for one in step.told}
                found |= {(step.before.commit, name, None) for name in step.comparison.native}
        return len(found)

    @property
    def is_untold(self) -> bool:
        """Whether there is nothing to tell changes by."""
        return self.newest is None or (bool(self.note) and not self.steps)

    @property
    def unsettled(self) -> tuple[Apart, ...]:
        """What was recorded apart and nothing read since has settled."""
        return tuple(one for one in self.apart if self.newest is not None and one.has(self.newest))

    @property
    def standing(self) -> tuple[str, ...]:
        """Settings changed without a record that the newest reading does not show as they were before."""
        before = {
            one.change.key: one.change.old
            for step in reversed(self.steps)
            if not step.recorded
            for one in step.told
        }
        held = self.newest.set.values if self.newest else {}
        return tuple(key for key, old in before.items() if held.get(key) != old)

    @property
    def unrecorded_breaches(self) -> tuple[Finding, ...]:
        """Rules that changes without a record breached, each once."""
        found = {
            finding.rule: finding
            for step in self.steps
            if not step.recorded
            for findings in step.breaches
            for finding in findings
        }
        return tuple(found.values())


@dataclass(frozen=True, slots=True)
class Audit:
    """The answer to ``audit``. ``broken`` are assets that could not be audited, ``left_out`` others that
    rules about linked drives were judged without."""

    on: date
    since: str
    rows: tuple[Row, ...]
    broken: tuple[Broken, ...] = ()
    left_out: tuple[Broken, ...] = ()

    @property
    def fails(self) -> bool:
        """Whether a change without a record or a standing breach was found."""
        return any(row.count(recorded=False) or any(one.fails for one in row.now) for row in self.rows)

    @property
    def is_undecided(self) -> bool:
        """Whether an asset has nothing to audit, or something was not read or cannot be."""
        untold = any(
            row.is_untold or row.unsettled or any(step.comparison.not_read for step in row.steps)
            for row in self.rows
        )
        return bool(untold or self.broken or self.left_out)


def audit(
    tags: Sequence[str], everything: bool, since: str, inputs: Inputs, on: date, behaviour: bool = True
) -> Audit:
    """Audit the named assets, or all; of all, one that cannot be audited does not stop the rest.

    Raises ``Refused``.
    """
    record = needed(inputs)
    start = _since(since, record)
    wanted = record.tags() if everything else [record.tag(tag) for tag in tags]
    record.load(wanted)
    judging = Judge(record, on)
    span = Span(since, start, behaviour)
    rows, broken = [], []
    for tag in wanted:
        try:
            rows.append(_row(record, record.asset(tag), span, judging))
        except Refused as refused:
            if not everything:
                raise
            broken.append(Broken(tag, refused.faults))
    known = {one.asset for one in broken}
    left_out = tuple(one for one in judging.broken if one.asset not in known)
    return Audit(on, since, tuple(rows), tuple(broken), left_out)


class Span(NamedTuple):
    """Since when is looked, and whether behaviour is examined too."""

    since: str
    start: datetime | None
    behaviour: bool


def _since(since: str, record: Record) -> datetime | None:
    if not since or since in OCCASIONS:
        return None
    moment = parse_moment(since)
    if moment is None:
        near = did_you_mean(since, OCCASIONS) or "Write service, another occasion, or a date."
        raise Refused(Fault(f"{since!r} is neither an occasion nor a date.", near, "--since"))
    if isinstance(moment, datetime):
        return moment if moment.tzinfo else moment.replace(tzinfo=record.site.zone)
    return datetime(moment.year, moment.month, moment.day, tzinfo=record.site.zone)


def _row(record: Record, asset: Asset, span: Span, judging: Judge) -> Row:
    readings = [one for one in record.readings(asset.tag) if one.reading.kind != "planned"]
    last, lost = newest(readings), tuple(f for one in record.unreadable(asset.tag) for f in one.faults)
    if last is None:
        return Row(asset, (), None, None, (), "nothing was ever read", lost)
    walked, note = _span(readings, span.since, span.start)
    came, joined = _came(readings), apart(record, asset.tag)
    pairs = pairs_of([one for one in walked if one not in came or one is last], joined)
    steps = [_step(record, asset, pair, judging, span.behaviour, came) for pair in pairs]
    now = judging.findings(asset, last.set)
    breached = tuple(finding for finding in now if finding.result == "breached")
    opened = tuple(one for one in temporary(record, [asset.tag], judging.on) if one.state != "undone")
    age = (judging.on - last.at.astimezone(record.site.zone).date()).days
    return Row(asset, tuple(steps), last, age, breached, note, lost, joined, opened)


def _came(readings: Sequence[Recorded]) -> tuple[Recorded, ...]:
    """Readings as found of another unit than the one that was left: what differs is nobody's change."""
    found, serial = [], ""
    for one in readings:
        own = str(one.set.values.get("drive.serial_number", ""))
        another = not (own and serial) or own != serial
        if one.reading.kind == "as_found" and one.reading.occasion == "replacement" and another:
            found.append(one)
        serial = own or serial
    return tuple(found)


def _span(readings: Sequence[Recorded], since: str, start: datetime | None) -> tuple[Sequence[Recorded], str]:
    """The readings to walk over, starting with the one the first step is held against."""
    if start is not None:
        before = [place for place, one in enumerate(readings) if one.at < start]
        return readings[before[-1] if before else 0 :], ""
    if not since:
        return readings, ""
    found = [
        place
        for place, one in enumerate(readings)
        if one.reading.kind == "as_found" and one.reading.occasion == since
    ]
    if not found:
        return _since_left(readings, since)
    left = [place for place in range(found[-1]) if readings[place].reading.kind == "as_left"]
    if not left:
        return readings[found[-1] :], f"nothing was recorded as left before the {since} visit"
    return readings[left[-1] :], ""


def _since_left(readings: Sequence[Recorded], since: str) -> tuple[Sequence[Recorded], str]:
    """Where a visit found nothing to read first, as in commissioning, from what it left."""
    left = [
        place
        for place, one in enumerate(readings)
        if one.reading.kind == "as_left" and one.reading.occasion == since
    ]
    return (readings[left[-1] :], "") if left else ((), f"no reading of a {since} visit is recorded")


def _step(
    record: Record,
    asset: Asset,
    pair: tuple[Recorded, Recorded],
    judging: Judge,
    behaviour: bool,
    came: Sequence[Recorded],
) -> Step:
    before, after = pair
    sides = Side(before.set, record.model_of(before.set)), Side(after.set, record.model_of(after.set))
    comparison = compare(*sides)
    told = explain(comparison, *sides, asset, slots_of(record))
    findings = tuple(
        finding for finding in judging.findings(asset, after.set) if finding.result == "breached"
    )
    by_key = breaches_by_key(findings)
    recorded = after.reading.kind == "as_left" or after in came
    return Step(
        before,
        after,
        recorded,
        comparison,
        told,
        tuple(by_key.get(one.change.key, ()) for one in told),
        findings,
        _note(pair, came) if told else "",
        behave(*sides, comparison, selectors=switches(asset))
        if behaviour and not recorded and told
        else NOT_ASKED,
    )


def _note(pair: tuple[Recorded, Recorded], came: Sequence[Recorded]) -> str:
    """What is to be said of where the changes of a step come from."""
    before, after = pair
    if after in came:
        return "another unit, as it came: put it right, read it again and record it as left"
    between = [one for one in came if before.rank < one.rank < after.rank]
    if between:
        return f"the unit was replaced; as it came it is recorded as found, {plain_date(between[-1].at)}"
    if after.reading.kind == "as_left" and before.reading.kind == "as_left":
        return "recorded without reading as found first, so whose changes these are cannot be told"
    return ""
