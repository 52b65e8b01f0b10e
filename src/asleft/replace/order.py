"""The order of entries: a walk over the drive's entries that keeps every condition of place.

Before an entry come those that reset it, those its model names, the base of its percentage, and whatever
stands in the way of its limits. Between free entries the stage decides, then the drive's own menu order. An
entry that already stands at its target when its turn comes is left out, so the list is the shortest in that
order.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Literal

from asleft.models.forms import BASES, CannotEnter
from asleft.models.model import Model, Native
from asleft.models.translate import encode_one
from asleft.replace.job import Stage
from asleft.replace.limits import Limits, broken, pairs_of
from asleft.replace.standing import Standing
from asleft.vocabulary import vocabulary

Kind = Literal["entry", "read", "for_now"]
DERIVED, FACTORY = "derived", "factory"
LOCK_STAGE = 14
_FOR_NOW = "only for now: two entries wait for each other"


@dataclass(frozen=True, slots=True)
class Visit:
    """One entry in its turn. ``now`` is what stands then, None where nobody knows. ``needs`` are the native
    ids whose entries had to come first; ``why`` is the reason of the place, empty where only the stage gives
    it; ``pulled_by`` the entry it was brought forward for. ``for_now`` entries are set again later."""

    native: Native
    stage: int
    kind: Kind
    now: str | None
    enter: str
    why: str = ""
    needs: tuple[str, ...] = ()
    pulled_by: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """The visits in order, and the entries that cannot be brought to their target, with the reason."""

    visits: tuple[Visit, ...]
    failed: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Need:
    """An entry that comes first: the reason for the one that waits, and for the one pulled forward."""

    native_id: str
    why: str
    pulled: str


def after_reset(native: Native, how: str) -> str | None:
    """What an entry shows after another reset it: ``how`` as the model says; None where it is worked out."""
    if how == DERIVED:
        return None
    return native.factory if how == FACTORY else how


class Walk:
    """One walk from what stands to what is wanted. ``run`` gives the plan."""

    def __init__(
        self,
        model: Model,
        now: Mapping[str, str],
        target: Mapping[str, str],
        stage_of: Callable[[Native], Stage],
        late: Callable[[Native], bool],
        locks: Collection[str] = (),
    ) -> None:
        """``late`` entries come last in their stage, those of ``locks`` when all else stands."""
        self.model, self.target = model, target
        self.state = Standing(model, dict(now))
        self.limits = Limits(model, self.state, target)
        self.visits: list[Visit] = []
        self.failed: dict[str, str] = {}
        self._reset_by: dict[str, Native] = {}
        self._done: set[str] = set()
        self._open: list[str] = []
        self._stage = 1
        self._stages = {native_id: stage_of(model.natives[native_id]).number for native_id in target}
        self._locks = [id_ for id_ in target if id_ in locks]
        self._order = sorted(
            (id_ for id_ in target if id_ not in locks),
            key=lambda id_: (self._stages[id_], late(model.natives[id_]), model.place[id_]),
        )
        self._resetters = _resetters(model, target)

    def run(self, *first: tuple[str, str, str]) -> Plan:
        """Walk until everything stands; what is undone by a later entry is taken up again, twice at most.

        ``first`` are entries that make the others possible: id, value, why.
        """
        for native_id, value, why in first:
            self._enter(native_id, value, why, ())
        for _ in range(3):
            self._done.clear()
            for native_id in self._order:
                self._stage = max(self._stage, self._stages[native_id])
                self._visit(native_id)
            if not self._left():
                break
        for native_id in self._left():
            self.failed.setdefault(native_id, "another entry of this list undoes it each time")
        self._stage = LOCK_STAGE
        for native_id in self._locks:
            self._visit(native_id)
        return Plan(tuple(self._with_true_reasons()), self.failed)

    def _with_true_reasons(self) -> Iterator[Visit]:
        """An entry brought forward for one that then needed no entry has only its stage for a reason."""
        entered = {visit.native.id for visit in self.visits}
        for visit in self.visits:
            idle = visit.pulled_by and visit.pulled_by not in entered
            yield replace(visit, why="", pulled_by="") if idle else visit

    def _left(self) -> list[str]:
        return [
            native_id
            for native_id in self._order
            if native_id not in self.failed
            and not self.state.holds(self.model.natives[native_id], self.target[native_id])
        ]

    def _visit(self, native_id: str, pulled: str = "", by: str = "") -> None:
        """Enter one after what must precede it; ``pulled`` is why it comes forward, for ``by``."""
        if native_id in self._done or native_id in self._open or native_id in self.failed:
            return
        self._open.append(native_id)
        needs: dict[str, str] = {}
        for need in self._static(native_id):
            needs[need.native_id] = need.why
            self._visit(need.native_id, need.pulled, native_id)
        native, wanted = self.model.natives[native_id], self.target[native_id]
        if not self.state.holds(native, wanted):
            for need in self._blockers(native, wanted):
                needs[need.native_id] = need.why
                self._visit(need.native_id, need.pulled, native_id)
            self._enter_or_give_way(native, wanted, needs, (pulled, by))
        self._open.remove(native_id)
        self._done.add(native_id)

    def _name(self, native_id: str) -> str:
        return f"{native_id} {self.model.natives[native_id].text}"

    def _static(self, native_id: str) -> Iterator[_Need]:
        native, me = self.model.natives[native_id], self._name(native_id)
        for resetter in self._resetters.get(native_id, ()):
            why = f"after {self._name(resetter)}, which resets it"
            yield _Need(resetter, why, f"before {me}, which it resets")
        for earlier in native.after:
            if earlier in self.target:
                why = f"this drive takes it only after {self._name(earlier)}"
                yield _Need(earlier, why, f"this drive takes {me} only after it")
        for base in (base for key in _base_keys(native) for base in self.limits.ids(key)):
            if base in self.target and base != native_id:
                its = "its 100 % is" if "%" in native.unit else f"its {native.unit or 'value'} is counted by"
                yield _Need(base, f"{its} {self._name(base)}", f"{me} is counted by it")

    def _blockers(self, native: Native, wanted: str) -> list[_Need]:
        """Entries in the way of this one: limits below the value, values beyond the limit, either unknown."""
        found: dict[str, _Need] = {}
        for key, bound in self.limits.doubtful(native, wanted):
            for other in self.limits.ids(key):
                if other in self.target:
                    found[other] = self._limit_need(key == bound.high, other, native.id)
        return list(found.values())

    def _limit_need(self, other_is_limit: bool, other: str, native_id: str) -> _Need:
        it, me = self._name(other), self._name(native_id)
        if other_is_limit:
            return _Need(other, f"{it} is its limit and is moved first", f"it is the limit of {me}")
        why = f"{it} would lie beyond this limit and is moved first"
        return _Need(other, why, f"it would lie beyond {me}")

    def _enter_or_give_way(
        self, native: Native, wanted: str, needs: dict[str, str], pulled: tuple[str, str]
    ) -> None:
        """Enter it; a limit that is itself waiting and stands in the way is moved aside for now."""
        self._lower_set_points(native, wanted)
        for key in self._unknown_partners(native, wanted):
            self._move_aside(key, needs)
        for bound in self.limits.refusing(native, wanted):
            other = bound.high if bound.low in native.keys else bound.low
            if not self._waits(other) or not self._move_aside(bound.high, needs):
                self.failed[native.id] = self.limits.refusal(bound, native)
                return
            if bound.high in native.keys:
                return
        entered = {visit.native.id for visit in self.visits}
        reasons = [(earlier, why) for earlier, why in needs.items() if earlier in entered]
        why, by = (reasons[0][1], "") if reasons else pulled
        self._enter(native.id, wanted, why, tuple(id_ for id_, _ in reasons), by)

    def _waits(self, key: str) -> bool:
        ids = self.limits.ids(key)
        return bool(ids) and all(id_ in self.target and id_ not in self.failed for id_ in ids)

    def _lower_set_points(self, native: Native, wanted: str) -> None:
        """A set point of the day is no part of the record, and still stands in the way of a lower limit."""
        pairs = pairs_of(native)
        trial = self.state.with_entry(native.id, wanted) if pairs else self.state
        for key, bound in pairs:
            if key != bound.high or vocabulary()[bound.low].class_ != "operating" or not broken(trial, bound):
                continue
            self._put(bound.low, trial.number(key) or Decimal(0), f"it stands above {self._name(native.id)}")

    def _unknown_partners(self, native: Native, wanted: str) -> list[str]:
        """Limits and values bound to this entry which nobody knows, and which wait for it themselves."""
        return [
            key
            for key, _ in self.limits.doubtful(native, wanted)
            if self.state.number(key) is None and any(id_ in self._open for id_ in self.limits.ids(key))
        ]

    def _move_aside(self, key: str, needs: dict[str, str], least: Decimal = Decimal(0)) -> bool:
        """Put a limit where it admits ``least`` and all it bounds, now and at the end, limits of its own
        first. False where that cannot be done."""
        wanted = max([least, *self.limits.bounded_by(key)])
        here = self.state.number(key)
        if here is not None and here >= wanted:
            return True
        if self.limits.bounds_unknown(key):
            wanted = self.limits.most(key, wanted)
        for higher in self.limits.too_low_for(key, wanted):
            self._move_aside(higher, needs, wanted)
        native_id = self._put(key, wanted, _FOR_NOW)
        if native_id:
            needs[native_id] = f"{self._name(native_id)} is moved aside first"
        return bool(native_id)

    def _put(self, key: str, number: Decimal, why: str) -> str:
        """Enter a number at the one entry of a key; its native id, or nothing where that cannot be done."""
        try:
            (native,) = self.model.by_key.get(key, ())
            displayed = encode_one(native, {**dict(self.state), key: number}).displayed
        except (ValueError, CannotEnter):
            return ""
        self._enter(native.id, displayed, why, ())
        return native.id

    def _enter(self, native_id: str, value: str, why: str, needs: tuple[str, ...], by: str = "") -> None:
        native = self.model.natives[native_id]
        now = self.state.displayed.get(native_id)
        for_now = value != self.target.get(native_id)
        kind: Kind = "for_now" if for_now else "entry"
        if now is None and native_id not in self._reset_by and not for_now:
            kind = "read"
        self.visits.append(Visit(native, self._stage, kind, now, value, why, needs, by))
        self.state.displayed[native_id] = value
        self._reset_by.pop(native_id, None)
        for other, how in native.sets.items():
            self._reset(native, other, how)

    def _reset(self, by: Native, native_id: str, how: str) -> None:
        other = self.model.natives.get(native_id)
        if other is None:
            return
        self._reset_by[native_id] = by
        shown = after_reset(other, how)
        if shown is None:
            self.state.displayed.pop(native_id, None)
        else:
            self.state.displayed[native_id] = shown


def _resetters(model: Model, target: Mapping[str, str]) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for native_id in target:
        for other in model.natives[native_id].sets:
            if other != native_id:
                found[other] = (*found.get(other, ()), native_id)
    return found


def _base_keys(native: Native) -> tuple[str, ...]:
    if native.form == "rpm":
        return ("motor.pole_count",)
    if native.base == "drive_duty":
        return ("drive.duty_rating",)
    return (BASES[native.base][0],) if native.base in BASES else ()
