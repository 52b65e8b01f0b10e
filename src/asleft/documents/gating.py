"""Why a push is refused, or that it is taken."""

from __future__ import annotations

from asleft.documents.blocks import Line, Sheet, count, section
from asleft.documents.finding import findings
from asleft.jobs.gating import Gate


def blocks(gates: tuple[Gate, ...]) -> Sheet:
    """First what is refused, then what to do."""
    shut = [one for one in gates if not one.opens]
    if not shut:
        return (Line("asleft: no new breach, every waiver approved: the push is taken.", "good"),)
    body = []
    for one in shut:
        body += section(f"{one.push.branch}: files that cannot be read", _lines(one.unreadable))
        body += section(f"{one.push.branch}: waivers nobody else stands for", _lines(one.unsigned))
        body += section(f"{one.push.branch}: new breaches ({len(one.fresh)})", findings(one.fresh))
    return (Line(_headline(shut), "alarm"), Line(_next(shut)), *body)


def _lines(texts: tuple[str, ...]) -> list[Line]:
    return [Line(text, "alarm", 1) for text in texts]


def _headline(shut: list[Gate]) -> str:
    fresh = sum(len(one.fresh) for one in shut)
    unsigned = sum(len(one.unsigned) for one in shut)
    unreadable = sum(len(one.unreadable) for one in shut)
    parts = [
        count(fresh, "new breach", "new breaches") if fresh else "",
        count(unsigned, "waiver nobody else stands for", "waivers nobody else stands for")
        if unsigned
        else "",
        count(unreadable, "file that cannot be read", "files that cannot be read") if unreadable else "",
    ]
    return f"asleft: the push is refused: {', '.join(part for part in parts if part)}."


def _next(shut: list[Gate]) -> str:
    if any(one.fresh for one in shut):
        return (
            "Put it right at the drive and record that, or have it waived by another person, then push again."
        )
    return "Mend what is named, then push again."
