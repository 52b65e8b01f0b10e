"""Findings as SARIF 2.1.0, the open standard of OASIS for results of checks.

Only rules that fired are listed. A waived or accepted breach is a suppressed result. What cannot be told is a
result of kind ``open``. Counts of all results stand in the run's properties.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

import asleft
from asleft.jobs.checking import Check, Place
from asleft.record.findings import Finding

_LEVELS = {"danger": "error", "high": "error", "medium": "warning", "low": "note"}
_FIRED = ("breached", "waived", "cannot_tell")


def render(result: Check, places: Mapping[tuple[str, str], Place]) -> str:
    """The whole document. ``places`` gives file and line of a setting by asset and key."""
    fired = [one for one in result.findings if one.result in _FIRED]
    rules = {rule_id(one): one for one in reversed(fired)}
    order = sorted(rules)
    run = {
        "tool": {
            "driver": {
                "name": "asleft",
                "version": asleft.__version__,
                "semanticVersion": asleft.__version__,
                "rules": [_rule(name, rules[name]) for name in order],
            }
        },
        "columnKind": "unicodeCodePoints",
        "results": [_result(one, order, places) for one in fired],
        "properties": {"judgedAsOf": result.on.isoformat(), "counts": dict(result.counts)},
        **_not_judged(result),
    }
    document = {
        "$schema": "https://json.schemastore.org/sarif-2.1.0.json",
        "version": "2.1.0",
        "runs": [run],
    }
    return json.dumps(document, ensure_ascii=False, indent=2, sort_keys=True) + "\n"


def _not_judged(result: Check) -> dict[str, Any]:
    """Assets that could not be judged, as notifications of a run that did not succeed (SARIF 2.1.0, 3.20)."""
    if not result.broken:
        return {}
    told = [
        {
            "level": "error",
            "message": {"text": f"{one.asset} could not be judged: {fault}"},
            "locations": [{"logicalLocations": [{"name": one.asset}]}],
        }
        for one in result.broken
        for fault in one.faults
    ]
    return {"invocations": [{"executionSuccessful": False, "toolExecutionNotifications": told}]}


def rule_id(one: Finding) -> str:
    """A rule's id, the same for every run: its spec and its number."""
    return f"{one.spec}/{one.rule}"


def _rule(name: str, one: Finding) -> dict[str, Any]:
    return {
        "id": name,
        "shortDescription": {"text": one.text},
        "fullDescription": {"text": one.because},
        "help": {"text": f"Required: {one.required or one.text} Source: {one.source or 'none given'}."},
        "defaultConfiguration": {"level": _LEVELS[one.severity]},
        "properties": {"severity": one.severity, "owner": one.owner, "revision": one.revision},
    }


def _result(one: Finding, order: list[str], places: Mapping[tuple[str, str], Place]) -> dict[str, Any]:
    told = one.result == "cannot_tell"
    found: dict[str, Any] = {
        "ruleId": rule_id(one),
        "ruleIndex": order.index(rule_id(one)),
        "kind": "open" if told else "fail",
        "level": "none" if told else _LEVELS[one.severity],
        "message": {"text": " ".join(filter(None, (f"{one.asset}: {one.words or one.text}", one.set_to)))},
        "locations": [_location(one, places)],
        "partialFingerprints": {"assetRuleKeys/v1": _fingerprint(one)},
        "properties": {
            "asset": one.asset,
            "found": one.found,
            "required": one.required,
            "notes": list(one.notes),
        },
    }
    if one.waiver:
        found["suppressions"] = [_suppression(f"Waived by {one.waiver} {one.waived}".strip())]
    elif one.accepted:
        found["suppressions"] = [_suppression(f"Accepted as it stood: {one.accepted}")]
    return found


def _suppression(why: str) -> dict[str, str]:
    return {"kind": "external", "status": "accepted", "justification": why}


def _location(one: Finding, places: Mapping[tuple[str, str], Place]) -> dict[str, Any]:
    place = next((places[one.asset, key] for key in one.keys if (one.asset, key) in places), None)
    place = place or places.get((one.asset, ""))
    found: dict[str, Any] = {
        "logicalLocations": [{"name": one.asset, "fullyQualifiedName": "/".join((one.asset, *one.keys[:1]))}]
    }
    if place is not None:
        physical: dict[str, Any] = {"artifactLocation": {"uri": place.path}}
        if place.line:
            physical["region"] = {"startLine": place.line}
        found["physicalLocation"] = physical
    return found


def _fingerprint(one: Finding) -> str:
    text = "\0".join((one.spec, one.rule, one.asset, *sorted(one.keys)))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
