"""The plan for one unit: what it shows, what it has to show, and the shortest order between the two."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from asleft.compare import Side
from asleft.models.forms import CannotEnter, CannotTell
from asleft.models.model import Model, Native
from asleft.models.translate import encode_one
from asleft.replace.job import Stage, job
from asleft.replace.ledger import LedgerRow
from asleft.replace.order import Plan, Walk
from asleft.replace.steps import is_run_input
from asleft.replace.translate import Translation

LOCK = "access.setting_lock"
PRESET = "access.application_preset"
SHOWN = "access.settings_shown"
_REACH = {"few": 0, "usual": 1}
"""The highest access level, counted from 0, that a menu scope shows; any other shows all."""


def planned(wanted: Side, model: Model, now: Mapping[str, str], translation: Translation) -> Plan:
    """The entries in order. Where the record's preset saves entries it is taken into the translation."""
    return _with_preset(wanted, model, now, translation, planned_order(model, now, translation.displayed))


def shown_by(side: Side, model: Model) -> dict[str, str]:
    """What a unit shows, by native id, as far as it was read."""
    found = {id_: text for id_, text in side.set.native.items() if id_ in model.natives}
    for native in model.natives.values():
        if native.id in found or native.secret or not _known(native, side):
            continue
        try:
            found[native.id] = encode_one(native, side.values).displayed
        except (CannotEnter, CannotTell):
            continue
    return found


def _known(native: Native, side: Side) -> bool:
    """A number needs all its keys; a choice can be told from some of them."""
    known = [key in side.values for key in native.keys]
    return any(known) if native.choices else bool(known) and all(known)


def planned_order(model: Model, now: Mapping[str, str], target: Mapping[str, str]) -> Plan:
    """The shortest order of entries from what a unit shows to what it has to show, by native id; the lock is
    opened and hidden menus are shown first where they stand in the way."""

    def stage_of(native: Native) -> Stage:
        return job().stage_of(native.keys)

    def late(native: Native) -> bool:
        return SHOWN in native.keys or is_run_input(native, target[native.id])

    locks = [native.id for native in model.by_key.get(LOCK, ())]
    plan = Walk(model, now, target, stage_of, late, locks).run()
    first = (*_opening(model, now, plan), *_showing(model, now, target, plan))
    return Walk(model, now, target, stage_of, late, locks).run(*first) if first else plan


def _with_preset(
    wanted: Side, model: Model, now: Mapping[str, str], translation: Translation, plan: Plan
) -> Plan:
    """The plan with the record's application preset entered first, where that saves entries and overwrites
    nothing the list does not know."""
    recorded = wanted.set.values.get(PRESET)
    for native in model.by_key.get(PRESET, ()):
        code = next((code for code, it in native.choices.items() if it.sets.get(PRESET) == recorded), "")
        known = {*translation.displayed, *(id_ for id_ in native.sets if id_ not in model.natives)}
        if not code or now.get(native.id) in (None, code) or not set(native.sets) <= known:
            continue
        shorter = planned_order(model, now, {**translation.displayed, native.id: code})
        if len(shorter.visits) < len(plan.visits):
            saved = len(plan.visits) - len(shorter.visits)
            why = f"action: entered because it saves {saved} {'entry' if saved == 1 else 'entries'}"
            translation.displayed[native.id] = code
            translation.books.rows[PRESET] = LedgerRow(PRESET, "copied", why, recorded, natives=(native.id,))
            return shorter
    return plan


def _opening(model: Model, now: Mapping[str, str], plan: Plan) -> Iterator[tuple[str, str, str]]:
    """The entry that opens the lock, where it stands otherwise and something else is entered."""
    for native in model.by_key.get(LOCK, ()):
        needed = any(visit.native.id != native.id for visit in plan.visits)
        for code, choice in native.choices.items():
            if needed and choice.sets.get(LOCK) == "open" and now.get(native.id) not in (None, code):
                yield native.id, code, "the lock blocks the rest"
                return


def _showing(
    model: Model, now: Mapping[str, str], target: Mapping[str, str], plan: Plan
) -> Iterator[tuple[str, str, str]]:
    """The entry that shows the menus the list needs, where they are hidden now."""
    levels = [visit.native.access for visit in plan.visits if visit.native.access in model.levels]
    needed = max(map(model.levels.index, levels), default=0)
    for native in model.by_key.get(SHOWN, ()):
        here = now.get(native.id)
        if here is None or native.id not in target or _reach(native, here) >= needed:
            continue
        code = next(
            (code for code in (target[native.id], *native.choices) if _reach(native, code) >= needed), ""
        )
        if code:
            yield native.id, code, "the menus hide entries of this list until then"
            return


def _reach(native: Native, code: str) -> float:
    choice = native.choices.get(code)
    scope = choice.sets.get(SHOWN) if choice else None
    return 0 if scope is None else _REACH.get(str(scope), math.inf)
