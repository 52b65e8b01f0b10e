"""What a unit cannot hold: the reason, the consequence, and what it can hold instead."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace

from asleft.compare import Change
from asleft.explain import consequence, said
from asleft.models.model import Model
from asleft.record import Value
from asleft.record.findings import Finding
from asleft.replace.job import job
from asleft.replace.ledger import Decision, Option
from asleft.vocabulary import vocabulary

MOST_NAMED = 8
Judge = Callable[[Mapping[str, Value]], Sequence[Finding]]
"""Asks the rules of the slot what they find at a set of neutral values."""


def decision(
    key: str, wanted: Value, unit: Model, fixed: Value | None, refused: str, stands: Value | None = None
) -> Decision:
    """The decision on a setting. ``fixed`` is what the unit always holds, ``stands`` what it was read at,
    ``refused`` what the drive's list says against the value, where it has one."""
    parameter = vocabulary()[key]
    holds = stands if fixed is None else fixed
    if fixed is not None:
        reason = f"this unit always stands at {said(parameter, fixed)}"
    elif texts := _choice_texts(key, unit):
        more = f" and {len(texts) - MOST_NAMED} more" if len(texts) > MOST_NAMED else ""
        reason = f"this unit has no such choice; it has {', '.join(texts[:MOST_NAMED])}{more}"
    elif refused:
        reason = refused
    else:
        reason = unit.absent.get(key, "this unit has no such parameter")
    return Decision(
        key=key,
        wanted=wanted,
        holds=holds,
        reason=reason,
        consequence=_consequence(key, wanted, holds),
        options=_options(key, wanted, unit),
        remedy=job().remedy(key, wanted),
    )


def _consequence(key: str, wanted: Value, holds: Value | None) -> str:
    parameter = vocabulary()[key]
    if holds is not None and type(holds) is type(wanted):
        known = consequence(Change(key, wanted, holds))
        if known:
            return known
    if holds is not None and isinstance(holds, str) and holds in parameter.choices:
        return parameter.choices[holds].means
    return parameter.risk_because


def _options(key: str, wanted: Value, unit: Model) -> tuple[Option, ...]:
    choices = vocabulary()[key].choices
    found = dict.fromkeys(
        name
        for native in unit.by_key.get(key, ())
        for choice in native.choices.values()
        if (name := choice.sets.get(key)) and name != wanted
    )
    return tuple(Option(name, f"{choices[name].says}: {choices[name].means}".rstrip(".")) for name in found)


def _choice_texts(key: str, unit: Model) -> list[str]:
    return [choice.text for native in unit.by_key.get(key, ()) for choice in native.choices.values()]


def decision_of_native(native_id: str, displayed: str) -> Decision:
    """An entry of the old model without a meaning in the trade's terms."""
    return Decision(
        native_id,
        displayed,
        None,
        "it has no meaning beyond the old model",
        f"Entry {native_id} stood at {displayed}: look it up in the old unit's manual, "
        "and see what does the same here.",
    )


def gathered(decisions: Mapping[str, Decision]) -> tuple[Decision, ...]:
    """Decisions for a person: what sleeps under every way out of another one goes along with it."""
    along: dict[str, list[str]] = {}
    for key in decisions:
        for master in _masters(key, decisions):
            along.setdefault(master, []).append(key)
    led = {key for keys in along.values() for key in keys}
    return tuple(
        replace(found, along=tuple(along.get(key, ()))) for key, found in decisions.items() if key not in led
    )


def _masters(key: str, decisions: Mapping[str, Decision]) -> list[str]:
    parameter = vocabulary().get(key)
    rules = parameter.dormant if parameter else ()
    return [
        rule.key
        for rule in rules
        if rule.key in decisions
        and all(option.value in rule.values for option in decisions[rule.key].options)
        and decisions[rule.key].options
    ][:1]


def weighed(decisions: Sequence[Decision], values: Mapping[str, Value], judge: Judge) -> tuple[Decision, ...]:
    """The decisions with what the rules say of each way out, fewest breaches first. ``values`` is what the
    unit will hold."""
    asked = judge(values)
    return tuple(_weighed(decision, values, asked, judge) for decision in decisions)


def _weighed(
    decision: Decision, values: Mapping[str, Value], asked: Sequence[Finding], judge: Judge
) -> Decision:
    key = decision.key
    wide = key in vocabulary() and any(found.fails and _of_the_whole(found) for found in asked)
    as_wanted = judge({**values, key: decision.wanted}) if wide else asked
    own = frozenset(found.rule for found in as_wanted if _of_the_whole(found) and not found.fails)
    options = tuple(
        sorted(
            (
                _with_rules(option, judge({**values, key: option.value}), key, own)
                for option in decision.options
            ),
            key=lambda option: (len(option.breached), -len(option.met)),
        )
    )
    return replace(decision, options=options, breached=_breached(asked, key, own))


def _of_the_whole(found: Finding) -> bool:
    """Whether the set as a whole decides it, as with behaviour, so that no setting is named."""
    return not any(key in vocabulary() for key in found.keys)


def _breached(findings: Sequence[Finding], key: str, own: Collection[str]) -> tuple[str, ...]:
    """Rules breached by what a setting holds; ``own`` are those on the whole set that its recorded value
    meets."""
    return tuple(found.rule for found in findings if found.fails and (key in found.keys or found.rule in own))


def _with_rules(option: Option, findings: Sequence[Finding], key: str, own: Collection[str]) -> Option:
    met = (found.rule for found in findings if key in found.keys and found.result == "met")
    return replace(option, breached=_breached(findings, key, own), met=tuple(met))
