"""The entries of a drive as a person meets them at the keypad: what was recorded last, what to expect."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from asleft.compare import Side
from asleft.models import CannotEnter, CannotTell, Model, Native, displayed_words, encode_one
from asleft.record import ParameterSet, Value
from asleft.replace.plan import shown_by
from asleft.vocabulary import vocabulary

SECRET_STATES = ("set", "not_set", "factory")
_PLATE = {
    "protection.overload_current_a": "rated_current_a",
    "control.vf_corner_frequency_hz": "rated_frequency_hz",
    "control.vf_corner_voltage_v": "rated_voltage_v",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One entry. ``shown`` is what was recorded last and ``plate`` what the nameplate of the slot asks, both
    as the drive displays them, None where there is none; of a secret, only the state of its code.

    ``moving`` values are never taken as shown: they count, or tell the time. ``origin`` is where ``shown`` is
    known from.
    """

    native: Native
    shown: str | None = None
    plate: str | None = None
    moving: bool = False
    origin: str = "the last reading"

    @property
    def id(self) -> str:
        """The native id."""
        return self.native.id

    @property
    def title(self) -> str:
        """Id and text, as the drive shows them."""
        return f"{self.native.id} {self.native.text}"

    @property
    def factory(self) -> str | None:
        """The displayed factory value; never that of a code."""
        return None if self.native.secret or self.native.factory == "" else self.native.factory

    @property
    def offered(self) -> str | None:
        """What pressing Enter confirms: the last recorded value, or the factory value where there is none."""
        if self.moving:
            return None
        return self.shown if self.shown is not None else self.factory

    @property
    def expected(self) -> tuple[tuple[str, str], ...]:
        """What a typed value is held against, each with where it comes from."""
        known = ((self.origin, self.shown), ("the nameplate", self.plate))
        found = tuple((label, value) for label, value in known if value is not None)
        return found or ((("the factory value", self.factory),) if self.factory is not None else ())

    def words(self, displayed: str) -> str:
        """A displayed value as a person reads it aloud."""
        return words(self.native, displayed)


def words(native: Native, displayed: str) -> str:
    """A displayed value with its unit, its choice in words, or the members of a bit field."""
    if native.secret:
        return displayed.replace("_", " ")
    if native.form == "bits" and displayed.isdecimal():
        number = int(displayed)
        named = [choice.text for code, choice in native.choices.items() if number >> int(code) & 1]
        return f"{displayed} ({', '.join(named) or 'none'})"
    return displayed_words(native, displayed) or "nothing"


def rows_of(model: Model, last: ParameterSet | None, plate: Mapping[str, Value]) -> tuple[Row, ...]:
    """Every entry of the model in the drive's own menu order.

    ``last`` is the newest reading, used only where it is of the same model; ``plate`` holds the slot's
    nameplate by short names.
    """
    values: Mapping[str, Value] = {}
    shown: Mapping[str, str] = {}
    if last is not None and last.model == model.name:
        side = Side(last, model)
        values, shown = side.values, {**shown_by(side, model), **_codes(model, last)}
    known = {**values, **model.fixed}
    return tuple(
        Row(native, shown.get(native.id), _of_plate(native, plate, known), _is_moving(native))
        for native in model.natives.values()
    )


def enterable(model: Model, base: ParameterSet) -> tuple[Row, ...]:
    """The entries a plan can set, with what ``base`` holds."""
    return tuple(
        row
        for row in rows_of(model, base, {})
        if not (row.native.read_only or row.native.secret) and _can_be_planned(row.native)
    )


def _can_be_planned(native: Native) -> bool:
    return bool(native.keys) and all(
        vocabulary()[key].class_ in ("setting", "address", "operating") for key in native.keys
    )


def _codes(model: Model, last: ParameterSet) -> dict[str, str]:
    states = {
        native.id: last.values.get(native.keys[0])
        for native in model.natives.values()
        if native.secret and native.keys
    }
    return {native_id: str(state) for native_id, state in states.items() if state in SECRET_STATES}


def _of_plate(native: Native, plate: Mapping[str, Value], known: Mapping[str, Value]) -> str | None:
    if len(native.keys) != 1 or native.read_only:
        return None
    (key,) = native.keys
    value = plate.get(_PLATE.get(key, key.removeprefix("motor.")))
    if value is None or not (key in _PLATE or key.startswith("motor.")):
        return None
    try:
        return encode_one(native, {**known, key: value}).displayed
    except (CannotEnter, CannotTell):
        return None


def _is_moving(native: Native) -> bool:
    classes = {vocabulary()[key].class_ for key in native.keys}
    return "counter" in classes or (native.read_only and classes <= {"operating"})
