"""The answer to ``snapshot``."""

from __future__ import annotations

from typing import Any

from asleft.documents.blocks import Line, Sheet, count, section
from asleft.documents.diff import told
from asleft.explain import capital
from asleft.explain.explained import tell
from asleft.jobs.naming import words_of
from asleft.jobs.snapshot import Snapshot

_MOST_UNREAD = 12


def blocks(result: Snapshot) -> Sheet:
    """What was recorded, what differs, what to look at again."""
    changes = result.comparison.changes if result.comparison else ()
    return (
        Line(headline(result), "good" if result.commit else "warn"),
        Line(_next(result)),
        Line(_share(result)),
        *section(
            f"Look at these again ({len(result.taken.warnings)})",
            (Line(str(fault), "warn", 1) for fault in result.taken.warnings),
        ),
        *section(f"Differs from {_against(result)} ({len(changes)})", told(tell(changes))),
        *section(f"Not read ({len(result.set.not_read)})", _unread(result)),
    )


def headline(result: Snapshot) -> str:
    """What stands in the record now."""
    assert result.set.reading is not None
    what = f"{result.asset} {result.set.reading.kind.replace('_', ' ')}"
    if result.dry_run:
        return f"{what}: nothing recorded (dry run)."
    if result.commit is None:
        return f"{what}: the record holds just this reading already; nothing was added."
    return f"{what}: recorded as {result.commit[:10]}."


def _next(result: Snapshot) -> str:
    changes = len(result.comparison.changes) if result.comparison else 0
    if result.current is not None:
        return f"{capital(words_of(result.current))}, was read later and stays the current one."
    if result.against is None:
        return f"It is the first reading of {result.asset}. Judge it: asleft check {result.asset}"
    if not changes:
        return f"No setting {_that_was_read(result)}differs from {_against(result)}."
    found = result.set.reading is not None and result.set.reading.kind == "as_found"
    said = "changed with nobody saying so" if found else "changed in this visit"
    point = f"{result.asset}@found" if found else result.asset
    return f"{count(changes, 'setting')} {said}. Judge it: asleft check {point}"


def _that_was_read(result: Snapshot) -> str:
    unread = result.comparison.not_read if result.comparison else ()
    return f"that was read on both sides ({len(unread)} were not) " if unread else ""


def _against(result: Snapshot) -> str:
    return words_of(result.against) if result.against else "nothing"


def _share(result: Snapshot) -> str:
    read, total = result.taken.share
    model = f" of {result.set.model}" if result.set.model else ""
    kept = count(len(result.set.native), "entry", "entries")
    told = f"{read} of {count(total, 'key')}{model} read, by {result.taken.how}"
    return f"{told}; {kept} kept without a meaning."


def _unread(result: Snapshot) -> list[Line]:
    reasons: dict[str, list[str]] = {}
    for key, why in result.set.not_read.items():
        reasons.setdefault(why, []).append(key)
    lines = []
    for why, keys in reasons.items():
        named = ", ".join(keys[:_MOST_UNREAD])
        more = f" and {len(keys) - _MOST_UNREAD} more" if len(keys) > _MOST_UNREAD else ""
        lines.append(Line(f"{why}: {named}{more}", "dim", 1))
    return lines


def data(result: Snapshot) -> dict[str, Any]:
    """The answer for machines."""
    read, total = result.taken.share
    reading = result.set.reading
    return {
        "asset": result.asset,
        "reading": reading.kind if reading else None,
        "commit": result.commit,
        "dry_run": result.dry_run,
        "model": result.set.model,
        "model_version": result.set.model_version,
        "how": result.taken.how,
        "read": read,
        "entries": total,
        "not_read": dict(result.set.not_read),
        "native": dict(result.set.native),
        "changes": [change.key for change in result.comparison.changes] if result.comparison else [],
        "warnings": [str(fault) for fault in result.taken.warnings],
    }
