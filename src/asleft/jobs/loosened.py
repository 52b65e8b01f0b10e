"""What a push takes out of the rules' reach: rules and specs that went, and breaches that are judged away.

A breach that is put right at the drive is judged met by the rules as they stood, with the values as read now.
Where it is not, and the rules as pushed find no breach any more, the rules, the slot or the reading were
changed instead.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from asleft.files.value import did_you_mean
from asleft.jobs.checking import Check, Judge
from asleft.jobs.naming import Named
from asleft.jobs.record import Record
from asleft.record import Asset, Refused
from asleft.record.findings import Finding
from asleft.spec import Spec, judge, read_spec, under

Key = tuple[str, str, str]
_BECAME: Mapping[str, str] = {
    "met": "it counts as met now, though nobody changed the drive",
    "not_applicable": "it does not apply any more",
    "cannot_tell": "it cannot be told any more",
}


class Lost(NamedTuple):
    """A rule, or its verdict at a drive, that went. Without ``asset`` it went everywhere; without ``rule``
    the whole spec, without ``spec`` the whole slot."""

    spec: str
    rule: str
    asset: str
    words: str


def loosened(old: Record, new: Record, before: Check, now: Check, on: date) -> tuple[Lost, ...]:
    """What went between two states of a site and no new approval stands for."""
    gone = [*_specs_gone(old, new), *_built_in_gone(old, new), *_slots_changed(old, new)]
    covered = {(one.spec, one.rule, one.asset) for one in gone}
    judged = [
        one
        for one in _judged_away(old, new, before, now, on)
        if not covered & {(one.spec, one.rule, ""), (one.spec, "", ""), (one.spec, "", one.asset)}
    ]
    known = Judge(old, on).waivers.approvals
    fresh = [one for one in Judge(new, on).waivers.approvals if one not in known]
    return tuple(
        lost
        for lost in (*gone, *judged)
        if not any(one.covers(lost.spec, lost.rule, lost.asset) for one in fresh)
    )


def _specs(record: Record) -> Mapping[str, Spec]:
    """The site's specs by name; what is no TOML is left out."""
    found = {}
    for path in sorted((record.top / "specs").glob("*.toml")):
        try:
            spec = read_spec(record.file(f"specs/{path.name}"), f"specs/{path.name}").spec
        except Refused:
            continue
        found[spec.name or path.stem] = spec
    return found


def _specs_gone(old: Record, new: Record) -> Iterator[Lost]:
    stand = _specs(new)
    for name, spec in _specs(old).items():
        if name not in stand:
            yield Lost(name, "", "", f"the spec {name} went, with its {_count(spec)} ({spec.where})")
            continue
        left = {rule.id for rule in stand[name].rules}
        for rule in spec.rules:
            if rule.id not in left:
                near = did_you_mean(rule.id, left)
                hint = f" {near}" if near else ""
                yield Lost(
                    name, rule.id, "", f"rule {rule.id} of {name} went: {rule.text} ({spec.where}).{hint}"
                )


def _count(spec: Spec) -> str:
    return "1 rule" if len(spec.rules) == 1 else f"{len(spec.rules)} rules"


def _built_in_gone(old: Record, new: Record) -> Iterator[Lost]:
    was, off = (set(record.site.house_rules.get("built_in_off", [])) for record in (old, new))
    for rule in sorted(off - was):
        yield Lost("engineering", rule, "", f"the built-in rule {rule} is switched off (site.toml)")


def _slots_changed(old: Record, new: Record) -> Iterator[Lost]:
    for tag in old.tags():
        slot = _slot(old, tag)
        if slot is None or slot.retired:
            continue
        path = f"assets/{tag}/asset.toml"
        if tag not in new.tags():
            yield Lost("", "", tag, f"{tag} is no slot any more, and was not retired ({path})")
            continue
        now = new.asset(tag)
        for name in () if now.retired else slot.specs:
            if name not in now.specs:
                yield Lost(name, "", tag, f"{tag} names the spec {name} no more ({path})")


def _judged_away(old: Record, new: Record, before: Check, now: Check, on: date) -> Iterator[Lost]:
    """Breaches by the rules as they stood that are none by those pushed, with the drives as they are."""
    failed, stands = _by_key(before.findings), _by_key(now.findings)
    for one in _by_old_rules(Judge(old, on), Judge(new, on), now.sets):
        was, found = failed.get(_key(one)), stands.get(_key(one))
        unread = one.result == "cannot_tell" and was is not None and was.fails
        if (one.fails or unread) and (found is None or found.result in _BECAME):
            breach = was if unread and was is not None else one
            yield Lost(one.spec, one.rule, one.asset, _words(breach, found))


def _by_old_rules(old: Judge, new: Judge, sets: Iterable[Named]) -> Iterator[Finding]:
    """The newest readings by the rules and slots as they stood, under the waivers as pushed."""
    slots = {tag: slot for tag in old.record.tags() if (slot := _slot(old.record, tag)) is not None}
    others = {tag: replace(there, asset=slots.get(tag, there.asset)) for tag, there in new.others().items()}
    for named in sets:
        assert named.asset is not None
        slot = slots.get(named.asset.tag)
        if slot is not None:
            subject = replace(new.subject(named.asset, named.set), asset=slot)
            try:
                found = judge(old.specs(slot), subject, others, new.waivers.waivers, new.on)
            except Refused:
                continue
            yield from under(found, new.accepted, new.on)


def _slot(record: Record, tag: str) -> Asset | None:
    try:
        return record.asset(tag)
    except Refused:
        return None


def _by_key(findings: Iterable[Finding]) -> dict[Key, Finding]:
    return {_key(one): one for one in findings}


def _key(one: Finding) -> Key:
    return one.asset, one.spec, one.rule


def _words(breach: Finding, now: Finding | None) -> str:
    became = _BECAME[now.result] if now else "the rule is not judged any more"
    why = f": {now.words.rstrip('.')}" if now and now.words else ""
    return f"{breach.asset} breaches rule {breach.rule} of {breach.spec} ({breach.found}); {became}{why}"
