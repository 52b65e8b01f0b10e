"""The frequency that ramp times count to, wherever a drive has it from."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.models.model import Model
from asleft.record import Value

KEY = "ramps.ramp_reference_frequency_hz"
TIMES = (
    "ramps.accel_time_1_s",
    "ramps.accel_time_2_s",
    "ramps.decel_time_1_s",
    "ramps.decel_time_2_s",
    "ramps.quick_stop_time_s",
    "presets.jog_ramp_time_s",
)
"""The settings that count to it."""

RATE_REFERENCE_HZ = Decimal(50)
"""What a model that takes a rate in Hz/s is recorded in: seconds to 50 Hz."""

_BASIS = {
    "motor_rated_frequency": "motor.rated_frequency_hz",
    "frequency_max": "limits.frequency_max_hz",
}


def ramp_reference(values: Mapping[str, Value], model: Model | None) -> Decimal | None:
    """The ramp reference in Hz: the setting where there is one, else by the model's rule; None if unknown."""
    if KEY in values:
        value = values[KEY]
        return value if isinstance(value, Decimal) else None
    basis = model.behaviour.get("ramp_basis", "own_setting") if model else "own_setting"
    if basis == "hz_per_s":
        return RATE_REFERENCE_HZ
    value = values.get(_BASIS.get(basis, ""), "")
    return value if isinstance(value, Decimal) else None
