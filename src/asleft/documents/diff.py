"""The answer to ``diff``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from asleft.compare import NotRead, Undecided
from asleft.documents import behaviour, definitions
from asleft.documents.blocks import Block, Line, Sheet, count, section
from asleft.documents.data import value
from asleft.explain import Explained, capital, said
from asleft.explain.ranking import lets_go
from asleft.record.days import plain_time
from asleft.vocabulary import vocabulary

if TYPE_CHECKING:
    from asleft.explain.facts import Fact
    from asleft.jobs.differences import Difference
    from asleft.jobs.naming import Named

CLASS_TITLES = {
    "identity": "Identity of the unit",
    "tuned": "Measured by the identification run (never copied)",
    "address": "Addresses",
    "slot": "Record items of the slot",
    "operating": "Moves in daily use (no change)",
    "action": "Actions",
    "counter": "Counters (a trend, no change)",
}


def blocks(result: Difference) -> Sheet:
    """First what matters, then what to do, then the detail."""
    return (
        Line(headline(result), "alarm" if result.differs else "good"),
        Line(next_step(result)),
        Line(f"Old: {result.old.words}. New: {result.new.words}."),
        *(Line(note) for note in (result.old.note, result.new.note) if note),
        *definitions.notes(result.definitions),
        *section(f"Settings that differ ({len(result.told)})", told(result.told, result.comparison.notes)),
        *behaviour.blocks(result.behaviour, [one.change.key for one in result.told]),
        *section(UNSAID, unsaid(result.told, result.comparison.notes)),
        *section(
            f"Differ, and do nothing today ({len(result.comparison.dormant)})",
            undecided(result.comparison.dormant),
        ),
        *section("Entries without a meaning in the trade's terms", _native(result)),
        *section(
            f"The same in effect ({len(result.comparison.same_in_effect)})",
            undecided(result.comparison.same_in_effect),
        ),
        *section(
            f"Cannot tell ({len(result.comparison.cannot_tell)})", undecided(result.comparison.cannot_tell)
        ),
        *section(f"Not read ({len(result.comparison.not_read)})", not_read(result.comparison.not_read)),
        *section(
            f"Only one of the two models has it ({len(result.comparison.one_sided)})",
            not_read(result.comparison.one_sided),
        ),
        *definitions.listed(result.definitions),
        *(
            block
            for name, title in CLASS_TITLES.items()
            for block in section(title, _others(result.others.get(name, ())))
        ),
    )


def headline(result: Difference) -> str:
    """The one thing that matters most, and how much else."""
    if not result.differs:
        rest = _open_ends(result)
        return f"No setting differs.{' ' + rest if rest else ''}"
    total = len(result.told) + len(result.comparison.native)
    total += len(result.comparison.dormant)
    if not result.told:
        return f"{count(total, 'entry', 'entries')} differ, and none of them acts today."
    first = result.told[0]
    lead = first.most
    if lets_go(first.change) != "protection":
        lead = behaviour.headline(result.behaviour) or lead
    counted = count(len(result.told), "setting differs", "settings differ")
    return f"{lead} {counted} in all{_breaching(result)}."


def _breaching(result: Difference) -> str:
    if result.breaching is None:
        return ""
    return (
        f", {count(result.breaching, 'breaches', 'breach')} a rule"
        if result.breaching
        else ", none breaches a rule"
    )


def _open_ends(result: Difference) -> str:
    parts = []
    if result.comparison.cannot_tell:
        parts.append(f"{len(result.comparison.cannot_tell)} cannot be told")
    if result.comparison.not_read:
        parts.append(f"{len(result.comparison.not_read)} were not read")
    return f"{capital(' and '.join(parts))}." if parts else ""


def next_step(result: Difference) -> str:
    """What to do."""
    asset = result.new.asset or result.old.asset
    if not result.differs:
        return (
            "Nothing to put right."
            if not result.is_undecided
            else "Read what was not read, then compare again."
        )
    if asset is not None and result.new.recorded is not None:
        asked = result.new.asked
        return f"Put each right, or record why it stays. What breaches a rule: asleft check {asked}"
    return "Put each right, or record why it stays."


def told(changes: Iterable[Explained], notes: Mapping[str, tuple[str, ...]] | None = None) -> Iterator[Block]:
    """Each change with its effects below, and what the comparison has to say of it beside them."""
    for one in changes:
        yield Line(one.words, depth=1)
        yield from (Line(effect, depth=2) for effect in one.effects)
        for note in (notes or {}).get(one.change.key, ()):
            yield Line(f"{capital(note.rstrip('.'))}.", depth=2)


UNSAID = "Acts otherwise, whatever the settings say"


def unsaid(changes: Iterable[Explained], notes: Mapping[str, tuple[str, ...]]) -> Iterator[Block]:
    """What the comparison has to say of no setting that differs: of the models, the plate, the address."""
    told_of = {one.change.key for one in changes}
    for key, texts in notes.items():
        if key not in told_of:
            yield from (Line(f"{capital(text.rstrip('.'))}.", "warn", 1) for text in texts)


def _others(changes: Iterable[Explained]) -> Iterator[Block]:
    """Changes of the other classes, each with the first thing that was computed of it."""
    for one in changes:
        yield Line(one.words, depth=1)
        yield from (Line(fact.words, depth=2) for fact in one.facts[:1] if not fact.cannot)


def undecided(entries: Iterable[Undecided]) -> Iterator[Block]:
    """Entries that were held against each other without a plain answer."""
    for entry in entries:
        parameter = vocabulary()[entry.key]
        sides = [said(parameter, side) for side in (entry.old, entry.new) if side is not None]
        yield Line(f"{capital(parameter.label)}: {' and '.join(sides)}: {entry.why}.", depth=1)


def not_read(entries: Iterable[NotRead]) -> Iterator[Block]:
    """Entries with no value on a side."""
    for entry in entries:
        parameter = vocabulary()[entry.key]
        side = {"old": "not in the old", "new": "not in the new", "both": "in neither"}[entry.side]
        other = f" (the other: {said(parameter, entry.other)})" if entry.other is not None else ""
        yield Line(f"{capital(parameter.label)}: {side}: {entry.why}{other}.", "dim", 1)


def _native(result: Difference) -> Iterator[Block]:
    for native_id, (old, new) in result.comparison.native.items():
        yield Line(f"{native_id}: from {old or 'not given'} to {new or 'not given'}", depth=1)


def data(result: Difference) -> dict[str, Any]:
    """The answer for machines."""
    comparison = result.comparison
    return {
        "old": named(result.old),
        "new": named(result.new),
        "headline": headline(result),
        "breaching": result.breaching,
        "coverage": {
            "alike": comparison.alike,
            "compared": comparison.alike + len(comparison.changes) + len(comparison.same_in_effect),
            "not_read": len(comparison.not_read),
        },
        "changes": [change_data(one) for one in result.told],
        "dormant": [_undecided_data(entry) for entry in comparison.dormant],
        "same_in_effect": [_undecided_data(entry) for entry in comparison.same_in_effect],
        "cannot_tell": [_undecided_data(entry) for entry in comparison.cannot_tell],
        "not_read": [_not_read_data(entry) for entry in comparison.not_read],
        "one_sided": [_not_read_data(entry) for entry in comparison.one_sided],
        "native": [
            {"id": native_id, "old": old, "new": new} for native_id, (old, new) in comparison.native.items()
        ],
        "other_classes": {
            name: [change_data(one) for one in result.others.get(name, ())] for name in CLASS_TITLES
        },
        "notes": {key: list(texts) for key, texts in sorted(comparison.notes.items())},
        "behaviour": behaviour.data(result.behaviour),
        "behaviour_coverage": behaviour.coverage_data(result.behaviour),
        "definitions": definitions.definitions_data(result.definitions),
    }


def named(one: Named) -> dict[str, Any]:
    """A set as it was asked for and found."""
    reading = one.set.reading
    return {
        "asked": one.asked,
        "words": one.words,
        "asset": one.asset.tag if one.asset else one.set.asset,
        "model": one.set.model,
        "model_version": one.set.model_version,
        "commit": one.recorded.commit if one.recorded else None,
        "at": reading.at.isoformat() if reading else None,
        "by": reading.by if reading else None,
        "how": reading.how if reading else None,
        "note": one.note,
    }


def change_data(one: Explained) -> dict[str, Any]:
    """One change."""
    parameter = one.change.parameter
    return {
        "key": one.change.key,
        "label": parameter.label,
        "old": value(one.change.old),
        "new": value(one.change.new),
        "unit": parameter.unit,
        "class": parameter.class_,
        "risk": parameter.risk,
        "words": one.words,
        "effects": [fact_data(fact) for fact in one.facts] or [{"words": words} for words in one.effects],
        "lines": list(one.effects),
    }


def fact_data(fact: Fact) -> dict[str, Any]:
    """One computed effect: its value after and before, and what it rests on."""
    return {
        "name": fact.name,
        "words": fact.words,
        "value": fact.value,
        "before": fact.before,
        "unit": fact.unit,
        "basis": [{"name": one.name, "value": one.shown, "from": one.source} for one in fact.basis],
        "assumed": any(one.source == "assumed" for one in fact.basis),
        "estimate": fact.estimate,
        "cannot_tell": fact.cannot or None,
    }


def _undecided_data(entry: Undecided) -> dict[str, Any]:
    return {"key": entry.key, "old": value(entry.old), "new": value(entry.new), "why": entry.why}


def _not_read_data(entry: NotRead) -> dict[str, Any]:
    return {"key": entry.key, "side": entry.side, "other": value(entry.other), "why": entry.why}


def when(one: Named) -> str:
    """When a set was read, in words."""
    return plain_time(one.set.reading.at) if one.set.reading else "not dated"
