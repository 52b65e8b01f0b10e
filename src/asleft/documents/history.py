"""The answer to ``history``."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from asleft.documents import broken, joined
from asleft.documents.blocks import BLANK, Block, Line, Sheet, count, rows, section
from asleft.explain import capital
from asleft.files.replacements import PARTS
from asleft.jobs.apart import Apart
from asleft.jobs.looking import Event, History, Kept
from asleft.record.days import plain_time
from asleft.vocabulary import vocabulary


def blocks(history: History) -> Sheet:
    """Newest last, as it happened."""
    asset = history.asset
    lost = broken.passed_over(history.lost, 0)
    if not history.events:
        return (
            Line(f"{asset.tag}: nothing was ever read."),
            Line(f"Record it: asleft snapshot {asset.tag} …"),
            *lost,
        )
    last = history.events[-1]
    return (
        Line(f"{asset.tag}: {count(len(history.events), 'reading')}, the last {_when(last)}.", "head"),
        *lost,
        *joined.lines(history.apart, 0),
        BLANK,
        *rows(
            ("read", "reading", "occasion", "by", "changes", "breaches", "why"),
            (_event(event, history.apart) for event in history.events),
        ),
        *section("Units put right", (line for one in history.kept for line in _kept(one))),
    )


def _when(event: Event) -> str:
    return plain_time(event.recorded.at)


def _event(event: Event, apart: Sequence[Apart]) -> tuple[str, ...]:
    reading = event.recorded.reading
    why = " ".join(filter(None, (reading.reason, f"({reading.work_order})" if reading.work_order else "")))
    changes = "-" if event.changes is None else str(event.changes)
    kind = reading.kind.replace("_", " ")
    if event.recorded.corrected_by:
        why = f"WRONG, corrected by {event.recorded.corrected_by[:10]}. {why}".strip()
    why = f"{joined.mark(event.recorded, apart)} {why}".strip()
    return (_when(event), kind, reading.occasion, reading.by, changes, str(event.breaches), why or "-")


def _kept(one: Kept) -> Iterator[Block]:
    if one.done is None:
        yield from (Line(f"It cannot be read: {fault}", "warn", 1) for fault in one.faults)
        return
    done = one.done
    what = "Replaced" if one.replaced else "Put right"
    order = f", work order {done.work_order}" if done.work_order else ""
    why = f": {done.reason}" if done.reason else ""
    yield Line(f"{what} {plain_time(done.at)} by {done.by}{why}{order}.", depth=1)
    yield Line(f"Unit {done.unit}, {done.model}, put right to {done.read}.", depth=2)
    for part, says in _SAYS.items():
        yield from (Line(says(row), depth=2) for row in done.parts.get(part, ()))
    yield Line(f"Kept in {one.path}", "dim", 2)


def _decided(row: Mapping[str, str]) -> str:
    parameter, how = vocabulary().get(row.get("key", "")), row.get("how", "")
    name = capital(parameter.label) if parameter else row.get("key", "")
    became = {"open": "not decided", "leave": "left as the unit has it"}.get(how) or row.get("chosen", "")
    if parameter and how == "option" and became in parameter.choices:
        became = parameter.choices[became].says
    by = f", by {row['by']}" if row.get("by") else ""
    why = f": {row['why']}" if row.get("why") else ""
    return f"{name}, recorded as {row.get('recorded', '')}: {became}{by}{why}."


def _asked(row: Mapping[str, str]) -> str:
    answer = row.get("answer") or f"not answered, {row.get('not_answered', '')}"
    return f"Asked: {row.get('question', '')} {answer}."


def _wire(row: Mapping[str, str]) -> str:
    if row.get("not_listed"):
        return f"Wires were not listed: {row['not_listed']}."
    old, new = row.get("old_terminal", "none"), row.get("new_terminal", "none")
    return f"Wire {row.get('wire', '')}: old terminal {old}, new terminal {new}."


_SAYS: Mapping[str, Callable[[Mapping[str, str]], str]] = {
    "left_out": lambda row: f"LEFT OUT: {row.get('step', '')}, {row.get('enter', '')}: {row.get('why', '')}.",
    "decided": _decided,
    "asked": _asked,
    "wires": _wire,
    "switches": lambda row: f"Switch or link {row.get('name', '')}: {row.get('position', '')}.",
}


def data(history: History) -> dict[str, Any]:
    """The history for machines."""
    return {
        "asset": history.asset.tag,
        "cannot_read": [broken.fault_data(fault) for fault in history.lost],
        "readings": [
            {
                "at": event.recorded.at.isoformat(),
                "reading": event.recorded.reading.kind,
                "occasion": event.recorded.reading.occasion,
                "by": event.recorded.reading.by,
                "how": event.recorded.reading.how,
                "reason": event.recorded.reading.reason,
                "work_order": event.recorded.reading.work_order,
                "commit": event.recorded.commit,
                "corrected_by": event.recorded.corrected_by or None,
                "changes": event.changes,
                "breaches": event.breaches,
            }
            for event in history.events
        ],
        "recorded_apart": joined.data(history.apart),
        "units_put_right": [_kept_data(one) for one in history.kept],
    }


def _kept_data(one: Kept) -> dict[str, Any]:
    if one.done is None:
        return {"path": one.path, "faults": [broken.fault_data(fault) for fault in one.faults]}
    done = one.done
    return {
        "path": one.path,
        "replaced": one.replaced,
        "at": done.at.isoformat(),
        "by": done.by,
        "reason": done.reason,
        "work_order": done.work_order,
        "unit": done.unit,
        "model": done.model,
        "reading": done.reading or None,
        "read": done.read,
        **{name: [dict(row) for row in done.parts.get(name, ())] for name in PARTS},
    }
