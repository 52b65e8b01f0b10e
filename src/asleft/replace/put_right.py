"""A unit held against the record of its slot: the ledger, the list that puts it right, what to decide."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from asleft.compare import Comparison, Side, compare
from asleft.models.forms import CannotEnter, CannotTell
from asleft.models.model import Model, Native
from asleft.models.translate import decode, encode_one
from asleft.record import Asset, Fault, ParameterSet, Refused
from asleft.replace.decisions import Judge, decision, gathered, weighed
from asleft.replace.job import Stage, job
from asleft.replace.ledger import Decision, LedgerRow
from asleft.replace.order import Plan, Walk
from asleft.replace.standing import Standing
from asleft.replace.steps import Step, is_run_input, put_in_order, split
from asleft.replace.translate import Translation, Translator
from asleft.vocabulary import vocabulary

LOCK = "access.setting_lock"
PRESET = "access.application_preset"
WEIGHTY = frozenset({"danger", "high", "medium"})
"""Severities of a rule that let none of its settings wait until morning."""


@dataclass(frozen=True, slots=True)
class PutRight:
    """``ledger`` has one row for each entry of the recorded set, ``implied`` rows for what the old model
    fixed without listing it. ``steps`` is the whole list with the work between entries. ``decide`` are
    decisions for a person. ``result`` is what the unit holds when the list is done, so far as it is known."""

    comparison: Comparison
    ledger: tuple[LedgerRow, ...]
    implied: tuple[LedgerRow, ...]
    steps: tuple[Step, ...]
    decide: tuple[Decision, ...]
    cautions: tuple[str, ...]
    before_energising: tuple[str, ...]
    result: ParameterSet
    target: Mapping[str, str] = field(default_factory=dict)

    @property
    def entries(self) -> tuple[Step, ...]:
        """The steps at which something is entered."""
        return tuple(step for step in self.steps if step.kind != "do")

    @property
    def tonight(self) -> tuple[Step, ...]:
        """What must be done before the first start."""
        return tuple(step for step in self.steps if step.tonight)

    @property
    def tomorrow(self) -> tuple[Step, ...]:
        """What may wait until morning; whoever leaves it names the day."""
        return tuple(step for step in self.steps if not step.tonight)

    @property
    def is_right(self) -> bool:
        """Nothing to enter and nothing to decide."""
        return not self.entries and not self.decide


def put_right(wanted: Side, unit: Side, asset: Asset, judge: Judge | None = None) -> PutRight:
    """What brings ``unit`` to the record ``wanted`` of its slot.

    ``judge`` asks the rules of the slot; with it each decision says what its ways out breach. Raises
    ``Refused`` where no model file of the unit is at hand.
    """
    if unit.model is None:
        raise Refused(
            Fault(
                f"there is no model file for {unit.set.model or 'the unit'}.",
                "Import it, or name the model the unit is: without it no entry can be told.",
            )
        )
    translation = Translator(wanted, unit.model, asset, unit.set.values).run()
    now = shown_by(unit, unit.model)
    plan = _planned(unit.model, now, translation.displayed)
    plan = _with_preset(wanted, unit.model, now, translation, plan)
    _refused(translation, plan, unit.model)
    result = _result(unit, unit.model, now, translation, plan)
    steps = put_in_order(
        plan.visits,
        unit.model,
        unit.values,
        {**unit.model.fixed, **result.values},
        _met(wanted, plan, translation),
    )
    decide, weighty = gathered(translation.books.decisions), set[str]()
    if judge is not None:
        outcome = {**unit.model.fixed, **result.values}
        decide = weighed(decide, outcome, judge)
        weighty = {key for found in judge(outcome) if found.severity in WEIGHTY for key in found.keys}
    steps = split(steps, unit.model, weighty)
    return PutRight(
        comparison=compare(wanted, unit),
        ledger=_numbered(translation.books.rows, steps),
        implied=_numbered(translation.implied, steps),
        steps=steps,
        decide=decide,
        cautions=(*job().cautions, *_own_cautions(wanted, unit)),
        before_energising=job().questions,
        result=result,
        target=translation.displayed,
    )


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


def _planned(model: Model, now: Mapping[str, str], target: Mapping[str, str]) -> Plan:
    def stage_of(native: Native) -> Stage:
        return job().stage_of(native.keys)

    def late(native: Native) -> bool:
        return is_run_input(native, target[native.id])

    locks = [native.id for native in model.by_key.get(LOCK, ())]
    plan = Walk(model, now, target, stage_of, late, locks).run()
    opened = _opening(model, now)
    if opened is not None and any(visit.native.id != opened[0] for visit in plan.visits):
        return Walk(model, now, target, stage_of, late, locks).run(opened)
    return plan


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
        shorter = _planned(model, now, {**translation.displayed, native.id: code})
        if len(shorter.visits) < len(plan.visits):
            saved = len(plan.visits) - len(shorter.visits)
            why = f"action: entered because it saves {saved} {'entry' if saved == 1 else 'entries'}"
            translation.displayed[native.id] = code
            translation.books.rows[PRESET] = LedgerRow(PRESET, "copied", why, recorded, natives=(native.id,))
            return shorter
    return plan


def _opening(model: Model, now: Mapping[str, str]) -> tuple[str, str] | None:
    """The entry that opens the lock, where it stands otherwise."""
    for native in model.by_key.get(LOCK, ()):
        for code, choice in native.choices.items():
            if choice.sets.get(LOCK) == "open" and now.get(native.id) not in (None, code):
                return native.id, code
    return None


def _refused(translation: Translation, plan: Plan, model: Model) -> None:
    """What the order cannot reach is a decision too."""
    for native_id, why in plan.failed.items():
        for books in (translation.books.rows, translation.implied):
            for key in [key for key, row in books.items() if native_id in row.natives]:
                row = books[key]
                books[key] = replace(row, outcome="decide", why=why)
                if key in vocabulary() and row.value is not None:
                    translation.books.decisions[key] = decision(key, row.value, model, None, why)


def _met(wanted: Side, plan: Plan, translation: Translation) -> set[str]:
    met = set()
    if any(visit.kind == "read" for visit in plan.visits):
        met.add("not_read")
    if any(row.outcome == "identify" for row in translation.books.rows.values()):
        met.add("identify")
    if any(is_run_input(visit.native, visit.enter) for visit in plan.visits):
        met.add("run_input")
    if any(wanted.set.values.get(f"access.{name}pin_state") == "set" for name in ("", "wireless_")):
        met.add("secret")
    return met


def _result(
    unit: Side, model: Model, now: Mapping[str, str], translation: Translation, plan: Plan
) -> ParameterSet:
    reached = {id_: text for id_, text in translation.displayed.items() if id_ not in plan.failed}
    standing = Standing(model, {**now, **reached})
    decoded = decode(model, standing.displayed, "not read, and not part of the list")
    return replace(
        unit.set, values=decoded.values, not_read=decoded.not_read, native=decoded.native, reading=None
    )


def _numbered(rows: Mapping[str, LedgerRow], steps: tuple[Step, ...]) -> tuple[LedgerRow, ...]:
    by_native: dict[str, list[int]] = {}
    for step in steps:
        if step.native:
            by_native.setdefault(step.native, []).append(step.number)
    return tuple(
        replace(row, steps=tuple(number for id_ in row.natives for number in by_native.get(id_, ())))
        for row in rows.values()
    )


def _own_cautions(wanted: Side, unit: Side) -> list[str]:
    found = []
    if wanted.set.model == unit.set.model and wanted.set.firmware != unit.set.firmware:
        found.append(
            f"The record was read with firmware {wanted.set.firmware or 'not known'}, the unit has "
            f"{unit.set.firmware or 'not known'}: the same settings can act otherwise; compare the behaviour."
        )
    if wanted.values.get("limits.output_phase_order") == "swapped":
        found.append(
            "The record swaps the output phases: rotation is right only with the cable as it was; prove it."
        )
    return found
