"""Spec files: TOML to rules, every fault with its line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean
from asleft.record import Fault, Refused
from asleft.record.findings import SEVERITIES, Severity
from asleft.spec.kinds import KINDS, fields_of, reader_of
from asleft.spec.rules import Condition, Rule, Spec
from asleft.spec.table import Table

FORMAT = 1
TEXTS = ("name", "title", "revision", "owner", "application")
HEAD = ("format", *TEXTS, "rule", "note")
COMMON = (
    "kind", "application", "text", "do", "reason", "severity", "source", "owner", "revision", "when",
    "proved_by",
)  # fmt: skip
_WORDS = ("text", "do", "reason", "source", "owner", "revision", "proved_by")
_ALIASES = {"application": "slot.application", "model": "slot.model"}


@dataclass(frozen=True, slots=True)
class SpecFile:
    """A parsed spec file: its rules as far as they can be read, and what is wrong with it."""

    spec: Spec
    faults: tuple[Fault, ...]
    document: Document

    def usable(self) -> Spec:
        """The spec. Raises ``Refused`` where the file has faults."""
        if self.faults:
            raise Refused(self.faults)
        return self.spec


@lru_cache(maxsize=64)
def read_spec(content: bytes, where: str, version: str = "") -> SpecFile:
    """Parse a spec file; raises ``Refused`` only where it is no TOML."""
    document = parse(content, where)
    faults: list[Fault] = []
    head = Table(document.data, (), document, faults)
    head.only(HEAD)
    faults += document.format_faults(FORMAT)
    for name in TEXTS:
        if not document.data.get(name):
            head.fault("", f"{name} is missing.", "Every spec has it, as a text.")
    texts = {name: head.text(name) for name in TEXTS}
    spec = Spec(rules=(), version=version, where=where, **texts)
    spec = replace(spec, rules=tuple(_rules(document, spec, faults)))
    return SpecFile(spec, tuple(faults), document)


def _rules(document: Document, spec: Spec, faults: list[Fault]) -> Iterator[Rule]:
    for rule_id, raw in Table(document.data, (), document, faults).mapping("rule").items():
        if not isinstance(raw, Mapping):
            faults.append(
                document.fault(("rule", rule_id), f"rule {rule_id} is no table.", "Write [rule.ID].")
            )
            continue
        yield _rule(rule_id, Table(raw, ("rule", rule_id), document, faults), spec)


def _rule(rule_id: str, table: Table, spec: Spec) -> Rule:
    kind = table.text("kind")
    known = kind in KINDS
    if not known:
        hint = did_you_mean(kind, KINDS) or f"There are {', '.join(KINDS)}."
        table.fault("kind" if kind else "", f"there is no kind of rule {kind!r}.", hint)
    else:
        table.only((*COMMON, *fields_of(kind)))
    for name in ("text", "reason"):
        if not table.data.get(name):
            table.fault("", f"rule {rule_id} has no {name}.", "A rule nobody explains is not kept.")
    blanks = tuple(_blanks(table.data))
    return Rule(
        id=rule_id,
        spec=spec.name,
        kind=kind,
        text=table.text("text"),
        reason=table.text("reason"),
        severity=_severity(table),
        source=table.text("source"),
        owner=table.text("owner", spec.owner),
        revision=table.text("revision", spec.revision),
        application=table.text("application", spec.application) or "any",
        own_application="application" in table,
        when=tuple(_conditions(table)),
        body=reader_of(kind)(table) if known and not blanks else None,
        blanks=blanks,
        do=table.text("do"),
        proved_by=table.text("proved_by"),
        where=spec.where,
        line=table.document.line(*table.path),
    )


def _severity(table: Table) -> Severity:
    if "severity" not in table:
        table.fault("", "severity is missing.", f"One of {', '.join(SEVERITIES)}.")
    return table.choice("severity", SEVERITIES, "medium")  # type: ignore[return-value]


def _conditions(table: Table) -> Iterator[Condition]:
    raw = table.mapping("when")
    for name, asked in raw.items():
        found = table.operand(_ALIASES.get(name) or name, "when")
        wanted = None if found is None else table.wanted(found, asked, "when")
        if found is not None and wanted is not None:
            yield Condition(found.name, wanted)


def _blanks(raw: Any, place: str = "") -> Iterator[str]:
    """Values with ``?`` are left to fill in; what follows says with what."""
    if isinstance(raw, str) and "?" in raw and place not in _WORDS:
        yield f"{place}: {raw.removeprefix('?').strip()}"
    elif isinstance(raw, Mapping):
        for name, inner in raw.items():
            yield from _blanks(inner, name)
    elif isinstance(raw, list):
        for inner in raw:
            yield from _blanks(inner, place)
