"""The answer to ``compare``: what differs, and the put-right list."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Literal

from asleft.documents import behaviour, definitions
from asleft.documents.blocks import BLANK, Block, Line, Sheet, count, section
from asleft.documents.data import value
from asleft.documents.diff import UNSAID, change_data, named, not_read, told, unsaid
from asleft.explain import capital, said
from asleft.jobs.comparing import UnitComparison
from asleft.jobs.leaving import Left
from asleft.record.days import plain_date
from asleft.replace import OUTCOMES, Decision, LedgerRow, Step
from asleft.vocabulary import vocabulary

Part = Literal["", "tonight", "morning"]
"""The whole list, what must be right before the first start, or what may wait until morning."""


def blocks(result: UnitComparison, part: Part = "", left: Left | None = None) -> Sheet:
    """What matters, what to do, the cautions once, then the list or a part of it.

    ``left`` is what was recorded of the part that waits.
    """
    list_ = result.put_right
    if part == "morning":
        return _morning(result, left)
    steps = list_.tonight if part else list_.steps
    entries = [step for step in steps if step.kind != "do"]
    return (
        Line(headline(result), "alarm" if result.differs else "good"),
        Line(_next(result, steps)),
        *_waits(result, part),
        Line(f"Record: {result.record.words}. Unit: {result.unit.asked}, {result.unit.side.set.model}."),
        *definitions.notes(result.definitions, beyond=False),
        *section("Before you touch the unit", (Line(text, "warn", 1) for text in list_.cautions)),
        *section(f"Decide: cannot be entered here ({len(list_.decide)})", _decisions(result)),
        *section(f"{_TITLES[part]} ({count(len(entries), 'entry', 'entries')})", _steps(steps)),
        *section(
            "Before energising a replaced unit",
            (Line(f"[ ] {text}", depth=1) for text in list_.before_energising),
        ),
        *behaviour.blocks(result.behaviour, title="When the list is done it still behaves differently"),
        *definitions.listed(result.definitions),
        *section(UNSAID, unsaid(result.told, _beside_cautions(list_.comparison.notes))),
        *section("Acts in the unit, and the record says nothing of it", _unasked(result)),
        *section("Converted for this unit", _converted(result)),
        *section(f"Settings that differ ({len(result.told)})", told(result.told, list_.comparison.notes)),
        *section("Not copied, and why", _not_copied(result)),
        *section(f"Not read ({len(list_.comparison.not_read)})", not_read(list_.comparison.not_read)),
    )


def headline(result: UnitComparison) -> str:
    """What matters most."""
    list_ = result.put_right
    tag = result.record.asset.tag if result.record.asset else ""
    if not result.differs:
        return f"The unit holds the record of {tag}: nothing to enter."
    decide = (
        f", and {count(len(list_.decide), 'setting')} it cannot hold: decide first" if list_.decide else ""
    )
    entries = count(len(list_.entries), "entry brings", "entries bring")
    return f"{entries} the unit to the record of {tag}{decide}."


_TITLES: Mapping[Part, str] = {
    "": "Put right, in this order",
    "tonight": "Put right before the first start, in this order",
    "morning": "Put right by the day named, in this order",
}


def _waits(result: UnitComparison, part: Part) -> Iterator[Block]:
    waiting = len(result.put_right.tomorrow)
    if waiting:
        left_out = "is left out here" if waiting == 1 else "are left out here"
        what = left_out if part else "may wait until morning"
        yield Line(f"{waiting} of the entries {what}: see --morning.")


def _morning(result: UnitComparison, left: Left | None) -> Sheet:
    steps, tag = result.put_right.tomorrow, result.record.asset.tag if result.record.asset else ""
    number = count(len(steps), "entry", "entries")
    if not steps:
        return (Line(f"Nothing of the list for {tag} may wait until morning.", "good"),)
    if left is None:
        then = "Name the day, and it is recorded and shown when overdue: --until DATE --reason TEXT."
    elif left.commit:
        then = f"Recorded as {left.commit[:10]}; shown when overdue: asleft plan {tag}"
    else:
        then = "Nothing recorded (dry run)." if left.dry_run else "The record holds just this already."
    until = f", to be made by {plain_date(left.until)}" if left else ""
    locked = [step for step in result.put_right.tonight if set(step.keys) & {"access.setting_lock"}]
    lock = "The settings are locked by then: open the lock first, and lock it again."
    return (
        Line(f"{number} for {tag} may wait until morning{until}.", "warn"),
        Line(then),
        *([Line(lock)] if locked else []),
        *section(f"{_TITLES['morning']} ({number})", _steps(steps)),
    )


def _next(result: UnitComparison, steps: Sequence[Step]) -> str:
    if not result.differs:
        return "Prove it: do the functional tests marked for a replacement, then record as left."
    stopped = sum(1 for step in steps if step.stopped and step.kind != "do")
    turning = sum(1 for step in steps if step.turns)
    return (
        f"Enter them in the order given: {count(stopped, 'needs', 'need')} the drive stopped, "
        f"and at {count(turning, 'step')} the shaft may turn."
    )


def _decisions(result: UnitComparison) -> Iterator[Block]:
    for one in result.put_right.decide:
        parameter = vocabulary().get(one.key)
        label = capital(parameter.label) if parameter else one.key
        wanted = said(parameter, one.wanted) if parameter else str(one.wanted)
        yield Line(f"{label}: the record has {wanted}; {one.reason}.", "alarm", 1)
        yield Line(one.consequence, depth=2)
        if one.breached:
            yield Line(f"What it does instead breaches {_rules(one.breached)}.", depth=2)
        for option in one.options:
            met = f" Meets {_rules(option.met)}." if option.met else ""
            breached = f" Breaches {_rules(option.breached)}." if option.breached else ""
            yield Line(f"Could be {option.words}.{met}{breached}", depth=2)
        if one.remedy:
            yield Line(one.remedy, depth=2)


def _rules(numbers: tuple[str, ...]) -> str:
    return f"{'rule' if len(numbers) == 1 else 'rules'} {', '.join(numbers)}"


def _steps(steps: Sequence[Step]) -> Iterator[Block]:
    stage = 0
    for step in steps:
        if step.stage != stage:
            stage = step.stage
            yield BLANK
        yield from _step(step)


def _step(step: Step) -> Iterator[Block]:
    marks = [name for name, holds in (("STOPPED", step.stopped), ("SHAFT MAY TURN", step.turns)) if holds]
    mark = f"  [{', '.join(marks)}]" if marks else ""
    if step.kind == "do":
        yield Line(f"{step.number:>3}. {step.text}{mark}", depth=1)
        return
    asked = {"entry": "enter", "read": "read; should be", "for_now": "for now, enter"}[step.kind]
    yield Line(
        f"{step.number:>3}. {step.native} {step.text}: now {step.now}, {asked} {step.enter}{mark}", depth=1
    )
    yield Line(f"     {step.menu}. {step.why}".rstrip(), "dim", 1)
    if step.does:
        yield Line(f"     {step.does}", depth=1)


def _beside_cautions(notes: Mapping[str, tuple[str, ...]]) -> Mapping[str, tuple[str, ...]]:
    """The notes, but for that on firmware, which is a caution at the top."""
    return {key: texts for key, texts in notes.items() if key != "drive.firmware_version"}


def _unasked(result: UnitComparison) -> Iterator[Block]:
    for one in result.put_right.unasked:
        label = capital(vocabulary()[one.key].label)
        origin = ", as from the factory" if one.factory else ""
        yield Line(f"{label}: {one.native} shows {one.shows}{origin}. {capital(one.why)}.", depth=1)


def _converted(result: UnitComparison) -> Iterator[Block]:
    for row in (*result.put_right.ledger, *result.put_right.implied):
        if row.sum:
            label = capital(vocabulary()[row.key].label) if row.key in vocabulary() else row.key
            error = f" ({row.error})" if row.error else ""
            yield Line(f"{label}: {row.sum}{error}.", depth=1)


def _not_copied(result: UnitComparison) -> Iterator[Block]:
    reasons: dict[str, list[str]] = {}
    for row in result.put_right.ledger:
        if row.outcome in ("not_copied", "identify", "slot"):
            label = vocabulary()[row.key].label if row.key in vocabulary() else row.key
            reasons.setdefault(row.why, []).append(label)
    for why, keys in reasons.items():
        yield Line(f"{why}: {', '.join(keys)}", depth=1)


def data(result: UnitComparison, part: Part = "", left: Left | None = None) -> dict[str, Any]:
    """The answer for machines; of the list, the steps of the part."""
    list_ = result.put_right
    steps = {"": list_.steps, "tonight": list_.tonight, "morning": list_.tomorrow}[part]
    comparison = list_.comparison
    return {
        "headline": headline(result),
        "old": named(result.record),
        "new": named(result.unit),
        "coverage": {"alike": comparison.alike, "not_read": len(comparison.not_read)},
        "changes": [change_data(one) for one in result.told],
        "other_classes": {name: [change_data(one) for one in ones] for name, ones in result.others.items()},
        "same_in_effect": [{"key": one.key, "why": one.why} for one in comparison.same_in_effect],
        "cannot_tell": [{"key": one.key, "why": one.why} for one in comparison.cannot_tell],
        "not_read": [{"key": one.key, "side": one.side, "why": one.why} for one in comparison.not_read],
        "behaviour": behaviour.data(result.behaviour),
        "behaviour_coverage": behaviour.coverage_data(result.behaviour),
        "definitions": definitions.definitions_data(result.definitions),
        "cautions": list(list_.cautions),
        "before_energising": list(list_.before_energising),
        "notes": {key: list(texts) for key, texts in sorted(comparison.notes.items())},
        "unasked": [
            {"key": one.key, "value": value(one.value), "id": one.native, "shows": one.shows, "why": one.why}
            for one in list_.unasked
        ],
        "implied": [_ledger_data(row) for row in list_.implied],
        "ledger": [_ledger_data(row) for row in list_.ledger],
        "part": part or None,
        "until": left.until.isoformat() if left else None,
        "commit": left.commit if left else None,
        "put_right": [_step_data(step) for step in steps if step.kind != "do"],
        "work": [_step_data(step) for step in steps if step.kind == "do"],
        "decide": [_decision_data(one) for one in list_.decide],
    }


def _ledger_data(row: LedgerRow) -> dict[str, Any]:
    return {
        "key": row.key,
        "outcome": row.outcome,
        "means": OUTCOMES[row.outcome],
        "why": row.why,
        "value": value(row.value),
        "sum": row.sum,
        "error": row.error,
        "ids": list(row.natives),
        "steps": list(row.steps),
    }


def _step_data(step: Step) -> dict[str, Any]:
    return {
        "step": step.number,
        "stage": step.stage,
        "kind": step.kind,
        "id": step.native or None,
        "text": step.text,
        "menu": step.menu or None,
        "key": step.keys[0] if step.keys else None,
        "keys": list(step.keys),
        "now": step.now,
        "enter": step.enter,
        "stopped": step.stopped,
        "shaft_may_turn": step.turns,
        "why": step.why,
        "does": step.does,
        "needs": list(step.needs),
        "tonight": step.tonight,
    }


def _decision_data(one: Decision) -> dict[str, Any]:
    return {
        "key": one.key,
        "wanted": value(one.wanted),
        "holds": value(one.holds),
        "reason": one.reason,
        "consequence": one.consequence,
        "breaches": list(one.breached),
        "options": [
            {"value": value(o.value), "words": o.words, "met": list(o.met), "breached": list(o.breached)}
            for o in one.options
        ],
        "remedy": one.remedy,
    }
