"""A unit held against the record of its slot: the ledger, the list that puts it right, what to decide."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from asleft.compare import Comparison, Side, compare
from asleft.models.model import Model
from asleft.models.translate import decode
from asleft.record import Asset, Fault, ParameterSet, Refused, Value
from asleft.replace.cautions import cautions
from asleft.replace.decisions import Judge, decision, gathered, weighed
from asleft.replace.job import job
from asleft.replace.ledger import Decision, LedgerRow
from asleft.replace.order import Plan
from asleft.replace.plan import planned, shown_by
from asleft.replace.standing import Standing
from asleft.replace.steps import Step, is_run_input, put_in_order, split
from asleft.replace.translate import Translation, Translator
from asleft.replace.unasked import Unasked, unasked
from asleft.vocabulary import vocabulary

WEIGHTY = frozenset({"danger", "high", "medium"})
"""Severities of a rule that let none of its settings wait until morning."""


@dataclass(frozen=True, slots=True)
class PutRight:
    """``ledger`` has one row for each entry of the recorded set, ``implied`` rows for what the old model
    fixed without listing it. ``steps`` is the whole list with the work between entries. ``decide`` are
    decisions for a person. ``result`` is what the unit holds when the list is done, so far as it is known;
    ``unasked`` what acts in it and the record says nothing of. ``target`` is what the unit has to show, by
    native id."""

    comparison: Comparison
    ledger: tuple[LedgerRow, ...]
    implied: tuple[LedgerRow, ...]
    steps: tuple[Step, ...]
    decide: tuple[Decision, ...]
    cautions: tuple[str, ...]
    before_energising: tuple[str, ...]
    result: ParameterSet
    unasked: tuple[Unasked, ...] = ()
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
    model = _model_of(unit)
    translation = Translator(wanted, model, asset, unit.set.values).run()
    now = shown_by(unit, model)
    plan = planned(wanted, model, now, translation)
    _refused(translation, plan, model)
    result = _result(unit, model, now, translation, plan)
    held = {**model.fixed, **result.values}
    decide, weighty = _judged(translation, held, judge)
    steps = put_in_order(plan.visits, model, unit.values, held, _met(wanted, plan, translation))
    steps = split(steps, model, weighty)
    asked = {*translation.books.rows, *translation.implied} - set(wanted.set.not_read)
    return PutRight(
        comparison=compare(wanted, unit),
        ledger=_numbered(translation.books.rows, steps),
        implied=_numbered(translation.implied, steps),
        steps=steps,
        decide=decide,
        cautions=cautions(wanted, unit),
        before_energising=job().questions,
        result=result,
        unasked=unasked(wanted, model, result.values, {**now, **translation.displayed}, asked),
        target=translation.displayed,
    )


def _model_of(unit: Side) -> Model:
    if unit.model is None:
        raise Refused(
            Fault(
                f"there is no model file for {unit.set.model or 'the unit'}.",
                "Import it, or name the model the unit is: without it no entry can be told.",
            )
        )
    return unit.model


def _judged(
    translation: Translation, held: Mapping[str, Value], judge: Judge | None
) -> tuple[tuple[Decision, ...], set[str]]:
    """The decisions, and the keys on which a rule of weight stands."""
    decide = gathered(translation.books.decisions)
    if judge is None:
        return decide, set()
    weighty = {key for found in judge(held) if found.severity in WEIGHTY for key in found.keys}
    return weighed(decide, held, judge), weighty


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
