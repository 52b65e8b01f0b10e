"""Same in effect, beyond numbers: settings that only mean something together are judged together.

``RULES`` is the registry: one function a rule. A rule sees both sides and the comparison so far and says
which keys do the same although they differ, which cannot be told, and what a person should know of the rest.
Equivalences and look-alikes: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from importlib import import_module
from typing import NamedTuple

from asleft.compare.changes import Change, Comparison, NotRead, Undecided
from asleft.compare.sides import Side
from asleft.vocabulary import vocabulary


class Verdict(NamedTuple):
    """What a rule found, by key: ``same`` and ``cannot_tell`` with the reason, ``notes`` to stand beside a
    key wherever it stands, ``found`` changes that no single key shows."""

    same: Mapping[str, str] = {}
    cannot_tell: Mapping[str, str] = {}
    notes: Mapping[str, str] = {}
    found: Sequence[Change] = ()


Rule = Callable[[Side, Side, Comparison], Verdict]

RULES: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "ramp times with their reference": (
        "asleft.compare.effect_ramps:ramps",
        ("ramps.", "presets.jog_ramp_time_s", "limits.frequency_max_hz", "motor.rated_frequency_hz"),
    ),
    "skip bands as speeds left out": ("asleft.compare.effect_bands:bands", ("skip_bands.",)),
    "analog inputs as a line": ("asleft.compare.effect_analog:analog", ("analog_inputs.",)),
    "top speed by path": ("asleft.compare.effect_analog:paths", ("limits.frequency_max_hz",)),
    "supply region underneath": ("asleft.compare.effect_place:region", ("supply.frequency_region_hz",)),
    "motor linked otherwise": ("asleft.compare.effect_place:links", ("motor.connection",)),
    "identification": ("asleft.compare.effect_place:identification", ("tuned.identification_state",)),
    "address doubled": ("asleft.compare.effect_place:addresses", ("drive.serial_number",)),
    "rotation": ("asleft.compare.effect_place:rotation", ("limits.output_phase_order",)),
    "inputs and their supply": (
        "asleft.compare.effect_place:input_logic",
        ("digital_inputs.di_supply_logic",),
    ),
    "firmware and model": (
        "asleft.compare.effect_place:firmware",
        ("drive.firmware_version", "drive.model"),
    ),
}
"""Each rule by its name: module and function, and the beginnings of the keys that wake it when they differ.
A rule is loaded when it is woken."""


def rule(name: str) -> Rule:
    """A rule of the registry."""
    module, _, function = RULES[name][0].partition(":")
    found: Rule = getattr(import_module(module), function)
    return found


def judged_together(comparison: Comparison, old: Side, new: Side) -> Comparison:
    """The comparison with what every rule says of it."""
    differing = [*_differing(comparison), *_heads(old, new)]
    for name, (_, beginnings) in RULES.items():
        if any(key.startswith(beginnings) for key in differing):
            comparison = _with(comparison, rule(name)(old, new, comparison))
    return comparison


def _differing(comparison: Comparison) -> list[str]:
    others = [change for found in comparison.other_classes.values() for change in found]
    undecided = (*comparison.dormant, *comparison.cannot_tell)
    half = (*comparison.not_read, *comparison.one_sided)
    return [
        *(change.key for change in (*comparison.changes, *others)),
        *(entry.key for entry in undecided),
        *(entry.key for entry in half),
    ]


def _heads(old: Side, new: Side) -> list[str]:
    """What differs in the heads of the two sets, as the key that says the same."""
    pairs = {
        "drive.serial_number": (old.set.asset, new.set.asset),
        "drive.model": (old.set.model, new.set.model),
        "drive.firmware_version": (old.set.firmware, new.set.firmware),
    }
    return [key for key, (before, after) in pairs.items() if before != after]


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
        one_sided=_without(comparison.one_sided, found | moved),
        not_read=_without(comparison.not_read, found | moved),
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
    half = (*comparison.not_read, *comparison.one_sided)
    return _standing(comparison, key) is None and not any(entry.key == key for entry in half)


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
