"""The answer to ``check``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from asleft.documents import broken
from asleft.documents.blocks import Block, Line, Sheet, count, section
from asleft.documents.diff import named
from asleft.documents.finding import finding_data, findings
from asleft.jobs.checking import Check
from asleft.record.days import plain_date


def blocks(result: Check) -> Sheet:
    """Worst first: breaches, what cannot be told, what is waived; the rest is counted."""
    by = {
        name: [one for one in result.findings if one.result == name]
        for name in ("breached", "cannot_tell", "waived", "not_applicable", "met")
    }
    standing = [one for one in by["breached"] if not one.accepted]
    accepted = [one for one in by["breached"] if one.accepted]
    return (
        *broken.lines(result.broken, "judged"),
        Line(headline(result), "alarm" if result.fails else "warn" if result.is_undecided else "good"),
        Line(_next(result)),
        Line(f"{_sets(result)} Judged as of {plain_date(result.on)}: {counts(result)}."),
        *section(f"Breached ({len(standing)})", findings(standing)),
        *section(f"Cannot tell ({len(by['cannot_tell'])})", findings(by["cannot_tell"])),
        *section(f"Breached, accepted for now ({len(accepted)})", findings(accepted)),
        *section(f"Covered by a waiver ({len(by['waived'])})", findings(by["waived"])),
        *section("Waivers", (Line(note.words, depth=1) for note in result.notes)),
        *section("Not judged", _not_judged(result)),
    )


def headline(result: Check) -> str:
    """What matters most."""
    worst = next((one for one in result.findings if one.fails), None)
    if worst is not None:
        number = sum(1 for one in result.findings if one.fails)
        total = count(number, "rule is breached", "rules are breached")
        return f"{worst.asset}: {worst.words or worst.text} {total} in all."
    if result.is_undecided:
        return f"No breach found, and {_open(result)}."
    return "No rule is breached."


def _open(result: Check) -> str:
    parts = []
    if result.broken:
        parts.append(f"{count(len(result.broken), 'asset')} could not be judged")
    if result.left_out:
        parts.append(f"{count(len(result.left_out), 'linked asset')} could not be read")
    if result.counts["cannot_tell"]:
        parts.append(f"{count(result.counts['cannot_tell'], 'rule')} cannot be judged")
    if result.unread:
        parts.append(f"{count(len(result.unread), 'asset')} never read")
    if result.unjudged:
        parts.append(f"{count(len(result.unjudged), 'asset')} without a spec")
    return ", ".join(parts) or "a waiver is malformed"


def _next(result: Check) -> str:
    worst = next((one for one in result.findings if one.fails), None)
    if worst is not None and worst.set_to:
        return f"First: {worst.set_to[0].lower()}{worst.set_to[1:]}"
    if worst is not None:
        return "Put it right at the drive, or have the deviation approved by a waiver with an end date."
    if result.broken:
        return "Mend the file named above, then check again."
    if result.is_undecided:
        return "Fill in what is missing below, at the drive or in the slot, then check again."
    return "Nothing to do."


def _sets(result: Check) -> str:
    if len(result.sets) == 1:
        return f"{result.sets[0].words}."
    return f"{count(len(result.sets), 'drive')}."


def counts(result: Check) -> str:
    """The counts, the same everywhere."""
    number = result.counts
    parts = (
        f"{number['breached']} breached",
        f"{number['cannot_tell']} cannot tell",
        f"{number['waived']} waived",
        f"{number['met']} met",
        f"{number['not_applicable']} not applicable",
    )
    return ", ".join((*parts, f"{number['accepted']} accepted") if number["accepted"] else parts)


def _not_judged(result: Check) -> Iterator[Block]:
    yield from _unread(result)
    yield from (Line(str(fault), depth=1) for fault in result.faults)
    yield from broken.left_out(result.left_out)


def _unread(result: Check) -> list[Line]:
    lines = [
        Line(f"{tag}: nothing was ever read. Record it: asleft snapshot {tag} …", depth=1)
        for tag in result.unread
    ]
    lines += [
        Line(f"{tag}: its slot names no spec. Name one: asleft asset set {tag} specs=…", depth=1)
        for tag in result.unjudged
    ]
    return lines


def data(result: Check) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "on": result.on.isoformat(),
        "headline": headline(result),
        "counts": dict(result.counts),
        "sets": [named(one) for one in result.sets],
        "findings": [finding_data(one) for one in result.findings],
        "unread": list(result.unread),
        "unjudged": list(result.unjudged),
        "waiver_notes": [
            {"waiver": note.waiver, "asset": note.asset or None, "about": note.about, "words": note.words}
            for note in result.notes
        ],
        "broken": broken.data(result.broken),
        "left_out": broken.data(result.left_out),
        "faults": [str(fault) for fault in result.faults],
    }
