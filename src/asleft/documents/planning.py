"""The answer to ``plan``: what is to change, what to enter in which order, and the way back."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from asleft.documents.blocks import Block, Line, Sheet, count, section
from asleft.documents.data import value
from asleft.documents.diff import told
from asleft.jobs.planning import Planned
from asleft.record.days import plain_date
from asleft.replace import PutRight, Step


def blocks(result: Planned) -> Sheet:
    """What is planned, what to do, the list, the way back."""
    undo = result.undo.entries if result.undo else ()
    return (
        Line(headline(result), "" if result.entries.entries else "good"),
        *(Line(note, "warn") for note in result.notes),
        Line(_next(result)),
        *_reading(result),
        *section(
            f"Enter, in this order ({count(len(result.entries.entries), 'entry', 'entries')})",
            _steps(result.entries),
        ),
        *section(
            f"Cannot be entered: decide ({len(result.entries.decide)})",
            (Line(f"{one.key}: {one.reason}.", "alarm", 1) for one in result.entries.decide),
        ),
        *section(f"To undo it{_by(result)} ({count(len(undo), 'entry', 'entries')})", _undo(result)),
        *section(f"What changes ({len(result.told)})", told(result.told)),
    )


def headline(result: Planned) -> str:
    """What is planned, and whether it stands in the record."""
    ends = f", until {plain_date(date.fromisoformat(result.until))}" if result.until else ""
    what = f"{result.asset} planned{ends}: {count(len(result.told), 'setting')} to change"
    if result.looked:
        return f"{what} against {result.base.words}."
    if result.dry_run:
        return f"{what}; nothing recorded (dry run)."
    if result.commit is None:
        return f"{what}; the record holds just this plan already."
    return f"{what}; recorded as {result.commit[:10]}."


def _next(result: Planned) -> str:
    steps = result.entries.entries
    if not steps:
        return f"Nothing to enter: {result.base.words} stands so already."
    stopped = sum(1 for step in steps if step.stopped)
    needs = f", {stopped} of them with the drive stopped" if stopped else ""
    entries = count(len(steps), "entry", "entries")
    return (
        f"Make the {entries} below{needs}, read them back, then record: asleft snapshot "
        f"{result.asset} --from keypad --reading as-left --occasion change"
    )


def _reading(result: Planned) -> Iterator[Block]:
    reading = result.set.reading
    if reading is not None:
        why = f": {reading.reason}" if reading.reason else ""
        yield Line(f"Planned {plain_date(reading.at)} by {reading.by}{why}. Start: {result.base.words}.")


def _by(result: Planned) -> str:
    return f", at the latest on {plain_date(date.fromisoformat(result.until))}" if result.until else ""


def _undo(result: Planned) -> Iterator[Block]:
    return _steps(result.undo) if result.undo is not None and result.told else iter(())


def _steps(found: PutRight) -> Iterator[Block]:
    for place, step in enumerate(found.entries, 1):
        yield _line(place, step)


def _line(place: int, step: Step) -> Line:
    marks = [name for name, holds in (("STOPPED", step.stopped), ("SHAFT MAY TURN", step.turns)) if holds]
    mark = f"  [{', '.join(marks)}]" if marks else ""
    asked = {"read": "read; should be", "for_now": "for now"}.get(step.kind, "enter")
    return Line(f"{place:>3}. {step.native} {step.text}: now {step.now}, {asked} {step.enter}{mark}", depth=1)


def data(result: Planned) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "asset": result.asset,
        "headline": headline(result),
        "base": result.base.words,
        "commit": result.commit,
        "dry_run": result.dry_run,
        "until": result.until or None,
        "reason": result.set.reading.reason if result.set.reading else "",
        "changes": [
            {
                "key": one.change.key,
                "old": value(one.change.old),
                "new": value(one.change.new),
                "words": one.words,
                "effects": list(one.effects),
            }
            for one in result.told
        ],
        "notes": list(result.notes),
        "entries": [_data(step) for step in result.entries.entries],
        "decide": [{"key": one.key, "reason": one.reason} for one in result.entries.decide],
        "undo": [_data(step) for step in result.undo.entries] if result.undo else [],
    }


def _data(step: Step) -> dict[str, Any]:
    return {
        "kind": step.kind,
        "id": step.native,
        "text": step.text,
        "menu": step.menu,
        "keys": list(step.keys),
        "now": step.now,
        "enter": step.enter,
        "stopped": step.stopped,
        "shaft_may_turn": step.turns,
        "why": step.why,
    }
