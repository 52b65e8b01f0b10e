"""One set in its slot: every value that an effect asks for, and a note of what was asked."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING, NoReturn, TypeAlias

from asleft.compare import Side
from asleft.compare.ramp_reference import ramp_reference
from asleft.explain.facts import Input, Lacking, Source
from asleft.explain.figures import digits_of, figure
from asleft.record import Value, shown
from asleft.vocabulary import slot_fields, vocabulary

if TYPE_CHECKING:
    from asleft.record import Asset

Others: TypeAlias = "Callable[[str], Asset | None]"

_PLATE_KEYS = {
    "rated_power_kw": "motor.rated_power_kw",
    "rated_voltage_v": "motor.rated_voltage_v",
    "rated_current_a": "motor.rated_current_a",
    "rated_frequency_hz": "motor.rated_frequency_hz",
    "rated_speed_rpm": "motor.rated_speed_rpm",
    "power_factor": "motor.power_factor",
    "cooling": "motor.cooling",
    "max_speed_rpm": "motor.max_speed_rpm",
}


class View:
    """A side of a comparison in its slot. Raises ``Lacking`` for what is not known; notes what was used."""

    def __init__(self, side: Side, asset: Asset | None = None, others: Others | None = None) -> None:
        self.side, self.asset, self.others = side, asset, others
        self.values = side.values
        self.used: list[Input] = []

    def note(self, name: str, value: Value, unit: str, source: Source) -> None:
        """Remember an input; counts and words are exact."""
        digits = digits_of(value) if isinstance(value, Decimal) and unit else 4
        self.used.append(Input(name, shown(value, unit), source, digits))

    def has(self, key: str) -> bool:
        """Whether a setting is read here."""
        return key in self.values

    def number(self, key: str) -> float:
        """A setting's number."""
        value = self.values.get(key)
        if not isinstance(value, Decimal):
            self._lacks_setting(key)
        parameter = vocabulary()[key]
        self.note(parameter.label, value, parameter.unit, "setting")
        return float(value)

    def choice(self, key: str) -> str:
        """A setting's choice."""
        value = self.values.get(key)
        if not isinstance(value, str):
            self._lacks_setting(key)
        self.note(vocabulary()[key].label, value, "", "setting")
        return value

    def is_(self, key: str, *choices: str) -> bool:
        """Whether a setting is read and stands at one of the choices."""
        value = self.values.get(key)
        if isinstance(value, str):
            self.note(vocabulary()[key].label, value, "", "setting")
        return value in choices

    def number_or(self, key: str, otherwise: float) -> float:
        """A setting's number, or another value where the drive has none."""
        return self.number(key) if isinstance(self.values.get(key), Decimal) else otherwise

    def _lacks_setting(self, key: str) -> NoReturn:
        label = vocabulary()[key].label
        absent = self.side.state(key) == "absent"
        raise Lacking(f"this drive has no {label}" if absent else f"{label} is not read")

    def slot(self, field: str) -> Value | None:
        """A field of the slot, ``plate.…`` or ``machine.…``, or None."""
        if self.asset is None:
            return None
        part, _, name = field.partition(".")
        found = (self.asset.plate if part == "plate" else self.asset.machine).get(name)
        if found is not None:
            parameter = slot_fields()[field]
            self.note(parameter.label, found, parameter.unit, "plate" if part == "plate" else "machine")
        return found

    def machine(self, name: str) -> float:
        """A number of the machine."""
        return self._slot_number(f"machine.{name}")

    def own_plate(self, name: str) -> float:
        """A number of the motor's plate as a person read it, never the drive's own motor data."""
        return self._slot_number(f"plate.{name}")

    def _slot_number(self, field: str) -> float:
        found = self.slot(field)
        if not isinstance(found, Decimal):
            raise Lacking(f"{slot_fields()[field].label} is not recorded")
        return float(found)

    def plate(self, name: str) -> float:
        """A number of the motor: from its plate, else from the motor data entered in the drive."""
        found = self.slot(f"plate.{name}")
        if isinstance(found, Decimal):
            return float(found)
        key = _PLATE_KEYS[name]
        value = self.values.get(key)
        if not isinstance(value, Decimal):
            raise Lacking(f"{slot_fields()[f'plate.{name}'].label} is not recorded")
        parameter = vocabulary()[key]
        self.note(parameter.label, value, parameter.unit, "motor data")
        return float(value)

    def word(self, field: str) -> str:
        """A choice or text of the slot."""
        found = self.slot(field)
        if not isinstance(found, str):
            raise Lacking(f"{slot_fields()[field].label} is not recorded")
        return found

    def word_or(self, field: str, otherwise: str) -> str:
        """A choice or text of the slot, or another where none is recorded."""
        found = self.slot(field)
        return found if isinstance(found, str) else otherwise

    def assume(self, name: str, value: float, unit: str = "") -> float:
        """Take a value nobody recorded, and say so."""
        self.used.append(Input(name, figure(value, unit), "assumed", 2))
        return value

    def ramp_reference(self) -> float:
        """The frequency ramp times count to."""
        found = ramp_reference(self.values, self.side.model)
        if found is None:
            raise Lacking("the ramp reference frequency is not known")
        self.note("ramp reference frequency", found, "Hz", "setting")
        return float(found)

    def option(self, name: str, otherwise: str) -> str:
        """A behaviour option of the drive model."""
        model = self.side.model
        return model.behaviour.get(name, otherwise) if model else otherwise
