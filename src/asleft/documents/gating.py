"""Why a push is refused, or that it is taken."""

from __future__ import annotations

from collections.abc import Iterator

from asleft.documents.blocks import Line, Sheet, count, section
from asleft.documents.finding import findings
from asleft.jobs.gating import Gate
from asleft.jobs.loosened import Lost


def blocks(gates: tuple[Gate, ...]) -> Sheet:
    """First what is refused, then what to do."""
    shut = [one for one in gates if not one.opens]
    if not shut:
        return (
            Line("asleft: no new breach, no rule lost, all waivers approved: the push is taken.", "good"),
        )
    body = []
    for one in shut:
        body += section(f"{one.push.branch}: files that cannot be read", _lines(one.unreadable))
        body += section(f"{one.push.branch}: waivers nobody else stands for", _lines(one.unsigned))
        body += section(f"{one.push.branch}: new breaches ({len(one.fresh)})", findings(one.fresh))
        body += section(f"{one.push.branch}: rules and verdicts that went ({len(one.lost)})", _lost(one.lost))
    return (Line(_headline(shut), "alarm"), Line(_next(shut)), *body)


def _lines(texts: tuple[str, ...]) -> list[Line]:
    return [Line(text, "alarm", 1) for text in texts]


def _lost(found: tuple[Lost, ...]) -> Iterator[Line]:
    for one in found:
        yield Line(f"{one.words.rstrip('.')}.", "alarm", 1)
    if found:
        yield Line("Each needs somebody else to stand for it, in waivers.toml of the same push:", depth=1)
        yield from (Line(text, depth=2) for text in _approval(found[0]))


def _approval(one: Lost) -> Iterator[str]:
    """The entry that would cover one, for the first of them, to be filled in."""
    yield '[approval."A-01"]'
    if one.spec:
        yield f'spec = "{one.spec}"'
    if one.rule:
        yield f'rule = "{one.rule}"'
    if one.asset:
        yield f'assets = ["{one.asset}"]'
    yield 'reason = "…"'
    yield 'asked_by = "…"'
    yield 'approved_by = "another person"'
    yield "on = the day, as in 2026-09-30"


def _headline(shut: list[Gate]) -> str:
    fresh = sum(len(one.fresh) for one in shut)
    unsigned = sum(len(one.unsigned) for one in shut)
    lost = sum(len(one.lost) for one in shut)
    unreadable = sum(len(one.unreadable) for one in shut)
    parts = [
        count(fresh, "new breach", "new breaches") if fresh else "",
        count(unsigned, "waiver nobody else stands for", "waivers nobody else stands for")
        if unsigned
        else "",
        count(lost, "rule or verdict that went", "rules or verdicts that went") if lost else "",
        count(unreadable, "file that cannot be read", "files that cannot be read") if unreadable else "",
    ]
    return f"asleft: the push is refused: {', '.join(part for part in parts if part)}."


def _next(shut: list[Gate]) -> str:
    if any(one.fresh for one in shut):
        return (
            "Put it right at the drive and record that, or have it waived by another person, then push again."
        )
    if any(one.lost for one in shut) and not any(one.unsigned or one.unreadable for one in shut):
        return "Put back what went, or have it approved by another person as below, then push again."
    return "Mend what is named, then push again."
