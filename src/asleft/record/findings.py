"""What a rule found at a drive, and the waivers that cover it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from asleft.record.values import Value

Result = Literal["met", "breached", "cannot_tell", "not_applicable", "waived"]
Severity = Literal["low", "medium", "high", "danger"]
RESULTS: tuple[Result, ...] = ("breached", "cannot_tell", "waived", "met", "not_applicable")
"""The five results, in the order a person needs them."""

SEVERITIES: Mapping[Severity, str] = {
    "danger": "can hurt a person or start a fire",
    "high": "can break the motor, the drive or the machine",
    "medium": "stops production, wears the machine or hides a fault",
    "low": "the record or the comfort of the next person suffers",
}
"""The scale of severities, worst first, each by the harm a breach can do. An own scale, no source."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What one rule says of one drive.

    ``keys`` are the settings concerned, ``values`` what they were judged by (a ramp time may be converted),
    ``found`` and ``required`` the same in words. ``words`` says what is wrong and what it can do, ``set_to``
    what to set, ``targets`` the values meant. ``waiver`` is the id that covers a breach, ``waived`` until
    when and why, ``notes`` say why another one does not. ``accepted`` names the acceptance of an old plant a
    breach stands under: it stays a breach, and does not fail.
    """

    rule: str
    spec: str
    asset: str
    result: Result
    severity: Severity
    text: str = ""
    keys: tuple[str, ...] = ()
    values: Mapping[str, Value] = field(default_factory=dict)
    found: str = ""
    required: str = ""
    words: str = ""
    set_to: str = ""
    targets: Mapping[str, Value] = field(default_factory=dict)
    because: str = ""
    source: str = ""
    owner: str = ""
    revision: str = ""
    waiver: str = ""
    waived: str = ""
    notes: tuple[str, ...] = ()
    accepted: str = ""

    @property
    def fails(self) -> bool:
        """Whether it is a breach nobody has waived or accepted."""
        return self.result == "breached" and not self.accepted


@dataclass(frozen=True, slots=True)
class Waiver:
    """A breach somebody else than the asker has approved, for a range and a time.

    ``allowed`` holds for each key the test of a value, as the spec room reads it; what is not named is not
    covered. ``until`` is the last day it covers, ``until_event`` an event that ends it; at least one stands.
    ``flaws`` say what is missing or wrong: a waiver with flaws covers nothing.
    """

    id: str
    rule: str
    spec: str = ""
    assets: tuple[str, ...] = ()
    allowed: Mapping[str, object] = field(default_factory=dict)
    reason: str = ""
    compensating: str = ""
    asked_by: str = ""
    approved_by: str = ""
    start: date | None = None
    until: date | None = None
    until_event: str = ""
    stays_with_slot: bool = False
    flaws: tuple[str, ...] = ()
    where: str = ""
    line: int = 0


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Breaches before what cannot be told, danger before the rest; then by asset and rule number."""
    results, severities = list(RESULTS), list(SEVERITIES)
    return tuple(
        sorted(
            findings,
            key=lambda found: (
                results.index(found.result),
                bool(found.accepted),
                severities.index(found.severity),
                found.asset,
                rule_order(found.rule),
            ),
        )
    )


def rule_order(rule: str) -> tuple[int, str]:
    """Sort key of a rule id: 9 before 10, 20 before 20a, words last."""
    number = re.match(r"\d+", rule)
    return (int(number.group()) if number else 10**9, rule)


def tally(findings: Iterable[Finding]) -> Mapping[str, int]:
    """How many of each result; accepted breaches are counted apart, as ``accepted``. The same everywhere."""
    counted: dict[str, int] = dict.fromkeys((*RESULTS, "accepted"), 0)
    for found in findings:
        counted["accepted" if found.accepted else found.result] += 1
    return counted
