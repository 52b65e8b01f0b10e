"""The functional test: the sheet to fill in, and what was observed."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from asleft.documents.blocks import BLANK, Block, Line, Sheet, Tone, count, section
from asleft.documents.coverage import coverage_data, coverage_lines
from asleft.documents.data import value
from asleft.explain import capital
from asleft.record.days import plain_time

if TYPE_CHECKING:
    from asleft.files.tests import FunctionalTest, Tested
    from asleft.jobs.testing import PrintedSheet, RecordedTest, Shown
    from asleft.prove.sheet import Step

CAUTIONS = {
    "turns": "SHAFT TURNS",
    "may turn": "SHAFT MAY TURN",
    "starts by itself": "STARTS BY ITSELF",
    "": "",
}
LOADS = {"any": "any load", "empty": "empty machine", "normal": "normal load"}
COLUMNS = (
    "step", "from", "do", "predicted", "tolerance", "unit", "caution", "again",
    "observed", "tester", "witness", "remark", "note", "id",
)  # fmt: skip
RESULTS = {
    "pass": "pass",
    "fail": "FAIL",
    "cannot_tell": "cannot tell",
    "left_out": "left out",
    "not_done": "not done",
}
BEFORE = (
    "The shaft turns in most steps. Keep people clear, guards on, the emergency stop tried and within reach.",
    "SHAFT MAY TURN: it must stay at rest there, and will not if a setting is wrong.",
    "Only the drive is tried: pull-cords, guards, lids and safe torque off are the machine's own circuit.",
    "Control wires are lifted and put back with the motor at rest where the step does not say running.",
)


def blocks(result: PrintedSheet) -> Sheet:
    """The sheet: what it is of, what to heed, each step with room to write, who signs."""
    return (
        Line(headline(result), "head"),
        Line(_next(result)),
        *_head(result),
        *section("Before the first start", (Line(text, "warn", 1) for text in BEFORE)),
        *(Line(text, depth=1) for text in result.notes),
        *_steps(result.steps),
        *section("Not on this sheet", (Line(text, depth=1) for text in result.sheet.left_out)),
        *section(
            "How far the set is followed",
            (Line(t, "dim", 1) for t in coverage_lines(result.sheet.coverage, result.named.side.values)),
        ),
        *section(
            "Signed",
            [
                Line(f"{who}: ____________________  date and time: ____________", depth=1)
                for who in ("Tester", "Witness")
            ],
        ),
    )


def headline(result: PrintedSheet) -> str:
    """How many steps, and how many of them nothing is predicted of."""
    number = count(len(result.steps), "step")
    what = "functional test again after a replacement" if result.only_again else "functional test"
    open_ones = sum(bool(step.cannot) for step in result.steps)
    rest = f", {open_ones} of them to be judged by eye" if open_ones else ""
    return f"{result.asset.tag} {what}: {number}{rest}."


def _next(result: PrintedSheet) -> str:
    asked = result.named.asked
    return (
        "Do them in order and write down what you see. A table to fill in: asleft test sheet "
        f"{asked} --format csv -o FILE. Then: asleft test record {asked} --from FILE"
    )


def _head(result: PrintedSheet) -> Iterator[Block]:
    slot = ", ".join(filter(None, (result.asset.tag, result.asset.designation)))
    kind = "first test" if result.kind == "first" else "retest"
    yield Line(f"{slot}, {kind}. Predicted from: {result.named.words}.")
    yield Line(
        "Tolerances (common practice, no source): Hz ± 0.1, times ± (0.5 s + 5 %), A ± 5 %, mA ± 0.1, "
        "V ± 0.05. AGAIN: repeat after the unit is replaced."
    )


def _steps(steps: Iterable[Step]) -> Iterator[Block]:
    topic = ""
    for step in steps:
        if step.topic != topic:
            topic = step.topic
            yield from (BLANK, Line(topic, "head"))
        yield from _step(step)


def _step(step: Step) -> Iterator[Block]:
    marks = filter(
        None,
        (CAUTIONS[step.caution], "SUPPLY SWITCHED" if step.supply else "", "AGAIN" if step.again else ""),
    )
    tone: Tone = "alarm" if step.caution == "starts by itself" else ""
    conditions = f"{capital(step.start)}; {LOADS[step.load]}, supply on."
    yield Line(f"{step.number}. {conditions}  [{', '.join(marks)}]", tone, 1)
    yield Line(f"Do: {capital(step.words)}{'' if step.words.endswith('?') else '.'}", depth=2)
    yield Line(_predicted(step), depth=2)
    if step.note:
        yield Line(step.note, "dim", 2)
    yield Line(f"Observed: {_room(step)}  ☐ pass  ☐ fail   tester ______  witness ______", depth=2)


def _room(step: Step) -> str:
    unit = step.unit or ""
    return f"__________ {unit}" if unit else "yes / no __________"


def _predicted(step: Step) -> str:
    if step.cannot:
        return f"Not predicted: {step.cannot}."
    if step.value is None:
        return f"Predicted: {step.says}."
    return f"Predicted: {step.value} {step.unit} ± {step.tolerance} {step.unit} ({step.says})."


def as_csv(result: PrintedSheet) -> str:
    """The sheet as a table to fill in and hand back."""
    out = io.StringIO(newline="")
    table = csv.writer(out, lineterminator="\n")
    table.writerow(COLUMNS)
    for step in result.steps:
        predicted = f"not predicted: {step.cannot}" if step.cannot else step.predicted
        number = "" if step.value is None else step.value
        row: tuple[object, ...] = (
            step.number, step.start, step.words, predicted if number == "" else number,
            step.tolerance or "", step.unit if step.value is not None else "", CAUTIONS[step.caution],
            "yes" if step.again else "", "", "", "", "", _note(step), step.id,
        )  # fmt: skip
        table.writerow(row)
    return out.getvalue()


def _note(step: Step) -> str:
    load = LOADS[step.load] if step.load != "any" else ""
    return "; ".join(filter(None, (load, "supply switched" if step.supply else "", step.note)))


def data(result: PrintedSheet) -> dict[str, Any]:
    """The sheet for machines."""
    from asleft.documents.diff import named

    return {
        "asset": result.asset.tag,
        "set": named(result.named),
        "headline": headline(result),
        "test": result.kind,
        "only_again": result.only_again,
        "steps": [_step_data(step) for step in result.steps],
        "left_out": list(result.sheet.left_out),
        "notes": list(result.notes),
        "coverage": coverage_data(result.sheet.coverage),
    }


def _step_data(step: Step) -> dict[str, Any]:
    return {
        "step": step.number,
        "id": step.id,
        "topic": step.topic,
        "from": step.start,
        "do": step.words,
        "load": LOADS[step.load],
        "supply": "switched" if step.supply else "on",
        "predicted": step.says or None,
        "value": value(step.value),
        "unit": step.unit,
        "tolerance": value(step.tolerance),
        "not_predicted_because": step.cannot or None,
        "caution": step.caution,
        "again_after_replacement": step.again,
        "note": step.note or None,
        "lines": [*step.recipe.before, *step.recipe.acts] if step.recipe else [],
    }


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
    for result, title, tone in (
        ("fail", "Failed", "alarm"),
        ("cannot_tell", "Cannot tell", "warn"),
        ("left_out", "Left out", ""),
        ("pass", "Passed", ""),
    ):
        held = [step for step in test.steps if step.result == result]
        lines = (line for step in held for line in _tested(step, tone))  # type: ignore[arg-type]
        yield from section(f"{title} ({len(held)})", lines)
    left = [step.number for step in test.steps if step.result == "not_done"]
    lines = [Line(f"Steps {_ranges(left)}.", depth=1)] if left else []
    yield from section(f"Not done ({len(left)})", lines)


def _ranges(numbers: list[int]) -> str:
    """``1 to 3, 7``."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


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
        "counts": {result: test.count(result) for result in RESULTS},
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
