"""The functional test sheet: to read, to fill in, for machines."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from asleft.documents.blocks import BLANK, Block, Line, Sheet, Tone, count, section
from asleft.documents.coverage import coverage_data, coverage_lines
from asleft.documents.data import value
from asleft.explain import capital
from asleft.prove.cautions import BEFORE, marks
from asleft.prove.sheet import LOADS, Step

if TYPE_CHECKING:
    from asleft.jobs.testing import PrintedSheet

COLUMNS = (
    "step", "from", "do", "predicted", "tolerance", "unit", "caution", "again",
    "observed", "tester", "witness", "remark", "note", "id",
)  # fmt: skip


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
    """How many steps, and of how many of them nothing is predicted."""
    number = count(len(result.steps), "step")
    what = "functional test again after a replacement" if result.only_again else "functional test"
    open_ones = sum(bool(step.cannot) for step in result.steps)
    rest = f", {open_ones} of them without a prediction" if open_ones else ""
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
    marked = (*marks(step), *(("AGAIN",) if step.again else ()))
    tone: Tone = "alarm" if step.caution == "starts by itself" else ""
    supply = "supply switched in this step" if step.supply else "supply on"
    conditions = f"{capital(step.start)}; {LOADS[step.load]}, {supply}."
    yield Line(f"{step.number}. {conditions}  [{', '.join(marked)}]", tone, 1)
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
        return f"Cannot tell: {step.cannot}. Note what you see."
    if step.value is None:
        return f"Predicted: {step.says}."
    return f"Predicted: {step.value} {step.unit} ± {step.tolerance} {step.unit} ({step.says})."


def as_csv(result: PrintedSheet) -> str:
    """The sheet as a table to fill in and hand back."""
    out = io.StringIO(newline="")
    table = csv.writer(out, lineterminator="\n")
    table.writerow(COLUMNS)
    for step in result.steps:
        predicted = f"cannot tell: {step.cannot}" if step.cannot else step.predicted
        number = "" if step.value is None else step.value
        row: tuple[object, ...] = (
            step.number, step.start, step.words, predicted if number == "" else number,
            step.tolerance or "", step.unit if step.value is not None else "", ", ".join(marks(step)),
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
        "load_may_fall": step.hangs,
        "again_after_replacement": step.again,
        "note": step.note or None,
        "lines": [*step.recipe.before, *step.recipe.acts] if step.recipe else [],
    }
