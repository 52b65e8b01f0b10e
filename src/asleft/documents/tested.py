"""A functional test as it was done: what failed and what would explain it, what passed, what is open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from asleft.documents.blocks import Block, Line, Sheet, Tone, count, section
from asleft.documents.data import value
from asleft.explain import capital
from asleft.prove.verdict import not_done
from asleft.record.days import plain_time

if TYPE_CHECKING:
    from asleft.files.tests import FunctionalTest, Tested
    from asleft.jobs.testing import RecordedTest, Shown

TITLES: tuple[tuple[str, str, Tone], ...] = (
    ("fail", "Failed", "alarm"),
    ("cannot_tell", "Cannot tell", "warn"),
    ("left_out", "Left out", ""),
    ("pass", "Passed", ""),
)


def recorded_blocks(result: RecordedTest) -> Sheet:
    """The judgement: what failed and what would explain it first."""
    return (
        Line(recorded_headline(result), "alarm" if result.test.count("fail") else "good"),
        Line(_after(result)),
        *_of(result.test),
        *_judged(result.test),
    )


def recorded_headline(result: RecordedTest) -> str:
    """What failed, or how many passed; and whether it stands in the record."""
    test = result.test
    if result.dry_run:
        stands = "nothing recorded (dry run)"
    elif result.commit is None:
        stands = "the record holds just this test already"
    else:
        stands = f"recorded as {result.commit[:10]}"
    return f"{test.asset}: {_summary(test)}; {stands}."


def _summary(test: FunctionalTest) -> str:
    if test.count("fail"):
        counted = count(test.count("fail"), "step has failed", "steps have failed")
    else:
        counted = f"{count(test.count('pass'), 'step')} passed, none failed"
    rest = [
        f"{test.count(result)} {words}"
        for result, words in (("cannot_tell", "cannot be told"), ("not_done", "not done"))
        if test.count(result)
    ]
    return ", ".join((counted, *rest))


def _after(result: RecordedTest) -> str:
    test = result.test
    explained = next((step.explained[0] for step in test.steps if step.explained), "")
    if explained:
        return f"Look first: {explained}"
    if test.count("fail"):
        return (
            "No single known setting explains it: check wiring, signal source and meter, then read the drive."
        )
    if test.count("not_done") or test.count("cannot_tell"):
        return "It is passed when every step has passed or is said to be left out: do the rest and record it."
    return "The functional test is passed."


def _of(test: FunctionalTest) -> Iterator[Block]:
    witness = f", witness {test.witness}" if test.witness else ""
    why = f": {test.reason}" if test.reason else ""
    kind = "First test" if test.kind == "first" else "Retest"
    yield Line(f"{kind}, {plain_time(test.at)} by {test.by}{witness}{why}. Predicted from: {test.read}.")


def _judged(test: FunctionalTest) -> Iterator[Block]:
    for result, title, tone in TITLES:
        held = [step for step in test.steps if step.result == result]
        lines = (line for step in held for line in _tested(step, tone))
        yield from section(f"{title} ({len(held)})", lines)
    left = {step.number: step.because for step in test.steps if step.result == "not_done"}
    if left:
        yield from section(f"Not done ({len(left)})", (Line(text, depth=1) for text in not_done(left)))


def _tested(step: Tested, tone: Tone) -> Iterator[Block]:
    who = ", ".join(filter(None, (step.tester, f"witness {step.witness}" if step.witness else "")))
    unit = (
        f" {step.unit}" if step.unit and step.observed.replace(",", ".").replace(".", "").isdecimal() else ""
    )
    end = "" if step.do.endswith("?") else "."
    yield Line(f"{step.number}. {capital(step.start)}: {step.do}{end}", tone, 1)
    predicted = _was_predicted(step)
    yield Line(f"Observed: {step.observed}{unit}. {predicted}{f' ({who})' if who else ''}", depth=2)
    if step.because and step.result != "fail":
        yield Line(f"{capital(step.because)}.", depth=2)
    yield from (Line(text, "warn", 2) for text in step.explained)
    if step.remark:
        yield Line(f"Remark: {step.remark}", depth=2)


def _was_predicted(step: Tested) -> str:
    if step.value is None:
        return f"Predicted: {step.predicted}." if step.predicted else "Nothing was predicted."
    return f"Predicted: {step.value} {step.unit} ± {step.tolerance} {step.unit}."


def recorded_data(result: RecordedTest) -> dict[str, Any]:
    """The judgement for machines."""
    return {
        "headline": recorded_headline(result),
        "commit": result.commit,
        "dry_run": result.dry_run,
        "path": result.path,
        **test_data(result.test),
    }


def test_data(test: FunctionalTest) -> dict[str, Any]:
    """One functional test for machines."""
    return {
        "asset": test.asset,
        "reading": test.reading,
        "read": test.read,
        "test": test.kind,
        "at": test.at.isoformat(),
        "by": test.by,
        "witness": test.witness or None,
        "reason": test.reason or None,
        "work_order": test.work_order or None,
        "counts": {result: test.count(result) for result in ("not_done", *(name for name, _, _ in TITLES))},
        "steps": [_tested_data(step) for step in test.steps],
    }


def _tested_data(step: Tested) -> dict[str, Any]:
    return {
        "step": step.number,
        "id": step.id,
        "from": step.start,
        "do": step.do,
        "predicted": step.predicted or None,
        "value": value(step.value),
        "unit": step.unit,
        "tolerance": value(step.tolerance),
        "observed": step.observed or None,
        "result": step.result,
        "because": step.because or None,
        "explained": list(step.explained),
        "tester": step.tester or None,
        "witness": step.witness or None,
        "remark": step.remark or None,
        "again_after_replacement": step.again,
    }


def shown_blocks(result: Shown) -> Sheet:
    """Whether the set as last left is passed; the newest test whole, the others in a line each."""
    tag = result.asset.tag
    if not result.tests:
        return (
            Line(f"{tag}: no functional test is recorded.", "warn"),
            Line(f"Print the sheet: asleft test sheet {tag}"),
        )
    newest = result.tests[-1]
    said = {True: "is passed", False: "is not passed", None: "was never done on the set as last left"}
    return (
        Line(f"{tag}: the functional test {said[result.passed]}.", "good" if result.passed else "alarm"),
        Line(f"The newest: {_summary(newest)}."),
        *_of(newest),
        *_judged(newest),
        *section(
            "Earlier tests", [block for test in reversed(result.tests[:-1]) for block in _earlier(test)]
        ),
    )


def _earlier(test: FunctionalTest) -> Iterator[Block]:
    yield Line(f"{plain_time(test.at)} by {test.by}: {_summary(test)}.", depth=1)


def shown_data(result: Shown) -> dict[str, Any]:
    """A slot's functional tests for machines."""
    return {
        "asset": result.asset.tag,
        "passed": result.passed,
        "tests": [test_data(test) for test in result.tests],
    }
