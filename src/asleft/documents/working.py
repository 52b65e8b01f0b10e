"""The answer to ``compare --work``: what was recorded, what is still to be done."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from asleft.documents.blocks import Block, Line, Sheet, count, section
from asleft.explain import capital
from asleft.jobs.replacing import Replaced
from asleft.record.days import plain_date
from asleft.vocabulary import vocabulary


def blocks(result: Replaced) -> Sheet:
    """What stands now, what to do next, then what was left, ended and decided."""
    done = result.worked
    return (
        Line(headline(result), "good" if result.is_right else "alarm"),
        Line(_next(result)),
        *_slot(result),
        *_left(result),
        *section(f"Reads otherwise than it should ({len(result.strays)})", _strays(result)),
        *section(
            f"Left out ({len(done.left_out)})", (Line(f"{o.text}: {o.why}", depth=1) for o in done.left_out)
        ),
        *section(f"Waivers that ended with the old unit ({len(result.waivers)})", _waivers(result)),
        *section(f"Decided ({len(done.decided)})", _decided(result)),
        *section(f"Before energising, not answered ({len(done.open_questions)})", _open_questions(result)),
        *section(f"Functional tests to repeat ({len(result.tests)})", _tests(result)),
    )


def headline(result: Replaced) -> str:
    """What was done, and whether it is right."""
    made = f"{count(result.worked.made, 'entry', 'entries')} made and read back"
    stands = (
        f"recorded as {result.snapshot.commit[:10]}"
        if result.snapshot.commit
        else "nothing recorded (dry run)"
        if result.snapshot.dry_run
        else "recorded already"
    )
    wrong = []
    if result.strays:
        wrong.append(f"{count(len(result.strays), 'entry reads', 'entries read')} otherwise than it should")
    if result.worked.left_out:
        wrong.append(f"{count(len(result.worked.left_out), 'step')} left out")
    if wrong:
        return f"{result.asset} is NOT as its record: {' and '.join(wrong)}. {capital(made)}; {stands}."
    done = "replaced" if result.replaced else "put right"
    return f"{result.asset} {done}: {made}, and the unit holds the list; {stands}."


def _next(result: Replaced) -> str:
    if result.strays:
        return f"Put these right before it runs, then: asleft compare {result.asset} with the unit's reading."
    if result.tests:
        number = count(len(result.tests), "functional test")
        return f"Repeat {number} before it goes back to work: asleft test sheet {result.asset} --again"
    if not result.replaced:
        return f"Prove what was changed: asleft test sheet {result.asset}"
    why = result.no_tests or "none is marked"
    return f"Prove it before it goes back to work; the tests cannot be told: {why}."


def _slot(result: Replaced) -> Iterator[Block]:
    if result.model_before:
        now = result.snapshot.set.model
        yield Line(f"The slot's drive model is {now} now; it was {result.model_before}.")


def _left(result: Replaced) -> Iterator[Block]:
    left = result.left
    if left is not None:
        number = count(len(left.steps), "entry waits", "entries wait")
        tag = result.asset
        yield Line(
            f"{number} until {plain_date(left.until)}; then: asleft compare {tag}@planned {tag}@left --work",
            "warn",
        )


def _strays(result: Replaced) -> Iterator[Block]:
    for one in result.strays:
        found = f"reads {one.found}" if one.found else "was not read"
        yield Line(f"{one.native} {one.text}: {found}, should be {one.wanted}", "alarm", 1)


def _waivers(result: Replaced) -> Iterator[Block]:
    for waiver in result.waivers:
        yield Line(f"{waiver.id}, rule {waiver.rule}: {waiver.reason}", depth=1)


def _decided(result: Replaced) -> Iterator[Block]:
    for one in result.worked.decided:
        label = capital(vocabulary()[one.key].label) if one.key in vocabulary() else one.key
        chosen = {"option": one.chosen, "leave": "left as the unit has it", "words": one.chosen}.get(
            one.how, "OPEN"
        )
        by = f", {one.by}" if one.by else ""
        yield Line(f"{label}: {chosen.replace('_', ' ')}{by}: {one.why}", depth=1)


def _open_questions(result: Replaced) -> Iterator[Block]:
    for question, why in result.worked.open_questions.items():
        yield Line(f"{question} {capital(why)}.", "warn", 1)


def _tests(result: Replaced) -> Iterator[Block]:
    for one in result.tests:
        yield Line(f"{one.number}. {capital(one.words)}: {one.predicted or 'to be seen'}.", depth=1)


def data(result: Replaced) -> dict[str, Any]:
    """The answer for machines."""
    done = result.worked
    return {
        "asset": result.asset,
        "replaced": result.replaced,
        "headline": headline(result),
        "commit": result.snapshot.commit,
        "dry_run": result.snapshot.dry_run,
        "model": result.snapshot.set.model,
        "model_before": result.model_before or None,
        "made": done.made,
        "strays": [
            {"id": one.native, "text": one.text, "wanted": one.wanted, "found": one.found or None}
            for one in result.strays
        ],
        "left_out": [{"step": one.text, "id": one.native or None, "why": one.why} for one in done.left_out],
        "decided": [
            {"key": one.key, "how": one.how, "chosen": one.chosen or None, "by": one.by, "why": one.why}
            for one in done.decided
        ],
        "questions": {**dict.fromkeys(done.open_questions), **done.answers},
        "wires": [{"wire": w, "old_terminal": old, "new_terminal": new} for w, old, new in done.wires],
        "switches": [{"name": name, "position": position} for name, position in done.switches],
        "waivers_ended": [waiver.id for waiver in result.waivers],
        "tests": [
            {"step": one.number, "words": one.words, "predicted": one.predicted} for one in result.tests
        ],
        "tests_not_told": result.no_tests or None,
        "until": result.left.until.isoformat() if result.left else None,
        "waits": [step.native for step in result.left.steps] if result.left else [],
    }
