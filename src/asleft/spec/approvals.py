"""Approvals of what is taken out of the rules' reach: in ``waivers.toml``, beside the waivers.

A waiver lets a drive stand otherwise than a rule wants. An approval lets a rule go, or its verdict: somebody
else than the one who asks stands for it, with the reason and the day.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from asleft.files.toml import Document
from asleft.files.value import did_you_mean
from asleft.record import Fault

FIELDS = ("rule", "spec", "assets", "reason", "asked_by", "approved_by", "on")
_TEXTS = ("rule", "spec", "reason", "asked_by", "approved_by")
_NEEDED = ("reason", "asked_by", "approved_by")


@dataclass(frozen=True, slots=True)
class Approval:
    """One approval. Without ``rule`` it covers every rule of ``spec``; without ``assets`` every drive."""

    id: str
    rule: str
    spec: str
    assets: tuple[str, ...]
    reason: str
    asked_by: str
    approved_by: str
    on: date

    def covers(self, spec: str, rule: str, asset: str) -> bool:
        """Whether it stands for what became of a rule: at one drive, or everywhere (no asset)."""
        return (
            self.spec in ("", spec)
            and self.rule in ("", rule)
            and (not self.assets or (asset != "" and asset in self.assets))
        )


def read_approvals(document: Document, faults: list[Fault]) -> Iterator[Approval]:
    """The sound approvals of ``waivers.toml``; what is wrong with the others is added to the faults."""
    listed = document.data.get("approval", {})
    if not isinstance(listed, Mapping):
        faults.append(document.fault(("approval",), "approval is no table.", 'Write [approval."A-01"].'))
        return
    for name, raw in listed.items():
        flaws = list(_flaws(raw)) if isinstance(raw, Mapping) else ["it is no table"]
        faults += [
            document.fault(
                ("approval", name), f"approval {name}: {flaw}.", "It covers nothing until that is mended."
            )
            for flaw in flaws
        ]
        if not flaws:
            texts = {field: raw.get(field, "") for field in _TEXTS}
            yield Approval(id=name, **texts, assets=tuple(raw.get("assets", ())), on=raw["on"])


def _flaws(raw: Mapping[str, Any]) -> Iterator[str]:
    for name in raw:
        if name not in FIELDS:
            yield f"{name} means nothing here. {did_you_mean(name, FIELDS)}".strip().rstrip("?.")
    for name in _TEXTS:
        if not isinstance(raw.get(name, ""), str):
            yield f"{name} is a text and stands in quotes"
    for name in _NEEDED:
        if not str(raw.get(name, "")).strip():
            yield f"{name} is missing"
    assets = raw.get("assets", [])
    if not isinstance(assets, list) or not all(isinstance(one, str) for one in assets):
        yield 'assets is no list of tags: assets = ["C1"]'
    if not raw.get("spec") and not assets:
        yield "it names neither spec nor assets, so it would cover everything"
    if not isinstance(raw.get("on"), date) or isinstance(raw.get("on"), datetime):
        yield "on is no date: write on = 2026-09-30, without quotes or time"
    yield from same_person(raw)


def same_person(raw: Mapping[str, Any]) -> Iterator[str]:
    """The flaw of an approval by the one who asks for it."""
    if _person(raw.get("asked_by")) and _person(raw.get("asked_by")) == _person(raw.get("approved_by")):
        yield "asked_by and approved_by are the same person, and another one must approve"


def _person(name: Any) -> str:
    """A name as it is compared: letter case and spaces aside."""
    return " ".join(name.casefold().split()) if isinstance(name, str) else ""
