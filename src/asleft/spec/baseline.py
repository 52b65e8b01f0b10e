"""Accepting an old plant as it stands: its breaches are kept, counted apart, and end on a day.

An acceptance holds one breach as it was found. Another value of the same setting is a new breach.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from asleft.files.toml import Document, parse
from asleft.record import Fault, Refused, Value, shown
from asleft.record.findings import Finding
from asleft.spec.subject import plain_date
from asleft.spec.tidy import tidy

FORMAT = 1
_FIELDS = ("values", "found", "on", "until", "by", "reason")


@dataclass(frozen=True, slots=True)
class Acceptance:
    """One breach accepted as it was found on ``on``, until a day, by a person."""

    rule: str
    spec: str
    asset: str
    found: str
    values: Mapping[str, str]
    on: date
    until: date
    by: str
    reason: str = ""


def accept(
    findings: Iterable[Finding], on: date, until: date, by: str, reason: str = ""
) -> tuple[Acceptance, ...]:
    """An acceptance of every breach that fails. Raises ``Refused`` without a person or with no time left."""
    if not by.strip():
        raise Refused(Fault("nobody accepts it.", "Name the person who does."))
    if until <= on:
        raise Refused(Fault("the end lies not after today.", "Give a later day."))
    return tuple(
        Acceptance(one.rule, one.spec, one.asset, one.found, _as_found(one)[1], on, until, by, reason)
        for one in findings
        if one.fails
    )


def under(findings: Iterable[Finding], accepted: Sequence[Acceptance], on: date) -> tuple[Finding, ...]:
    """The findings, with those that stand as accepted marked so, and those whose acceptance is over told."""
    by_rule = {(one.asset, one.spec, one.rule): one for one in accepted}
    return tuple(_under(finding, by_rule, on) for finding in findings)


def _under(finding: Finding, accepted: Mapping[tuple[str, str, str], Acceptance], on: date) -> Finding:
    acceptance = accepted.get((finding.asset, finding.spec, finding.rule))
    if acceptance is None or finding.result != "breached":
        return finding
    if on > acceptance.until:
        note = f"It was accepted until {plain_date(acceptance.until)}, and that is over."
    elif on < acceptance.on:
        return finding
    elif not _same(acceptance, finding):
        note = f"It was accepted as it stood on {plain_date(acceptance.on)}: {acceptance.found}."
    else:
        words = f"by {acceptance.by} on {plain_date(acceptance.on)}, until {plain_date(acceptance.until)}"
        return replace(finding, accepted=words)
    return replace(finding, notes=(*finding.notes, note))


def _same(acceptance: Acceptance, finding: Finding) -> bool:
    found, values = _as_found(finding)
    return dict(acceptance.values) == dict(values) and found in ("", acceptance.found)


def _as_found(finding: Finding) -> tuple[str, Mapping[str, str]]:
    """What must stay the same: the values, digits aside, or the words where there are none.

    The age of a reading grows by itself and is left out.
    """
    own = {key: value for key, value in finding.values.items() if not key.startswith("reading.")}
    if finding.values:
        return "", {key: _text(value) for key, value in sorted(own.items())}
    return finding.found, {}


def _text(value: Value) -> str:
    if isinstance(value, tuple):
        return ", ".join(value)
    return shown(value if isinstance(value, str) else tidy(value, 12))


def write_accepted(accepted: Iterable[Acceptance]) -> bytes:
    """The bytes of ``accepted.toml``: sorted, so that the same give the same bytes."""
    import tomli_w

    tables: dict[str, Any] = {}
    for one in sorted(accepted, key=lambda one: (one.asset, one.spec, one.rule)):
        fields = {"found": one.found, "on": one.on, "until": one.until, "by": one.by, "reason": one.reason}
        place = tables.setdefault(one.asset, {}).setdefault(one.spec, {})
        place[one.rule] = {
            **{name: value for name, value in fields.items() if value},
            "values": dict(one.values),
        }
    return tomli_w.dumps({"format": FORMAT, "accepted": tables}).encode("utf-8")


def read_accepted(content: bytes, where: str) -> tuple[Acceptance, ...]:
    """Parse ``accepted.toml``. Raises ``Refused`` with every fault of the file."""
    document = parse(content, where)
    faults: list[Fault] = []
    faults += document.format_faults(FORMAT)
    made = tuple(_read_all(document, faults))
    if faults:
        raise Refused(faults)
    return made


def _read_all(document: Document, faults: list[Fault]) -> Iterator[Acceptance]:
    for path, raw in _tables(document, faults):
        problem = _problem(raw)
        if problem:
            faults.append(document.fault(path, problem, "Mend it, or accept the plant anew."))
            continue
        _, asset, spec, rule = path
        values = {key: str(value) for key, value in raw.get("values", {}).items()}
        end, start, found, reason = raw["until"], raw["on"], raw.get("found", ""), raw.get("reason", "")
        yield Acceptance(rule, spec, asset, found, values, start, end, raw["by"], reason)


def _tables(document: Document, faults: list[Fault]) -> Iterator[tuple[tuple[str, str, str, str], Any]]:
    """Every rule's table below drive and spec; what is no table on the way is noted."""
    accepted = document.data.get("accepted", {})
    if not isinstance(accepted, Mapping):
        faults.append(document.fault(("accepted",), "accepted is no table.", ""))
        return
    for asset, specs in accepted.items():
        for spec, rules in specs.items() if isinstance(specs, Mapping) else [("", None)]:
            if not isinstance(rules, Mapping):
                faults.append(document.fault(("accepted", asset), f"{asset} {spec} is no table.", ""))
                continue
            for rule, raw in rules.items():
                yield ("accepted", asset, spec, rule), raw


def _problem(raw: Any) -> str:
    if not isinstance(raw, Mapping):
        return "an acceptance is a table."
    unknown = [name for name in raw if name not in _FIELDS]
    if unknown:
        return f"{unknown[0]} means nothing here."
    for name in ("on", "until"):
        if not isinstance(raw.get(name), date) or isinstance(raw.get(name), datetime):
            return f"{name} is no date."
    if not isinstance(raw.get("by"), str) or not raw["by"]:
        return "by is missing: who accepted it."
    return "" if isinstance(raw.get("values", {}), Mapping) else "values is no table."
