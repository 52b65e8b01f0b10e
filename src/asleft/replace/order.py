"""The order of entries: a walk over the drive's entries that keeps every condition of place.

Before an entry come those that reset it, those its model names, the base of its percentage, and whatever
stands in the way of its limits. Between free entries the stage decides, then the drive's own menu order. An
entry that already stands at its target when its turn comes is left out, so the list is the shortest in that
order.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from asleft.models.forms import BASES, CannotEnter
from asleft.models.model import Model, Native
from asleft.models.translate import encode_one
from asleft.record import shown
from asleft.replace.job import Stage
from asleft.replace.standing import Bound, Standing, bounds_of
from asleft.vocabulary import vocabulary

Kind = Literal["entry", "read", "for_now"]
DERIVED, FACTORY = "derived", "factory"
LOCK_STAGE = 14


@dataclass(frozen=True, slots=True)
class Visit:
    """One entry in its turn. ``now`` is what stands then, None where nobody knows. ``needs`` are the native
    ids whose entries had to come first; ``why`` is the reason of the place, empty where only the stage gives
    it. ``for_now`` entries are set again later."""

    native: Native
    stage: int
    kind: Kind
    now: str | None
    enter: str
    why: str = ""
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Need:
    """An entry that comes first: the reason for the one that waits, and for the one pulled forward."""

    native_id: str
    why: str
    pulled: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The visits in order, and the entries that cannot be brought to their target, with the reason."""

    visits: tuple[Visit, ...]
    failed: Mapping[str, str] = field(default_factory=dict)


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

    def run(self, unlock: tuple[str, str] | None = None) -> Plan:
        """Walk until everything stands; what is undone by a later entry is taken up again, twice at most."""
        if unlock is not None:
            self._enter(*unlock, "the lock blocks the rest", ())
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
        return Plan(tuple(self.visits), self.failed)

    def _left(self) -> list[str]:
        done_blind = {visit.native.id for visit in self.visits}
        return [
            native_id
            for native_id in self._order
            if not self.state.holds(self.model.natives[native_id], self.target[native_id])
            and (native_id in self.state.displayed or native_id not in done_blind)
            and native_id not in self.failed
        ]

    def _visit(self, native_id: str, pulled: str = "") -> None:
        """Enter one after what must precede it. ``pulled`` is why it comes before its own turn."""
        if native_id in self._done or native_id in self._open or native_id in self.failed:
            return
        self._open.append(native_id)
        needs: dict[str, str] = {}
        for need in self._static(native_id):
            needs[need.native_id] = need.why
            self._visit(need.native_id, need.pulled)
        native, wanted = self.model.natives[native_id], self.target[native_id]
        if not self.state.holds(native, wanted):
            for need in self._blockers(native_id, wanted):
                needs[need.native_id] = need.why
                self._visit(need.native_id, need.pulled)
            self._enter_or_give_way(native_id, wanted, needs, pulled)
        self._open.remove(native_id)
        self._done.add(native_id)

    def _static(self, native_id: str) -> Iterator[_Need]:
        native, me = self.model.natives[native_id], self._name(native_id)
        for resetter in self._resetters.get(native_id, ()):
            yield _Need(
                resetter, f"after {self._name(resetter)}, which resets it", f"before {me}, which it resets"
            )
        for earlier in native.after:
            if earlier in self.target:
                why = f"this drive takes it only after {self._name(earlier)}"
                yield _Need(earlier, why, f"this drive takes {me} only after it")
        for key in _base_keys(native):
            for base in self.model.by_key.get(key, ()):
                if base.id in self.target and base.id != native_id:
                    yield _Need(base.id, f"its 100 % is {self._name(base.id)}", f"it is the 100 % of {me}")

    def _name(self, native_id: str) -> str:
        return f"{native_id} {self.model.natives[native_id].text}"

    def _blockers(self, native_id: str, wanted: str) -> list[_Need]:
        """Entries in the way of this one: limits below the value, values beyond the limit, either unknown."""
        trial = self.state.with_entry(native_id, wanted)
        found: dict[str, _Need] = {}
        for key in self.model.natives[native_id].keys:
            for bound in bounds_of(key):
                low, high = trial.number(bound.low), trial.number(bound.high)
                if low is not None and high is not None and low <= high:
                    continue
                other = bound.high if key == bound.low else bound.low
                for native in self.model.by_key.get(other, ()):
                    if native.id in self.target and native.id != native_id:
                        found[native.id] = self._limit_need(key == bound.low, native.id, native_id)
        return list(found.values())

    def _limit_need(self, is_value: bool, other: str, native_id: str) -> _Need:
        it, me = self._name(other), self._name(native_id)
        if is_value:
            return _Need(other, f"{it} is its limit and is moved first", f"it is the limit of {me}")
        return _Need(
            other, f"{it} would lie beyond this limit and is moved first", f"it would lie beyond {me}"
        )

    def _enter_or_give_way(self, native_id: str, wanted: str, needs: dict[str, str], pulled: str) -> None:
        """Enter it; a limit that is itself waiting and stands in the way is moved aside for now."""
        self._lower_operating(native_id, wanted)
        for bound in self._refusing(native_id, wanted):
            if not self._waits(bound, native_id):
                self.failed[native_id] = self._refusal(bound, native_id)
                return
            moved = self._raised(bound)
            if moved is None:
                self.failed[native_id] = self._refusal(bound, native_id)
                return
            if not self.state.holds(self.model.natives[moved[0]], moved[1]):
                self._enter(*moved, "only for now: two entries wait for each other", ())
            if moved[0] == native_id:
                return
            needs[moved[0]] = f"{self._name(moved[0])} is moved aside first"
        entered = {visit.native.id for visit in self.visits}
        reasons = [(earlier, why) for earlier, why in needs.items() if earlier in entered]
        why = reasons[0][1] if reasons else pulled
        self._enter(native_id, wanted, why, tuple(id_ for id_, _ in reasons))

    def _lower_operating(self, native_id: str, wanted: str) -> None:
        """A set point of the day is no part of the record, and still stands in the way of a lower limit."""
        trial = self.state.with_entry(native_id, wanted)
        for key in self.model.natives[native_id].keys:
            for bound in bounds_of(key):
                day = self.model.by_key.get(bound.low, ())
                if vocabulary()[bound.low].class_ != "operating" or not day or not _broken(trial, bound):
                    continue
                limit = trial.number(bound.high) or Decimal(0)
                try:
                    entry = encode_one(day[0], {**dict(self.state), bound.low: limit})
                except CannotEnter:
                    continue
                self._enter(day[0].id, entry.displayed, f"it stands above {self._name(native_id)}", ())

    def _refusing(self, native_id: str, wanted: str) -> Iterator[Bound]:
        """Pairs of limit and value that make the drive refuse this entry as things stand.

        A pair the wanted set itself breaks is no limit of this drive.
        """
        trial = self.state.with_entry(native_id, wanted)
        final = Standing(self.model, {**self.state.displayed, **self.target})
        for key in self.model.natives[native_id].keys:
            for bound in bounds_of(key):
                if _broken(trial, bound) and not (_broken(final, bound) and self._both_wanted(bound)):
                    yield bound

    def _ids(self, key: str) -> list[str]:
        return [native.id for native in self.model.by_key.get(key, ())]

    def _both_wanted(self, bound: Bound) -> bool:
        return all(id_ in self.target for key in (bound.low, bound.high) for id_ in self._ids(key))

    def _waits(self, bound: Bound, native_id: str) -> bool:
        """Whether the other half of the pair is still to be entered."""
        others = [id_ for key in (bound.low, bound.high) for id_ in self._ids(key) if id_ != native_id]
        return bool(others) and all(id_ in self.target and id_ not in self.failed for id_ in others)

    def _refusal(self, bound: Bound, native_id: str) -> str:
        key = bound.high if native_id in self._ids(bound.low) else bound.low
        number = self.state.number(key)
        label, unit = vocabulary()[key].label, vocabulary()[key].unit
        stands = "not known" if number is None else shown(number, unit)
        return f"{label} stands at {stands} and cannot be moved first"

    def _raised(self, bound: Bound) -> tuple[str, str] | None:
        """The entry that puts an upper limit above everything it bounds at present and is to bound later."""
        final = Standing(self.model, {**self.state.displayed, **self.target})
        held = [
            number
            for other in bounds_of(bound.high)
            if other.high == bound.high
            for standing in (self.state, final)
            if (number := standing.number(other.low)) is not None
        ]
        natives = self.model.by_key.get(bound.high, ())
        if len(natives) != 1:
            return None
        try:
            entry = encode_one(natives[0], {**dict(self.state), bound.high: max(held)})
        except CannotEnter:
            return None
        return natives[0].id, entry.displayed

    def _enter(self, native_id: str, value: str, why: str, needs: tuple[str, ...]) -> None:
        native = self.model.natives[native_id]
        now = self.state.displayed.get(native_id)
        for_now = value != self.target.get(native_id)
        kind: Kind = "for_now" if for_now else "entry"
        if now is None and native_id not in self._reset_by and not for_now:
            kind = "read"
        self.visits.append(Visit(native, self._stage, kind, now, value, why, needs))
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


def _broken(standing: Standing, bound: Bound) -> bool:
    low, high = standing.number(bound.low), standing.number(bound.high)
    return low is not None and high is not None and low > high


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
