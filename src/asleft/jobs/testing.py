"""Functional tests: the sheet of a recorded set, what was observed, whether it is passed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from asleft.compare import Side
from asleft.files.tests import FunctionalTest, Tested, write_test
from asleft.jobs.checking import asset_set, needed
from asleft.jobs.naming import Inputs, Named, words_of
from asleft.jobs.record import Record, Recorded
from asleft.jobs.tested import Made, folder, make, tests_of, tests_passed
from asleft.jobs.who import Who
from asleft.record import Asset, Fault, Refused, Value

if TYPE_CHECKING:
    from asleft.prove.observed import Observed
    from asleft.prove.sheet import Sheet, Step


@dataclass(frozen=True, slots=True)
class PrintedSheet:
    """The answer to ``test sheet``. ``steps`` are those asked for; ``notes`` go with the whole sheet."""

    named: Named
    asset: Asset
    sheet: Sheet
    steps: tuple[Step, ...]
    kind: str
    notes: tuple[str, ...]
    only_again: bool = False


@dataclass(frozen=True, slots=True)
class RecordedTest:
    """The answer to ``test record``. ``commit`` is None on a dry run, or where it stood so already."""

    test: FunctionalTest
    path: str
    commit: str | None
    dry_run: bool


@dataclass(frozen=True, slots=True)
class Shown:
    """The answer to ``test show``: a slot's tests, oldest first; ``passed`` of the set as last left."""

    asset: Asset
    tests: tuple[FunctionalTest, ...]
    passed: bool | None


def _recorded(name: str, inputs: Inputs) -> tuple[Named, Asset, Recorded]:
    named = asset_set(name, inputs)
    if named.asset is None or named.recorded is None:
        raise Refused(
            Fault(
                f"{name} is no recorded reading, and a test belongs to one.",
                "Name an asset, or a reading of it: E1, E1@found, E1@2026-03-12.",
            )
        )
    return named, named.asset, named.recorded


def sheet(name: str, inputs: Inputs, only_again: bool = False) -> PrintedSheet:
    """The functional test sheet of a set. Raises ``Refused``."""
    named = asset_set(name, inputs)
    assert named.asset is not None
    asset = named.asset
    made = make(named.side, asset)
    notes = _notes(made.sheet, named)
    steps = tuple(step for step in made.sheet.steps if step.again or not only_again)
    kind = "retest" if tests_of(needed(inputs), asset.tag) else "first"
    return PrintedSheet(named, asset, made.sheet, steps, kind, notes, only_again)


@dataclass(frozen=True, slots=True)
class Subject:
    """A recorded set that is tried. ``known`` holds, by key, values each setting is known to have had."""

    record: Record
    asset: Asset
    reading: Recorded
    made: Made
    known: Mapping[str, Sequence[Value]]
    notes: tuple[str, ...]


def subject(name: str, inputs: Inputs) -> Subject:
    """The set a name stands for, with its sheet. Raises ``Refused`` where it is no recorded reading."""
    record = needed(inputs)
    named, asset, reading = _recorded(name, inputs)
    made = make(named.side, asset)
    return Subject(
        record, asset, reading, made, _known_values(record, asset, named.side), _notes(made.sheet, named)
    )


def _notes(made: Sheet, named: Named) -> tuple[str, ...]:
    from asleft.prove.making import small_start

    return (*made.notes, *filter(None, (small_start(named.side.values),)))


def record_test(
    name: str,
    inputs: Inputs,
    observed: Sequence[Observed],
    who: Who,
    witness: str = "",
    where: str = "",
    dry_run: bool = False,
) -> RecordedTest:
    """Judge what was observed and record it with the reading it belongs to. Raises ``Refused``."""
    return record_of(subject(name, inputs), observed, who, witness, where, dry_run)


def record_of(
    tried: Subject,
    observed: Sequence[Observed],
    who: Who,
    witness: str = "",
    where: str = "",
    dry_run: bool = False,
) -> RecordedTest:
    """The same of a set whose sheet is made already. Raises ``Refused``."""
    record, asset = tried.record, tried.asset
    _refuse_bad_observed(tried.made.sheet, observed, where)
    test = FunctionalTest(
        asset=asset.tag,
        reading=tried.reading.blob,
        read=words_of(tried.reading),
        kind="retest" if tests_of(record, asset.tag) else "first",
        at=who.at,
        by=who.by,
        steps=_judged(tried.made, observed, tried.known),
        witness=witness,
        reason=who.reason,
        work_order=who.work_order,
    )
    path = _path(record, test)
    return RecordedTest(test, path, None if dry_run else _write(record, path, test, who), dry_run)


def _refuse_bad_observed(made: Sheet, observed: Sequence[Observed], where: str) -> None:
    steps = {step.number: step for step in made.steps}
    faults = []
    for one in observed:
        step = steps.get(one.number)
        if step is None:
            what = f"the sheet has no step {one.number}; it ends at {len(steps)}."
            faults.append(Fault(what, "Print the sheet again.", where, one.line))
        elif one.id and one.id != step.id:
            what = f"step {one.number} was {one.id} on the sheet that was printed, and is {step.id} now."
            do = "The set was changed since. Name the reading the sheet was printed of, or print it again."
            faults.append(Fault(what, do, where, one.line))
    if faults:
        raise Refused(faults)


def _known_values(record: Record, asset: Asset, side: Side) -> Mapping[str, Sequence[Value]]:
    """Values each setting is known to have had: from the factory, and at other readings of the slot."""
    from asleft.models import factory_set

    sets: list[Mapping[str, Value]] = [one.set.values for one in record.readings(asset.tag)]
    if side.model is not None:
        sets.append(factory_set(side.model).values)
    found: dict[str, list[Value]] = {}
    for values in sets:
        for key, value in values.items():
            found.setdefault(key, []).append(value)
    return found


def _judged(
    made: Made, observed: Sequence[Observed], known: Mapping[str, Sequence[Value]]
) -> tuple[Tested, ...]:
    from asleft.prove.diagnose import Diagnosis
    from asleft.prove.judge import judge

    said = {one.number: one for one in observed}
    tested = {}
    for step in made.sheet.steps:
        one = said.get(step.number)
        result = judge(step, one.text if one else "")
        tested[step] = _tested(step, one, result.result, result.because)
    failed, passed = (_observed(tested, result) for result in ("fail", "pass"))
    explained = Diagnosis(made.drive, made.sheet.inputs, known).explain(failed, passed) if failed else {}
    return tuple(replace(row, explained=explained.get(step, ())) for step, row in tested.items())


def _observed(tested: Mapping[Step, Tested], result: str) -> dict[Step, str]:
    return {step: row.observed for step, row in tested.items() if row.result == result}


def _tested(step: Step, one: Observed | None, result: str, because: str) -> Tested:
    return Tested(
        number=step.number,
        id=step.id,
        start=step.start,
        do=step.words,
        predicted=step.says,
        value=step.value,
        unit=step.unit if step.value is not None else "",
        tolerance=step.tolerance,
        observed=one.text if one else "",
        result=result,
        because=because,
        cannot=step.cannot,
        tester=one.tester if one else "",
        witness=one.witness if one else "",
        remark=one.remark if one else "",
        again=step.again,
    )


def _path(record: Record, test: FunctionalTest) -> str:
    """A name by its time that is not taken yet."""
    taken = record.store.paths(under=folder(test.asset))
    stem = f"{folder(test.asset)}/{test.at:%Y-%m-%d-%H%M}"
    names = (f"{stem}{'' if n == 1 else f'-{n}'}.toml" for n in range(1, len(taken) + 2))
    content = write_test(test)
    return next(name for name in names if name not in taken or record.store.read(name) == content)


def _write(record: Record, path: str, test: FunctionalTest, who: Who) -> str | None:
    result = "failed" if test.count("fail") else "recorded"
    return record.store.write(
        {path: write_test(test)},
        f"{test.asset} functional test {result}",
        who.trailers(test.asset),
        author_name=who.by,
        author_email=who.email,
        author_at=who.at,
        committed_at=who.now,
    )


def show_tests(tag: str, inputs: Inputs) -> Shown:
    """A slot's functional tests. Raises ``Refused``."""
    record = needed(inputs)
    asset = record.asset(tag)
    return Shown(asset, tests_of(record, asset.tag), tests_passed(record, asset.tag))
