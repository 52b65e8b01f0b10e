"""Specs to start from and their check; waivers; accepting an old plant as it stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from asleft.files.bounded import read_bounded
from asleft.files.value import did_you_mean
from asleft.jobs.checking import ACCEPTED, WAIVERS, Check, Judge, check, needed
from asleft.jobs.naming import Inputs
from asleft.jobs.record import Record
from asleft.jobs.who import Who
from asleft.record import Fault, Refused
from asleft.record.findings import Waiver
from asleft.spec import (
    Acceptance,
    Remark,
    Rule,
    SpecFile,
    WaiverNote,
    accept,
    add_waiver,
    check_spec,
    read_spec,
    ready,
    ready_bytes,
    ready_names,
    write_accepted,
)
from asleft.spec.approvals import Approval


@dataclass(frozen=True, slots=True)
class Examined:
    """A spec file with what is to be said of it."""

    file: SpecFile
    remarks: tuple[Remark, ...]

    @property
    def fails(self) -> bool:
        """Whether it cannot be used as it stands."""
        return any(one.about in ("fault", "contradiction", "cannot_be_met", "blank") for one in self.remarks)


def site_specs(record: Record) -> tuple[SpecFile, ...]:
    """The site's own specs."""
    paths = sorted((record.top / "specs").glob("*.toml"))
    return tuple(read_spec(path.read_bytes(), f"specs/{path.name}") for path in paths)


def ready_specs() -> tuple[SpecFile, ...]:
    """The specs to start from."""
    return tuple(ready(name) for name in ready_names())


def copy_spec(record: Record, name: str, target: str) -> str:
    """Copy a ready spec into the site, to be edited; its path. Nothing is recorded. Raises ``Refused``."""
    if name not in ready_names():
        near = did_you_mean(name, ready_names()) or f"There are {', '.join(ready_names())}."
        raise Refused(Fault(f"there is no ready spec {name!r}.", near))
    path = record.top / "specs" / f"{target or name}.toml"
    if path.exists():
        raise Refused(Fault(f"{path.name} stands there already.", "Give another name with --as.", str(path)))
    path.parent.mkdir(exist_ok=True)
    content = ready_bytes(name)
    if target:
        content = content.replace(f'name = "{name}"'.encode(), f'name = "{target}"'.encode(), 1)
    path.write_bytes(content)
    return f"specs/{path.name}"


def check_specs(inputs: Inputs, names: Sequence[str]) -> tuple[Examined, ...]:
    """Check specs by name or path, or all of the site, on the models and beside the specs at hand.

    A path may lie anywhere, also where there is no site. Raises ``Refused``.
    """
    files = site_specs(inputs.record) if inputs.record else ()
    known = {_name(file): file for file in files}
    wanted = [_named(inputs, name, known) for name in names] if names else list(files)
    return tuple(
        Examined(file, check_spec(file, _models(inputs.record, file), _beside(inputs.record, file, known)))
        for file in wanted
    )


def _named(inputs: Inputs, name: str, known: Mapping[str, SpecFile]) -> SpecFile:
    if name in known:
        return known[name]
    if "/" in name or "\\" in name or name.endswith(".toml"):
        path = inputs.folder / name
        if not path.is_file() and inputs.record is not None:
            path = inputs.record.top / name
        return read_spec(read_bounded(path, name), name)
    near = did_you_mean(name, known) or f"There are {', '.join(known) or 'none'}."
    raise Refused(Fault(f"the site has no spec {name!r}.", near))


def _name(file: SpecFile) -> str:
    """By what a slot names it: its file's name without the suffix."""
    return Path(file.spec.where).stem


def _slots_under(record: Record | None, file: SpecFile) -> list[Any]:
    assets = [record.asset(tag) for tag in record.tags()] if record else []
    return [asset for asset in assets if _name(file) in asset.specs and not asset.retired]


def _models(record: Record | None, file: SpecFile) -> list[Any]:
    names = {asset.model for asset in _slots_under(record, file) if asset.model}
    return [record.model(name) for name in sorted(names)] if record else []


def _beside(record: Record | None, file: SpecFile, known: Mapping[str, SpecFile]) -> list[SpecFile]:
    names = {name for asset in _slots_under(record, file) for name in asset.specs}
    return [known[name] for name in sorted(names) if name in known]


def find_rule(record: Record | None, rule_id: str) -> tuple[Rule, ...]:
    """Rules of that number or name, of the site's specs and the built-in ones."""
    from asleft.spec import engineering

    specs = [file.spec for file in site_specs(record)] if record else []
    return tuple(rule for spec in (*specs, engineering()) for rule in spec.rules if rule.id == rule_id)


@dataclass(frozen=True, slots=True)
class Waived:
    """A waiver as recorded. ``commit`` is None on a dry run."""

    waiver: str
    path: str
    commit: str | None


def waive(
    record: Record, waiver_id: str, fields: Mapping[str, Any], who: Who, dry_run: bool = False
) -> Waived:
    """Record a waiver. Raises ``Refused`` where it would cover nothing."""
    path = record.top / WAIVERS
    before = path.read_bytes() if path.is_file() else b""
    for tag in fields.get("assets", ()):
        record.tag(tag)
    made = add_waiver(before, WAIVERS, waiver_id, fields)
    commit = None
    if not dry_run:
        commit = record.store.write(
            {WAIVERS: made},
            f"Waiver {waiver_id}: rule {fields.get('rule', '')}",
            who.trailers(", ".join(fields.get("assets", ()))),
            author_name=who.by,
            author_email=who.email,
            author_at=who.at,
            committed_at=who.now,
        )
    return Waived(waiver_id, WAIVERS, commit)


def allowed_range(texts: Sequence[str]) -> dict[str, Any]:
    """``KEY=VALUE``, ``KEY>=VALUE`` and ``KEY<=VALUE`` as the waiver file has them. Raises ``Refused``."""
    found: dict[str, Any] = {}
    for text in texts:
        for sign, name in ((">=", "at_least"), ("<=", "at_most")):
            key, mark, value = text.partition(sign)
            if mark:
                held = found.setdefault(key.strip(), {})
                held[name] = value.strip()
                break
        else:
            key, mark, value = text.partition("=")
            if not mark:
                raise Refused(Fault(f"{text!r} is no range.", "Write KEY<=VALUE, KEY>=VALUE or KEY=VALUE."))
            values = [one.strip() for one in value.split(",")]
            found[key.strip()] = values if len(values) > 1 else _plain(values[0])
    return found


def _plain(text: str) -> Any:
    try:
        number = Decimal(text)
    except ArithmeticError:
        return text
    return int(number) if number == number.to_integral_value() else number


@dataclass(frozen=True, slots=True)
class WaiverRow:
    """A waiver, what it covers today, and what is to be said of it."""

    waiver: Waiver
    covers: tuple[str, ...]
    notes: tuple[WaiverNote, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """The waivers of a site as of a day, and the approvals of rules that went."""

    waivers: tuple[WaiverRow, ...]
    approvals: tuple[Approval, ...] = ()


def waivers(inputs: Inputs, on: date) -> Standing:
    """All waivers of the site with what they cover as of a day, and all approvals."""
    record = needed(inputs)
    result = check([], True, inputs, on)
    judging = Judge(record, on)
    covered = {one.waiver: [] for one in result.findings if one.waiver}  # type: dict[str, list[str]]
    for one in result.findings:
        if one.waiver:
            covered[one.waiver].append(f"{one.asset} rule {one.rule}")
    rows = tuple(
        WaiverRow(
            waiver,
            tuple(covered.get(waiver.id, ())),
            tuple(note for note in result.notes if note.waiver == waiver.id),
        )
        for waiver in judging.waivers.waivers
    )
    return Standing(rows, judging.waivers.approvals)


@dataclass(frozen=True, slots=True)
class Accepted:
    """What was accepted, and the check it was taken from."""

    acceptances: tuple[Acceptance, ...]
    check: Check
    commit: str | None


def accept_site(
    names: Sequence[str],
    everything: bool,
    inputs: Inputs,
    on: date,
    until: date,
    who: Who,
    dry_run: bool = False,
) -> Accepted:
    """Accept the breaches of an old plant as they stand, until a day. Raises ``Refused``."""
    record = needed(inputs)
    result = check(names, everything, inputs, on)
    if result.broken:
        raise Refused(fault for one in result.broken for fault in one.faults)
    standing = Judge(record, on).accepted
    fresh = accept(result.findings, on, until, who.by, who.reason)
    if not fresh:
        raise Refused(Fault("there is no breach to accept.", "Nothing to do."))
    replaced = {(one.rule, one.spec, one.asset) for one in fresh}
    kept = [one for one in standing if (one.rule, one.spec, one.asset) not in replaced]
    commit = None
    if not dry_run:
        commit = record.store.write(
            {ACCEPTED: write_accepted((*kept, *fresh))},
            f"Accept {len(fresh)} breaches as they stand until {until.isoformat()}",
            who.trailers(", ".join(sorted({one.asset for one in fresh}))),
            author_name=who.by,
            author_email=who.email,
            author_at=who.at,
            committed_at=who.now,
        )
    return Accepted(fresh, result, commit)
