"""What is to be said of the waivers themselves: malformed, run out, running out, used by nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from asleft.record.findings import Finding, Waiver
from asleft.spec.subject import Subject, View, plain_date
from asleft.spec.waivers import SOON, concerns, ended

About = Literal["malformed", "not_started", "expired", "expires_soon", "unused"]


@dataclass(frozen=True, slots=True)
class WaiverNote:
    """One thing to say of a waiver; ``asset`` is empty where it concerns the waiver as a whole."""

    waiver: str
    about: About
    words: str
    asset: str = ""


def waiver_notes(
    waivers: Sequence[Waiver], findings: Iterable[Finding], subjects: Mapping[str, Subject], on: date
) -> tuple[WaiverNote, ...]:
    """The notes of all waivers. Only drives in ``subjects``, those judged, can show one as unused."""
    found = list(findings)
    return tuple(note for waiver in waivers for note in _notes(waiver, found, subjects, on))


def _notes(
    waiver: Waiver, findings: Sequence[Finding], subjects: Mapping[str, Subject], on: date
) -> Iterator[WaiverNote]:
    if waiver.flaws:
        words = f"Waiver {waiver.id} covers nothing: {'; '.join(waiver.flaws)}."
        yield WaiverNote(waiver.id, "malformed", words)
        return
    if waiver.until is not None and on <= waiver.until and waiver.until - on <= SOON:
        days = (waiver.until - on).days
        left = "today" if days == 0 else "tomorrow" if days == 1 else f"in {days} days"
        words = f"Waiver {waiver.id} expires {left}, on {plain_date(waiver.until)}."
        yield WaiverNote(waiver.id, "expires_soon", words)
    for tag in waiver.assets:
        if tag in subjects:
            yield from _at(waiver, tag, findings, View(subjects[tag], subjects, on))


def _at(waiver: Waiver, tag: str, findings: Sequence[Finding], view: View) -> Iterator[WaiverNote]:
    over = ended(waiver, view)
    if over and waiver.start is not None and view.on < waiver.start:
        yield WaiverNote(waiver.id, "not_started", f"Waiver {waiver.id} is not in force: {over}.", tag)
        return
    if over:
        yield WaiverNote(waiver.id, "expired", f"Waiver {waiver.id} covers nothing at {tag}: {over}.", tag)
        return
    own = [finding for finding in findings if finding.asset == tag and concerns(waiver, finding)]
    if any(finding.waiver == waiver.id for finding in own):
        return
    yield WaiverNote(waiver.id, "unused", _why_unused(waiver, tag, own), tag)


def _why_unused(waiver: Waiver, tag: str, own: Sequence[Finding]) -> str:
    start = f"Waiver {waiver.id} is used by nothing at {tag}"
    if not own:
        return f"{start}: no spec judged there has rule {waiver.rule}."
    results = {finding.result for finding in own}
    if "breached" in results:
        return f"{start}: rule {waiver.rule} is breached outside what it allows."
    if "waived" in results:
        return f"{start}: another waiver covers rule {waiver.rule}."
    if results == {"met"}:
        return f"{start}: rule {waiver.rule} is met. Withdraw it."
    return f"{start}: rule {waiver.rule} finds no breach."
