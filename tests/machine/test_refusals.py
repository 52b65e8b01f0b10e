"""What an equation does not hold for is refused in a sentence that names the quantity."""

import math
import re
from collections.abc import Callable
from decimal import Decimal
from functools import partial

import pytest

from asleft.machine import (
    braking,
    cable,
    efficiency,
    estimate,
    inertia,
    load,
    motor,
    nameplate,
    overload,
    plates,
    ramps,
    signals,
    supply,
    transfer,
)

STRAIGHT = ramps.linear_ramp(0, 50, 8, 50)
CHANNEL = signals.Scaling(4, 20, 22, 50)
POINT = load.PumpPoint(80, 32, 44, 18)

REFUSED: list[tuple[Callable[[], object], str]] = [
    (partial(motor.synchronous_speed_rpm, 50, 3), "even number of poles, 2 or more, not 3"),
    (partial(motor.synchronous_speed_rpm, 50, 0), "even number of poles"),
    (partial(motor.synchronous_speed_rpm, -1, 4), "frequency hz must be zero or more, not -1"),
    (partial(motor.poles_from_plate, 3700, 50), "no pole count makes 3700 rpm at 50 Hz"),
    (partial(motor.poles_from_plate, 1760, 50), "no pole count makes 1760 rpm"),
    (partial(motor.torque_nm, 15, 0), "speed rpm must be above zero, not 0"),
    (partial(motor.torque_nm, math.nan, 1460), "power kw must be an ordinary number, not nan"),
    (partial(motor.input_power_kw, 400, 28.5, 1.2), "power factor must be from 0 to 1, not 1.2"),
    (partial(motor.input_power_kw, 400, 28.5, math.nan), "power factor must be from 0 to 1, not nan"),
    (partial(motor.implied_efficiency, 15, 400, 28.5, 0), "power factor must be above zero, not 0"),
    (partial(motor.shaft_speed_rpm, 50, 1460, 50, 3), "torque share must be from -2 to 2, not 3"),
    (partial(motor.frequency_for_speed_hz, 9000, 1460, 50, 2), "cannot hold 2 of its torque at 9000 rpm"),
    (partial(plates.plausible_efficiency, 0.01), "power kw must be from 0.06 to 1000"),
    (
        partial(nameplate.check_plate, nameplate.Plate(15, 400, 28.5, 0.84, 0, 50)),
        "rated speed rpm must be above zero",
    ),
    (partial(efficiency.drive_efficiency, 15, 1.1), "load share must be from 0 to 1"),
    (partial(supply.dc_link_v, 0), "line voltage v must be above zero"),
    (partial(load.torque_share, "cubic", 1), "'cubic' is not a valid"),
    (partial(load.pump_power_share, POINT, 0.5), "nothing flows at this speed"),
    (partial(load.PumpPoint, 80, 32, 44, 33), "static head must lie below the duty head"),
    (partial(load.PumpPoint, 80, 45, 44), "not above the shut-off head"),
    (partial(ramps.linear_ramp, -10, 10, 8, 50), "a change of direction is two ramps"),
    (partial(ramps.linear_ramp, 0, 50, 0, 50), "ramp time s must be above zero"),
    (partial(ramps.linear_ramp, 0, 50, math.inf, 50), "ramp time s must be above zero, not inf"),
    (partial(ramps.s_ramp_added, 0, 50, 8, 50, -1, 0), "s curve start s must be zero or more"),
    (partial(ramps.s_ramp_inside, 0, 50, 8, 50, 60, 50), "together must be from 0 to 100, not 110"),
    (partial(ramps.time_to_reach_s, STRAIGHT, 51), "must be from 0 to 50, not 51"),
    (partial(ramps.cycles, STRAIGHT, 9), "must be from 0 to 8, not 9"),
    (partial(ramps.reversal_time_s, STRAIGHT, STRAIGHT), "down to zero and up from zero"),
    (partial(ramps.revolutions, STRAIGHT, 5), "even number of poles"),
    (partial(inertia.accelerating_torque_nm, 1, 1500, 0), "time s must be above zero"),
    (partial(inertia.coasting_time_s, 1, 300, 1470, 5, "square"), "to rpm must be from 0 to 300"),
    (partial(inertia.coasting_time_s, 1, 1470, 300, 5, "cubic"), "'cubic' is not a valid"),
    (partial(braking.least_stop_time_s, 1, 1500, 98, 0.5), "loss share must be from 0.02 to 0.3"),
    (partial(braking.duty_share, 20, 10), "braking time s must be from 0 to 10"),
    (partial(overload.class_trip_time_s, "custom", "iec"), "trip class custom names no time"),
    (partial(overload.class_trip_time_s, "0", "iec"), "trip class 0 names no time"),
    (partial(overload.class_trip_time_s, "10A", "nema"), "trip class 10A names no time"),
    (partial(overload.time_constant_s, 10, 1.1, 1.1), "a pick-up of 1.1 never trips"),
    (partial(overload.time_to_trip_s, 1.5, 423, 1.1, 1.2), "heat must be from 0 to 1"),
    (partial(overload.most_trip_percent, 0.9), "service factor must be from 1 to 2"),
    (partial(signals.percent_of_span, 12, 20, 4), "high end of a signal must lie above its low end"),
    (partial(signals.signal_at_percent, 50, 4, 4), "high end of a signal must lie above its low end"),
    (partial(signals.Scaling, 4, 20, 0, 50, 80, 20), "high end of a signal must lie above"),
    (partial(signals.signal_for_hz, CHANNEL, 10), "must be from 22 to 50, not 10"),
    (partial(signals.signal_for_hz, signals.Scaling(4, 20, 50, 50), 50), "one frequency for every signal"),
    (partial(signals.contact_closed, 24, 2), "of type 1 or 3 here, not 2"),
    (partial(signals.signal_state, math.nan), "signal ma must be an ordinary number"),
    (partial(cable.altitude_current_share, 5000), "altitude m must be from 0 to 4000"),
    (partial(transfer.belt_load_kg_per_m, 60, 0), "belt speed m s must be above zero"),
    (partial(estimate.round_significant, 1.0, 0), "one digit or more"),
    (partial(estimate.round_significant, math.nan, 2), "one digit or more"),
    (partial(estimate.significant_digits, Decimal("NaN")), "only an ordinary number carries digits"),
]


@pytest.mark.parametrize(("call", "sentence"), REFUSED, ids=[sentence for _, sentence in REFUSED])
def test_refusal_names_the_quantity(call: Callable[[], object], sentence: str) -> None:
    with pytest.raises(ValueError, match=re.escape(sentence)):
        call()
