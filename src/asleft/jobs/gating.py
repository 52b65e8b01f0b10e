"""Whether pushed commits may be taken: no new breach, no rule that went and no waiver that nobody else
approved."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from asleft.jobs.checking import WAIVERS, Check, Judge, check
from asleft.jobs.keeping import faults_of
from asleft.jobs.loosened import Lost, loosened
from asleft.jobs.naming import Inputs
from asleft.jobs.record import Record
from asleft.record.findings import Finding, worst_first
from asleft.store import Git, Store
from asleft.store.received import is_signed, lay_out


@dataclass(frozen=True, slots=True)
class Push:
    """One branch of a push: its name, what it stood at, what it is to stand at."""

    branch: str
    old: str
    new: str

    @property
    def deletes(self) -> bool:
        """Whether the branch is to be taken away."""
        return not self.new.strip("0")


@dataclass(frozen=True, slots=True)
class Gate:
    """The answer for one branch. ``unreadable`` are faults of files, ``unsigned`` waivers or commits that
    nobody else stands for, ``fresh`` breaches that did not stand before, ``lost`` rules and verdicts that
    went without an approval."""

    push: Push
    unreadable: tuple[str, ...]
    unsigned: tuple[str, ...]
    fresh: tuple[Finding, ...]
    lost: tuple[Lost, ...] = ()

    @property
    def opens(self) -> bool:
        """Whether the push may be taken."""
        return not (self.unreadable or self.unsigned or self.fresh or self.lost)


def pushes(lines: Iterable[str]) -> tuple[Push, ...]:
    """What git gives a hook on standard input: ``OLD NEW REF`` a line."""
    rows = (line.split() for line in lines if line.strip())
    return tuple(Push(ref.removeprefix("refs/heads/"), old, new) for old, new, ref in rows)


def gate(push: Push, objects: Sequence[Path], git: Git, on: date) -> Gate:
    """Judge one pushed branch against what it stood at. ``objects`` are the folders its objects lie in."""
    if push.deletes:
        return Gate(push, (), ("the record's branch is not to be taken away",), ())
    with tempfile.TemporaryDirectory(prefix="asleft-gate-", ignore_cleanup_errors=True) as folder:
        new = lay_out(push.new, objects, _made(Path(folder, "new")), git)
        unreadable = tuple(
            f"{path}: {fault}"
            for path in sorted(new.paths())
            if (content := new.read(path)) is not None
            for fault in faults_of(path, content)
            if path != WAIVERS
        )
        if unreadable:
            return Gate(push, unreadable, (), ())
        old = lay_out(push.old, objects, _made(Path(folder, "old")), git) if push.old.strip("0") else None
        unsigned, record, now = tuple(_unsigned(new, old, on)), Record(new), _check(new, on)
        broken = tuple(f"{one.asset}: {fault}" for one in now.broken for fault in one.faults)
        if old is None:
            return Gate(push, broken, unsigned, _fresh(now.findings, ()))
        before = _check(old, on)
        lost = () if broken else loosened(Record(old), record, before, now, on)
        return Gate(push, broken, unsigned, _fresh(now.findings, before.findings), lost)


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def _unsigned(new: Store, old: Store | None, on: date) -> Iterable[str]:
    record = Record(new)
    for fault in Judge(record, on).waivers.faults:
        yield str(fault)
    if not record.site.house_rules.get("signed_waivers"):
        return
    known = {commit.id for commit in old.history([WAIVERS])} if old else set()
    for commit in new.history([WAIVERS]):
        if commit.id not in known and not is_signed(new, commit.id):
            yield (
                f"commit {commit.id[:10]} ({commit.subject}) changes waivers "
                "and carries no signature that git can verify"
            )


def _check(store: Store, on: date) -> Check:
    return check([], True, Inputs(Record(store), bytes, store.top), on)


def _fresh(now: Sequence[Finding], before: Sequence[Finding]) -> tuple[Finding, ...]:
    stood = {_mark(one) for one in before if one.fails}
    return worst_first(one for one in now if one.fails and _mark(one) not in stood)


def _mark(one: Finding) -> tuple[str, str, str, str]:
    return one.asset, one.spec, one.rule, one.found
