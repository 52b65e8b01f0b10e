"""Whether a set has passed its functional test, by what is recorded of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from asleft.compare import Side, compare
from asleft.files.tests import FunctionalTest, Tested, read_test
from asleft.jobs.record import Record, Recorded
from asleft.record import Asset, Fault, ParameterSet, Refused, Value, same_value

if TYPE_CHECKING:
    from asleft.behaviour import Drive
    from asleft.prove.sheet import Sheet, Step

PASSING = ("pass", "left_out")


class Made(NamedTuple):
    """The drive of a set, and its sheet."""

    drive: Drive
    sheet: Sheet


def make(side: Side, asset: Asset) -> Made:
    """The drive of a set and its sheet. Raises ``Refused`` where its behaviour is not known."""
    from asleft.behaviour import SettingFault
    from asleft.models.behaviour_options import UnknownOption
    from asleft.prove.making import drive_of, make_sheet

    if side.model is None:
        raise Refused(
            Fault(
                f"no drive model is at hand for {asset.tag}, so what the drive does is not known.",
                "Put the model's file in models/, or say which it is: asleft asset set TAG model=NAME",
            )
        )
    try:
        drive = drive_of(side.values, side.model.behaviour, side.set.not_read)
    except (SettingFault, UnknownOption) as problem:
        raise Refused(Fault(f"{problem}.", f"See the set: asleft show {asset.tag}")) from None
    return Made(drive, make_sheet(drive, asset))


def folder(tag: str) -> str:
    """Where a slot's functional tests lie."""
    return f"assets/{tag}/tests"


def tests_of(record: Record, tag: str) -> tuple[FunctionalTest, ...]:
    """Every recorded functional test of a slot, oldest first. Raises ``Refused``."""
    paths = sorted(record.store.paths(under=folder(tag)).items())
    contents = record.store.read_blobs([blob for _, blob in paths]) if paths else []
    found = [read_test(content, path) for (path, _), content in zip(paths, contents, strict=True)]
    return tuple(sorted(found, key=lambda test: test.at))


def _last_left(record: Record, tag: str) -> Recorded | None:
    left = record.series(tag, "as_left")
    return left[-1] if left else None


def tests_passed(record: Record, tag: str) -> bool | None:
    """Whether the set as last left has passed its functional test; None where that set was never tried.

    A step stays proved as long as what is predicted of it stays; after the unit was replaced, those marked
    to be repeated do not.
    """
    tests, left = tests_of(record, tag), _last_left(record, tag)
    if not tests or left is None:
        return None
    asset, side = record.asset(tag), Side(left.set, record.model_of(left.set))
    sides = {one.blob: Side(one.set, record.model_of(one.set)) for one in record.readings(tag)}
    wanted = _wanted(tests[-1], sides, side, asset)
    results: dict[str, str] = {}
    for test in tests:
        tried = sides.get(test.reading)
        if tried is not None:
            results |= _valid(test, wanted, _same_unit(tried, side))
    if not results:
        return None
    return all(results.get(id) in PASSING or _noted(results.get(id), one) for id, one in wanted.items())


def test_facts(record: Record, tag: str, parameters: ParameterSet) -> Mapping[str, Value]:
    """What the record knows of a set's functional test, by the names rules use; nothing where it was never
    tried, or the set is not the one last left."""
    left = _last_left(record, tag)
    if left is None or left.set != parameters:
        return {}
    passed = tests_passed(record, tag)
    return {} if passed is None else {"tests.passed": "yes" if passed else "no"}


Predicted = tuple[str, str]
"""What is predicted of a step, in words, and its number; both empty where nothing is."""


def _prediction(step: Step | Tested) -> Predicted:
    says = step.predicted if isinstance(step, Tested) else step.says
    return says, "" if step.value is None else f"{step.value} {step.unit}"


def _wanted(
    test: FunctionalTest, sides: Mapping[str, Side], left: Side, asset: Asset
) -> Mapping[str, Predicted]:
    """The steps of the set as left; those of the newest test where that was done on the same settings."""
    tried = sides.get(test.reading)
    if tried is not None and compare(tried, left).is_clean:
        return {step.id: _prediction(step) for step in test.steps}
    try:
        made = make(left, asset)
    except Refused:
        return {}
    return {step.id: _prediction(step) for step in made.sheet.steps}


def _valid(test: FunctionalTest, wanted: Mapping[str, Predicted], same_unit: bool) -> dict[str, str]:
    return {
        step.id: step.result
        for step in test.steps
        if step.result != "not_done"
        and wanted.get(step.id) == _prediction(step)
        and (same_unit or not step.again)
    }


def _noted(result: str | None, predicted: Predicted) -> bool:
    return result == "cannot_tell" and predicted == ("", "")


def _same_unit(tried: Side, left: Side) -> bool:
    key = "drive.serial_number"
    one, other = tried.values.get(key), left.values.get(key)
    return one is None or other is None or same_value(one, other)
