"""Same in effect, beyond numbers: settings that only mean something together are judged together.

``RULES`` is the registry: one function a rule. A rule sees both sides and the comparison so far and says
which keys do the same although they differ, which cannot be told, and what a person should know of the rest.
Equivalences and look-alikes: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from importlib import import_module

from asleft.compare.changes import Change, Comparison, NotRead, Undecided
from asleft.compare.sides import Side
from asleft.vocabulary import vocabulary


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a rule found, by key: ``same`` and ``cannot_tell`` with the reason, ``notes`` to stand beside a
    key wherever it stands, ``found`` changes that no single key shows."""

    same: Mapping[str, str] = field(default_factory=dict)
    cannot_tell: Mapping[str, str] = field(default_factory=dict)
    notes: Mapping[str, str] = field(default_factory=dict)
    found: Sequence[Change] = ()


Rule = Callable[[Side, Side, Comparison], Verdict]

RULES: Mapping[str, str] = {
    "ramp times with their reference": "asleft.compare.effect_ramps:ramps",
    "skip bands as speeds left out": "asleft.compare.effect_bands:bands",
    "analog inputs as a line from signal to speed": "asleft.compare.effect_analog:analog",
    "top speed by path": "asleft.compare.effect_analog:paths",
    "supply region underneath": "asleft.compare.effect_place:region",
    "motor linked otherwise": "asleft.compare.effect_place:links",
    "identification": "asleft.compare.effect_place:identification",
    "address doubled": "asleft.compare.effect_place:addresses",
    "rotation": "asleft.compare.effect_place:rotation",
    "inputs and their supply": "asleft.compare.effect_place:input_logic",
    "firmware and model behaviour": "asleft.compare.effect_place:firmware",
}
"""Each rule by its name, as module and function, loaded when a comparison has something to judge."""


def rule(name: str) -> Rule:
    """A rule of the registry."""
    module, _, function = RULES[name].partition(":")
    found: Rule = getattr(import_module(module), function)
    return found


def judged_together(comparison: Comparison, old: Side, new: Side) -> Comparison:
    """The comparison with what every rule says of it."""
    for name in RULES:
        comparison = _with(comparison, rule(name)(old, new, comparison))
    return comparison


def _with(comparison: Comparison, verdict: Verdict) -> Comparison:
    if not (verdict.same or verdict.cannot_tell or verdict.notes or verdict.found):
        return comparison
    found = {change.key for change in verdict.found}
    moved = {*verdict.same, *verdict.cannot_tell}
    return replace(
        comparison,
        changes=_merged([*(c for c in comparison.changes if c.key not in moved | found), *verdict.found]),
        same_in_effect=_kept(comparison.same_in_effect, moved) + _moved(comparison, verdict.same),
        cannot_tell=_kept(comparison.cannot_tell, moved) + _moved(comparison, verdict.cannot_tell),
        dormant=_kept(comparison.dormant, moved),
        one_sided=_without(comparison.one_sided, found),
        not_read=_without(comparison.not_read, found),
        alike=comparison.alike - len([key for key in moved if _was_alike(comparison, key)]),
        notes=_noted(comparison.notes, verdict.notes),
    )


def _merged(changes: Sequence[Change]) -> tuple[Change, ...]:
    return tuple(sorted(changes, key=lambda change: vocabulary().order(change.key)))


def _standing(comparison: Comparison, key: str) -> Change | Undecided | None:
    listed: list[Change | Undecided] = [*comparison.changes, *comparison.dormant]
    listed += [*comparison.cannot_tell, *comparison.same_in_effect]
    return next((entry for entry in listed if entry.key == key), None)


def _was_alike(comparison: Comparison, key: str) -> bool:
    return _standing(comparison, key) is None


def _moved(comparison: Comparison, why: Mapping[str, str]) -> tuple[Undecided, ...]:
    found = []
    for key, reason in why.items():
        entry = _standing(comparison, key)
        found.append(Undecided(key, reason, entry.old if entry else None, entry.new if entry else None))
    return tuple(found)


def _kept(entries: Sequence[Undecided], moved: set[str]) -> tuple[Undecided, ...]:
    return tuple(entry for entry in entries if entry.key not in moved)


def _without(entries: Sequence[NotRead], keys: set[str]) -> tuple[NotRead, ...]:
    return tuple(entry for entry in entries if entry.key not in keys)


def _noted(notes: Mapping[str, tuple[str, ...]], fresh: Mapping[str, str]) -> Mapping[str, tuple[str, ...]]:
    return {**notes, **{key: (*notes.get(key, ()), text) for key, text in fresh.items()}}
