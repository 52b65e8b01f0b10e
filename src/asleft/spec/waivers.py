"""Waivers: their file, and what they cover."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean
from asleft.record import Fault, Refused, Value
from asleft.record.findings import Finding, Waiver
from asleft.spec.approvals import Approval, read_approvals, same_person
from asleft.spec.operands import ABSENT, Known, known_names, operand_of_key
from asleft.spec.rules import sentence
from asleft.spec.subject import View, plain_date
from asleft.spec.wanted import Having, OneOf, Range, Without, read_wanted

FORMAT = 1
FIELDS = (
    "rule", "spec", "assets", "allowed", "reason", "compensating", "asked_by", "approved_by", "from", "until",
    "until_event", "stays_with_slot",
)  # fmt: skip
_TEXTS = ("rule", "spec", "reason", "compensating", "asked_by", "approved_by", "until_event")
_NEEDED = ("rule", "reason", "asked_by", "approved_by")
SOON = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class WaiverFile:
    """The waivers of a site, and its approvals of rules that went. A waiver with flaws is kept, covers
    nothing, and its faults are listed."""

    waivers: tuple[Waiver, ...]
    faults: tuple[Fault, ...]
    approvals: tuple[Approval, ...] = ()


def read_waivers(content: bytes, where: str) -> WaiverFile:
    """Parse ``waivers.toml``; raises ``Refused`` only where it is no TOML."""
    document = parse(content, where)
    faults: list[Fault] = []
    faults += document.format_faults(FORMAT)
    for name in document.data.keys() - {"format", "waiver", "approval"}:
        faults.append(document.fault((name,), f"{name} means nothing here.", 'Write [waiver."W-01"].'))
    waivers = []
    listed = document.data.get("waiver", {})
    if not isinstance(listed, Mapping):
        faults.append(document.fault(("waiver",), "waiver is no table.", 'Write [waiver."W-01"].'))
        listed = {}
    for waiver_id, raw in listed.items():
        waiver = _waiver(waiver_id, raw if isinstance(raw, Mapping) else {}, document)
        path = ("waiver", waiver_id)
        faults += [
            document.fault(path, f"waiver {waiver_id}: {flaw}.", "It covers nothing until that is mended.")
            for flaw in waiver.flaws
        ]
        waivers.append(waiver)
    approvals = tuple(read_approvals(document, faults))
    return WaiverFile(tuple(waivers), tuple(faults), approvals)


def add_waiver(content: bytes, where: str, waiver_id: str, fields: Mapping[str, Any]) -> bytes:
    """The file with one more waiver, its fields as the file has them; ``content`` may be empty.

    Raises ``Refused`` where the id is taken or the waiver would cover nothing.
    """
    import tomli_w

    data: dict[str, Any] = dict(parse(content, where).data) if content.strip() else {"format": FORMAT}
    held = dict(data.get("waiver", {}))
    if waiver_id in held:
        raise Refused(Fault(f"there is a waiver {waiver_id} already.", "Give it another id.", where))
    held[waiver_id] = dict(fields)
    made = tomli_w.dumps({**data, "waiver": held}).encode("utf-8")
    fresh = next(waiver for waiver in read_waivers(made, where).waivers if waiver.id == waiver_id)
    if fresh.flaws:
        raise Refused(Fault(f"waiver {waiver_id}: {flaw}.", "Mend it.", where) for flaw in fresh.flaws)
    return made


def _waiver(waiver_id: str, raw: Mapping[str, Any], document: Document) -> Waiver:
    flaws = list(_flaws(raw))
    allowed = dict(_allowed(raw.get("allowed", {}), flaws))
    texts = {name: raw[name] for name in _TEXTS if isinstance(raw.get(name), str)}
    assets = raw.get("assets", [])
    return Waiver(
        id=waiver_id,
        **{"rule": "", **texts},
        assets=tuple(one for one in assets if isinstance(one, str)) if isinstance(assets, list) else (),
        allowed=allowed,
        start=_day(raw.get("from")),
        until=_day(raw.get("until")),
        stays_with_slot=raw.get("stays_with_slot") is True,
        flaws=tuple(flaws),
        where=document.where,
        line=document.line("waiver", waiver_id),
    )


def _day(raw: Any) -> date | None:
    return raw if isinstance(raw, date) and not isinstance(raw, datetime) else None


def _flaws(raw: Mapping[str, Any]) -> Iterator[str]:
    for name in raw:
        if name not in FIELDS:
            yield f"{name} means nothing here. {did_you_mean(name, FIELDS)}".strip().rstrip("?.")
    for name in _TEXTS:
        if name in raw and not isinstance(raw[name], str):
            yield f"{name} is a text and stands in quotes"
    for name in _NEEDED:
        if not str(raw.get(name, "")).strip():
            yield f"{name} is missing"
    assets = raw.get("assets")
    if not isinstance(assets, list) or not assets or not all(isinstance(one, str) for one in assets):
        yield 'assets is missing or no list of tags: assets = ["C1"]'
    yield from _date_flaws(raw)
    yield from same_person(raw)
    if not isinstance(raw.get("stays_with_slot", False), bool):
        yield "stays_with_slot is true or false"


def _date_flaws(raw: Mapping[str, Any]) -> Iterator[str]:
    for name in ("from", "until"):
        if name in raw and _day(raw[name]) is None:
            yield f"{name} is no date: write {name} = 2026-09-30, without quotes or time"
    if "from" not in raw:
        yield "from is missing"
    if "until" not in raw and not raw.get("until_event"):
        yield "it has no end: until or until_event is missing"
    start, until = _day(raw.get("from")), _day(raw.get("until"))
    if start and until and until < start:
        yield "until lies before from"


def _allowed(raw: Any, flaws: list[str]) -> Iterator[tuple[str, object]]:
    if not isinstance(raw, Mapping) or not raw:
        flaws.append("allowed is missing: name the settings and the range or values it covers")
        return
    for key, asked in raw.items():
        found = operand_of_key(key)
        if found is None:
            flaws.append(
                f"{key} is no known setting. {did_you_mean(key, known_names())}".strip().rstrip("?.")
            )
            continue
        try:
            yield key, OneOf((ABSENT,)) if asked == ABSENT else read_wanted(found, asked)
        except ValueError as problem:
            flaws.append(str(problem).rstrip("."))


def cover(finding: Finding, waivers: Sequence[Waiver], view: View) -> Finding:
    """The finding as waived by the first waiver that covers it; else with notes why none does."""
    if finding.result != "breached":
        return finding
    notes = []
    for waiver in waivers:
        if concerns(waiver, finding):
            why_not = uncovered(waiver, finding, view)
            if not why_not:
                return replace(finding, result="waived", waiver=waiver.id, waived=_why(waiver))
            notes.append(f"Waiver {waiver.id} does not cover it: {why_not}.")
    return replace(finding, notes=(*finding.notes, *notes))


def _why(waiver: Waiver) -> str:
    ends = plain_date(waiver.until) if waiver.until else waiver.until_event
    return f"until {ends}, approved by {waiver.approved_by}: {sentence(waiver.reason)}"


def allowed_as_found(finding: Finding) -> Mapping[str, Any]:
    """The ``allowed`` table of a waiver that covers a breach as it was found, and nothing more."""
    return {key: _raw(key, finding.values[key]) for key in finding.keys if key in finding.values}


def _raw(key: str, value: Value) -> Any:
    found = operand_of_key(key)
    if isinstance(value, Decimal):
        return found.words(value) if found is not None and found.unit else value
    return list(value) if isinstance(value, tuple) else value


def concerns(waiver: Waiver, finding: Finding) -> bool:
    """Whether the waiver speaks of this rule at this drive, in force or not."""
    return (
        waiver.rule == finding.rule and waiver.spec in ("", finding.spec) and finding.asset in waiver.assets
    )


def uncovered(waiver: Waiver, finding: Finding, view: View) -> str:
    """Why a waiver that concerns a breach does not cover it; empty where it does."""
    if waiver.flaws:
        return f"it is not valid ({'; '.join(waiver.flaws)})"
    return ended(waiver, view) or _outside(waiver, finding, view)


def ended(waiver: Waiver, view: View) -> str:
    """Why a waiver is not in force for this drive on the day; empty where it is."""
    if waiver.start is None or view.on < waiver.start:
        return f"it starts on {plain_date(waiver.start)}" if waiver.start else "it has no start"
    if waiver.until is not None and view.on > waiver.until:
        return f"waiver expired on {plain_date(waiver.until)}"
    events = view.subject.events
    if waiver.until_event and _happened(events.get(waiver.until_event), waiver, view):
        return f"waiver expired: {waiver.until_event} took place on {plain_date(events[waiver.until_event])}"
    if not waiver.stays_with_slot and _happened(events.get("replacement"), waiver, view):
        return f"waiver expired: the unit was replaced on {plain_date(events['replacement'])}"
    return ""


def _happened(day: date | None, waiver: Waiver, view: View) -> bool:
    return day is not None and waiver.start is not None and waiver.start < day <= view.on


def _outside(waiver: Waiver, finding: Finding, view: View) -> str:
    if not finding.keys:
        return "there is no value it could be held to"
    for key in finding.keys:
        if key not in waiver.allowed:
            found = operand_of_key(key)
            return f"it says nothing of {found.label if found else key}"
    for key, wanted in waiver.allowed.items():
        if not isinstance(wanted, (Range, OneOf, Without, Having)):
            return f"what it allows of {key} cannot be read"
        looked = view.look_at(key)
        value = finding.values.get(key)
        if value is None and isinstance(looked, Known):
            value = looked.value
        if value is None:
            return f"whether {looked.operand.label} lies within it cannot be told"
        if not wanted.holds(value):
            words = f"{looked.operand.label} is {looked.operand.words(value)}"
            return f"{words}, and it allows {wanted.words(looked.operand)}"
    return ""
