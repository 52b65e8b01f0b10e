"""One planned change for many alike drives: each drive's own value, and how far it has come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Literal

from asleft.compare.alike import Column
from asleft.compare.ramp_reference import TIMES, ramp_reference
from asleft.compare.sides import Side
from asleft.compare.walk import compare
from asleft.record import Value, shown
from asleft.vocabulary import vocabulary

RolloutState = Literal["done", "differs", "not_read", "not_applicable"]
STATES: tuple[RolloutState, ...] = ("differs", "not_read", "not_applicable", "done")
"""In the order in which one setting decides for its drive."""


@dataclass(frozen=True, slots=True)
class Planned:
    """What a setting is to be on every drive.

    ``value`` in the neutral unit; or, where ``share_of`` names another key, as a factor of what each drive
    holds there (1.1 of its own ``motor.rated_current_a``). Ramp times count to ``to_hz``.
    """

    value: Value
    share_of: str = ""
    to_hz: Decimal = Decimal(50)


@dataclass(frozen=True, slots=True)
class Item:
    """One setting of one drive: what stands, what is wanted there, and both as its display shows them."""

    key: str
    state: RolloutState
    now: Value | None = None
    wanted: Value | None = None
    why: str = ""
    native: str = ""
    menu: str = ""
    shows: str = ""
    enter: str = ""


@dataclass(frozen=True, slots=True)
class Progress:
    """One drive: the state of its least finished setting."""

    tag: str
    items: tuple[Item, ...]
    age_days: int | None = None

    @property
    def state(self) -> RolloutState:
        """``done`` only where every setting is."""
        return next(state for state in STATES if any(item.state == state for item in self.items))

    @property
    def wanted(self) -> Mapping[str, Value]:
        """Neutral values still to be entered, for the drive's own list."""
        return {
            item.key: item.wanted
            for item in self.items
            if item.state in ("differs", "not_read") and item.wanted is not None
        }


@dataclass(frozen=True, slots=True)
class Rollout:
    """All drives, in the order given."""

    planned: Mapping[str, Planned]
    drives: tuple[Progress, ...] = field(default_factory=tuple)

    @property
    def counts(self) -> Mapping[RolloutState, int]:
        """How many drives are in each state."""
        return {state: sum(drive.state == state for drive in self.drives) for state in reversed(STATES)}

    @property
    def is_done(self) -> bool:
        """Every drive that can have the change has it, and one has it at least."""
        states = {drive.state for drive in self.drives}
        return "done" in states and states <= {"done", "not_applicable"}


def rollout(planned: Mapping[str, Planned], columns: Sequence[Column]) -> Rollout:
    """How far a planned change has come. Raises ``ValueError`` where nothing is planned."""
    if not planned:
        raise ValueError("a roll-out changes one setting at least")
    return Rollout(
        planned,
        tuple(
            Progress(
                column.tag,
                tuple(_item(key, wanted, column.side) for key, wanted in planned.items()),
                column.age_days,
            )
            for column in columns
        ),
    )


def _item(key: str, planned: Planned, side: Side) -> Item:
    now = side.values.get(key)
    if side.state(key) == "absent":
        return Item(key, "not_applicable", why=side.why(key))
    wanted, why = _own_value(key, planned, side)
    if wanted is None:
        return Item(key, "not_read", now, None, why)
    if side.model is not None and key in side.model.fixed:
        stands = shown(side.model.fixed[key], vocabulary()[key].unit)
        done = side.model.fixed[key] == wanted
        return Item(key, "done" if done else "not_applicable", now, wanted, f"it always stands at {stands}")
    if now is None:
        return _with_entry(Item(key, "not_read", None, wanted, side.why(key)), side)
    trial = Side(side.set.with_values({key: wanted}), side.model)
    differs = any(change.key == key for change in compare(trial, side).changes)
    return _with_entry(Item(key, "differs" if differs else "done", now, wanted), side)


def _own_value(key: str, planned: Planned, side: Side) -> tuple[Value | None, str]:
    """The value this drive should hold, by its own base; or None, and why it cannot be worked out."""
    value = planned.value
    if planned.share_of:
        base = side.values.get(planned.share_of)
        if not isinstance(base, Decimal) or not isinstance(value, Decimal):
            return None, f"{vocabulary()[planned.share_of].label} of this drive is not known"
        return value * base, ""
    if key in TIMES and isinstance(value, Decimal):
        reference = ramp_reference(side.values, side.model)
        if reference is None:
            return None, "the frequency its ramp times count to is not known"
        return value * reference / planned.to_hz, ""
    return value, ""


def _with_entry(item: Item, side: Side) -> Item:
    """The item as the drive's display has it: done where it shows the nearest it can hold, not applicable
    where it cannot hold the value."""
    if side.model is None or item.wanted is None:
        return item
    from asleft.models import CannotEnter, encode_one

    natives = side.model.by_key[item.key]
    wanted = {**side.values, item.key: item.wanted}
    try:
        enter = [encode_one(native, wanted).words for native in natives]
        shows = [encode_one(native, side.values).words for native in natives if item.now is not None]
    except CannotEnter as reason:
        return replace(item, state="not_applicable", why=str(reason))
    ids = " ".join(native.id for native in natives)
    return replace(item, native=ids, menu=natives[0].menu, shows="; ".join(shows), enter="; ".join(enter))
