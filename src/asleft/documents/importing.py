"""The answer to ``model import``."""

from __future__ import annotations

from typing import Any

from asleft.documents.blocks import Line, Sheet, count, rows, section
from asleft.intake.listing import Proposal
from asleft.jobs.importing import Imported

_MOST = 40


def blocks(result: Imported, path: str) -> Sheet:
    """How much is mapped, what is to decide, what to look at."""
    still = len(result.open)
    total = len(result.proposals)
    share = f"{result.mapped / total:.0%}"
    return (
        Line(
            f"{result.name}: {result.mapped} of {count(total, 'row')} mapped ({share}), {still} to decide.",
            "warn" if still or result.faults else "good",
        ),
        Line(_next(result, path)),
        *section(f"To decide ({still})", rows(_HEAD, (_open_row(each) for each in result.open))),
        *section(
            f"Choices without a neutral meaning ({len(result.unclear)})",
            (Line(f"{id_}: {', '.join(texts)}", "", 1) for id_, texts in result.unclear.items()),
        ),
        *section(
            f"The check finds ({len(result.faults)})",
            (Line(str(fault), "warn", 1) for fault in result.faults[:_MOST]),
        ),
        *section(
            f"Of the list ({len(result.notes)})",
            (Line(str(fault), "warn", 1) for fault in result.notes[:_MOST]),
        ),
        *section(
            f"Mapped ({result.mapped})",
            rows(
                ("id", "text", "key", "sure", "because"),
                (_row(each) for each in result.proposals if each.sure and each.key),
            ),
        ),
    )


_HEAD = ("id", "text", "perhaps", "sure", "because")


def _next(result: Imported, path: str) -> str:
    if result.open:
        first = result.open[0]
        key = first.key or "KEY"
        return f"Decide each: --map {first.row.id}={key}, or - for no meaning. Undecided rows stay native."
    if result.faults:
        return f"Mend what the check finds in {path}."
    return f"Look it through, then read a drive by it: {path}"


def _open_row(proposal: Proposal) -> tuple[str, ...]:
    perhaps = ", ".join(fit.key for fit in proposal.fits[:2])
    return (proposal.row.id, proposal.row.text, perhaps, f"{proposal.confidence:.0%}", proposal.why)


def _row(proposal: Proposal) -> tuple[str, ...]:
    return (
        proposal.row.id,
        proposal.row.text,
        proposal.key,
        f"{proposal.confidence:.0%}",
        proposal.why,
    )


def data(result: Imported, path: str) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "name": result.name,
        "path": path,
        "rows": len(result.proposals),
        "mapped": result.mapped,
        "proposals": [
            {
                "id": each.row.id,
                "text": each.row.text,
                "sure": each.sure,
                "because": each.why,
                "fits": [{"key": fit.key, "confidence": round(fit.score, 3)} for fit in each.fits],
            }
            for each in result.proposals
        ],
        "choices_without_meaning": {id_: list(texts) for id_, texts in result.unclear.items()},
        "faults": [str(fault) for fault in result.faults],
        "notes": [str(fault) for fault in result.notes],
    }
