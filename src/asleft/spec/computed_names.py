"""Names, labels and units of what is computed for a rule, and of facts of the record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Name:
    """A label as it stands in a sentence, the unit, and for a choice what each one is called."""

    label: str
    unit: str = ""
    kind: str = "number"
    choices: Mapping[str, str] = field(default_factory=dict)


COMPUTED: Mapping[str, Name] = {
    "drive.rated_current": Name("drive's rated current for its duty", "A"),
    "derived.ramp_reference_hz": Name("frequency the ramp times count to", "Hz"),
    "derived.accel_rate_hz_per_s": Name("acceleration rate", "Hz/s"),
    "derived.decel_rate_hz_per_s": Name("deceleration rate", "Hz/s"),
    "derived.stop_time_s": Name("stop time from the maximum frequency", "s"),
    "derived.start_time_s": Name("start time to the maximum frequency", "s"),
    "derived.overload_pct_of_plate": Name("overload current in per cent of the plate current", "%"),
    "derived.trip_pct_of_plate": Name("trip current of the overload in per cent of the plate current", "%"),
    "derived.trip_allowed_pct_of_plate": Name("most the plate allows", "%"),
    "derived.power_at_maximum_kw": Name("power at the shaft at the maximum frequency", "kW"),
    "derived.power_at_maximum_pct": Name("power at the maximum frequency in per cent of the plate", "%"),
    "derived.least_stop_time_s": Name("shortest stop without a brake resistor", "s"),
    "derived.plate_check": Name(
        "motor plate", "", "choice", {"agrees": "in agreement with itself", "contradicts": "contradictory"}
    ),
    "derived.torque_stood_at_minimum_pct": Name(
        "lasting torque the motor bears at its minimum frequency", "%"
    ),
    "derived.load_torque_pct": Name("torque the machine asks for in per cent of the motor's", "%"),
}
"""Quantities computed by ``spec.computed``, by name."""

FACTS: Mapping[str, Name] = {
    "reading.kind": Name(
        "kind of reading",
        "",
        "choice",
        {"as_found": "as found", "as_left": "as left", "planned": "planned"},
    ),
    "reading.age_months": Name("age of the reading", "months"),
    "tests.passed": Name("functional test", "", "choice", {"yes": "passed", "no": "not passed"}),
    "changes.temporary_open": Name("open temporary changes", "", "integer"),
    "changes.temporary_overdue": Name("overdue temporary changes", "", "integer"),
    "slot.links": Name("link in the slot", "", "text"),
    "behaviour.outcome": Name("outcome of the sequence", "", "text"),
    "slot.application": Name("application", "", "text"),
    "slot.model": Name("drive model", "", "text"),
}
"""Facts of the record and the slot that no drive holds, by name."""
