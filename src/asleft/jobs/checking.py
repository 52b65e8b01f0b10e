"""Drives against their application specs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import NamedTuple

from asleft.files.sets import write_set
from asleft.files.toml import parse
from asleft.jobs.naming import Inputs, Named, resolve
from asleft.jobs.record import Broken, Record, Recorded
from asleft.jobs.temporary import temporary
from asleft.models import Model
from asleft.record import Asset, Fault, ParameterSet, Refused, Value
from asleft.record.findings import Finding, tally, worst_first
from asleft.record.tags import parse_set_name
from asleft.spec import (
    Acceptance,
    Spec,
    SpecFile,
    Subject,
    WaiverNote,
    engineering,
    judge,
    read_accepted,
    read_spec,
    read_waivers,
    under,
    waiver_notes,
)
from asleft.spec.waivers import WaiverFile

WAIVERS = "waivers.toml"
ACCEPTED = "accepted.toml"


@dataclass
class Judge:
    """A site's specs, waivers and other drives, loaded once for a run.

    ``broken`` are drives of the site that rules about linked drives are judged without.
    """

    record: Record
    on: date
    built_in: bool = True
    _specs: dict[str, SpecFile] = field(default_factory=dict)
    _subjects: dict[str, Subject] | None = None
    _waivers: WaiverFile | None = None
    broken: list[Broken] = field(default_factory=list)

    @property
    def waivers(self) -> WaiverFile:
        """The site's waivers; flawed ones cover nothing and are listed as faults."""
        if self._waivers is None:
            path = self.record.top / WAIVERS
            self._waivers = (
                read_waivers(self.record.file(WAIVERS), WAIVERS) if path.is_file() else WaiverFile((), ())
            )
        return self._waivers

    @cached_property
    def accepted(self) -> tuple[Acceptance, ...]:
        """Breaches of an old plant that were accepted as they stood."""
        path = self.record.top / ACCEPTED
        return read_accepted(self.record.file(ACCEPTED), ACCEPTED) if path.is_file() else ()

    @cached_property
    def _engineering(self) -> list[Spec]:
        off = self.record.site.house_rules.get("built_in_off", [])
        return [engineering(off)] if self.built_in else []

    def specs(self, asset: Asset) -> list[Spec]:
        """The specs a slot names, and the built-in engineering rules unless the house has them off.

        Raises ``Refused`` for a spec that is missing or has faults.
        """
        return [*(self._spec(name, asset) for name in asset.specs), *self._engineering]

    def _spec(self, name: str, asset: Asset) -> Spec:
        if name not in self._specs:
            try:
                path = self.record.spec_path(name)
            except Refused as refused:
                what = f"{asset.tag} names the spec {name!r}, which the site lacks."
                raise Refused(fault._replace(what=what) for fault in refused.faults) from None
            self._specs[name] = read_spec(self.record.file(path), path)
        return self._specs[name].usable()

    def subject(self, asset: Asset, parameters: ParameterSet, model: Model | None = None) -> Subject:
        """What is judged: a set in its slot, read with ``model`` or the model it names."""
        model = model or self.record.model_of(parameters)
        facts = self._facts(asset.tag, parameters)
        return Subject(asset, parameters, model, facts, self._events(asset.tag))

    def _facts(self, tag: str, parameters: ParameterSet) -> Mapping[str, Value]:
        """What the record knows of an asset and no drive holds."""
        standing = [one for one in temporary(self.record, [tag], self.on) if one.state != "undone"]
        overdue = sum(1 for one in standing if one.overdue)
        facts: dict[str, Value] = {
            "changes.temporary_open": Decimal(len(standing)),
            "changes.temporary_overdue": Decimal(overdue),
        }
        if (self.record.top / "assets" / tag / "tests").is_dir():
            from asleft.jobs.tested import test_facts

            facts |= test_facts(self.record, tag, parameters)
        return facts

    def _events(self, tag: str) -> Mapping[str, date]:
        zone, left = self.record.site.zone, self.record.series(tag, "as_left")
        days = ((one.reading.occasion, one.at.astimezone(zone).date()) for one in left)
        return {occasion: day for occasion, day in days if day <= self.on}

    def others(self) -> Mapping[str, Subject]:
        """Every drive of the site as last left; one that cannot be looked at is left out and noted."""
        if self._subjects is None:
            self._subjects = {}
            self.record.load(self.record.tags())
            for tag in self.record.tags():
                try:
                    self._subjects |= self._as_left(tag)
                except Refused as refused:
                    self.broken.append(Broken(tag, refused.faults))
        return self._subjects

    def _as_left(self, tag: str) -> Mapping[str, Subject]:
        left, asset = self.record.series(tag, "as_left"), self.record.asset(tag)
        return {tag: self.subject(asset, left[-1].set)} if left and not asset.retired else {}

    def findings(
        self, asset: Asset, parameters: ParameterSet, model: Model | None = None
    ) -> tuple[Finding, ...]:
        """One finding a rule, worst first."""
        subject = self.subject(asset, parameters, model)
        found = judge(self.specs(asset), subject, self.others(), self.waivers.waivers, self.on)
        return worst_first(under(found, self.accepted, self.on))


@dataclass(frozen=True, slots=True)
class Check:
    """The answer to ``check``. ``unread`` are assets without any reading, ``unjudged`` without a spec;
    ``notes`` say what is to be said of the waivers themselves. ``broken`` are assets asked for that could
    not be judged, ``left_out`` others that rules about linked drives were judged without."""

    on: date
    sets: tuple[Named, ...]
    findings: tuple[Finding, ...]
    unread: tuple[str, ...]
    unjudged: tuple[str, ...]
    faults: tuple[Fault, ...]
    notes: tuple[WaiverNote, ...] = ()
    broken: tuple[Broken, ...] = ()
    left_out: tuple[Broken, ...] = ()

    @property
    def counts(self) -> Mapping[str, int]:
        """How many findings of each result."""
        return tally(self.findings)

    @property
    def fails(self) -> bool:
        """Whether a breach stands that nobody has waived or accepted, or a set or spec is missing."""
        return any(finding.fails for finding in self.findings)

    @property
    def is_undecided(self) -> bool:
        """Whether something could not be judged."""
        unjudged = self.unread or self.unjudged or self.broken or self.left_out
        return bool(self.counts["cannot_tell"] or unjudged or self.faults)


def check(names: Sequence[str], everything: bool, inputs: Inputs, on: date, built_in: bool = True) -> Check:
    """Judge the named sets, or every asset as left; of all, one that cannot be judged does not stop the rest.

    Raises ``Refused``.
    """
    record = needed(inputs)
    run = _Run(inputs, Judge(record, on, built_in))
    if everything:
        record.load(record.tags())
    for name in record.tags() if everything else names:
        run.take(name, everything)
    judging, found = run.judging, run.findings
    notes = waiver_notes(judging.waivers.waivers, found, run.subjects, on)
    unjudged = tuple(named.asset.tag for named in run.sets if named.asset and not named.asset.specs)
    known = {one.asset for one in run.broken}
    return Check(
        on,
        tuple(run.sets),
        worst_first(found),
        tuple(run.unread),
        unjudged,
        judging.waivers.faults,
        notes,
        tuple(run.broken),
        tuple(one for one in judging.broken if one.asset not in known),
    )


@dataclass
class _Run:
    """What a check has gathered so far."""

    inputs: Inputs
    judging: Judge
    sets: list[Named] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    subjects: dict[str, Subject] = field(default_factory=dict)
    unread: list[str] = field(default_factory=list)
    broken: list[Broken] = field(default_factory=list)

    def take(self, name: str, goes_on: bool) -> None:
        """Judge one set. ``goes_on``: one that cannot be judged is noted, else ``Refused`` is raised."""
        try:
            if not goes_on or self._is_due(name):
                self._judge(asset_set(name, self.inputs))
        except Refused as refused:
            if not goes_on:
                raise
            self.broken.append(Broken(name, refused.faults))

    def _is_due(self, tag: str) -> bool:
        """Whether a drive in use has a reading to judge; one that has none is noted."""
        record = self.judging.record
        if record.asset(tag).retired:
            return False
        if not record.series(tag, "as_left"):
            self.unread.append(tag)
            return False
        return True

    def _judge(self, named: Named) -> None:
        assert named.asset is not None
        subject = self.judging.subject(named.asset, named.set)
        self.findings += self.judging.findings(named.asset, named.set)
        self.subjects[named.asset.tag] = subject
        self.sets.append(named)


class Place(NamedTuple):
    """File and line of a value; line 0 for the file as a whole."""

    path: str
    line: int


def places(result: Check) -> Mapping[tuple[str, str], Place]:
    """Where each judged value stands, by asset and key; by asset and an empty key for the file itself."""
    found: dict[tuple[str, str], Place] = {}
    for named in result.sets:
        assert named.asset is not None
        kind = named.set.reading.kind if named.set.reading else ""
        path = f"assets/{named.asset.tag}/{kind}.toml" if named.recorded else named.asked
        document = parse(write_set(named.set), path)
        found[named.asset.tag, ""] = Place(path, 0)
        for key in named.set.values:
            found[named.asset.tag, key] = Place(path, document.line(*key.split(".")))
    return found


def needed(inputs: Inputs) -> Record:
    """The record, where a job cannot do without."""
    if inputs.record is None:
        raise Refused(
            Fault("there is no site record here.", "Go to the site's folder, or name it with --site.")
        )
    return inputs.record


def asset_set(name: str, inputs: Inputs) -> Named:
    """A named set that belongs to an asset. Raises ``Refused`` for a loose one."""
    if parse_set_name(name).tag:
        return resolve(name, inputs)
    named = resolve(name, inputs)
    if not named.set.asset:
        raise Refused(
            Fault(f"{name} does not say which asset it is of.", 'Add asset = "TAG" to the file.', name)
        )
    return Named(named.asked, named.words, named.side, needed(inputs).asset(named.set.asset))


def breaches_by_key(findings: Iterable[Finding]) -> Mapping[str, tuple[Finding, ...]]:
    """Breached findings by each setting they concern."""
    found: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.result == "breached":
            for key in finding.keys:
                found.setdefault(key, []).append(finding)
    return {key: tuple(rules) for key, rules in found.items()}


def newest(readings: Sequence[Recorded]) -> Recorded | None:
    """The last of a series, or None."""
    return readings[-1] if readings else None
