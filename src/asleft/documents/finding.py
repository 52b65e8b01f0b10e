"""Findings of rules, wherever they are shown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from asleft.documents.blocks import Block, Line
from asleft.documents.data import value
from asleft.record.findings import Finding

_TONES = {"danger": "alarm", "high": "alarm", "medium": "warn", "low": ""}


def findings(found: Iterable[Finding]) -> Iterator[Block]:
    """What is wrong, what it can do, what to set; worst first as given."""
    for one in found:
        tone = _TONES[one.severity] if one.result == "breached" else ""
        yield Line(f"{one.asset} rule {one.rule} ({one.severity}): {one.words or one.text}", tone, 1)  # type: ignore[arg-type]
        if one.set_to and one.result == "breached":
            yield Line(f"Do: {one.set_to}", depth=2)
        if one.found or one.required:
            yield Line(f"Found: {one.found or 'nothing'}. Required: {one.required}.", depth=2)
        if one.waiver:
            yield Line(f"Waived by {one.waiver} {one.waived}".strip(), depth=2)
        yield from (Line(note, depth=2) for note in one.notes)
        if one.source:
            yield Line(f"Source: {one.source}", "dim", 2)


def finding_data(one: Finding) -> dict[str, Any]:
    """One finding for machines."""
    return {
        "rule": one.rule,
        "spec": one.spec,
        "asset": one.asset,
        "result": one.result,
        "severity": one.severity,
        "key": one.keys[0] if one.keys else None,
        "keys": list(one.keys),
        "values": {key: value(given) for key, given in one.values.items()},
        "found": one.found,
        "required": one.required,
        "words": one.words or one.text,
        "set_to": one.set_to,
        "because": one.because,
        "source": one.source,
        "owner": one.owner,
        "revision": one.revision,
        "waiver": one.waiver or None,
        "waived": one.waived or None,
        "accepted": one.accepted or None,
        "notes": list(one.notes),
    }
