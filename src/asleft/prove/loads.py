"""Torque and current at the working point, the overload's trip times, and the motor's plate."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal

from asleft.explain import electric, motion
from asleft.explain.figures import figure, rounded
from asleft.explain.view import View
from asleft.prove.asking import Asking
from asleft.prove.predicted import Said, TripRow

TRIP_PERCENTS = (110.0, 125.0, 150.0, 200.0, 600.0)


def working(asking: Asking) -> tuple[Said, ...]:
    """Torque, power and current at the working point, as far as its load is recorded."""
    view = asking.view
    hz = asking.get("the working point", lambda: motion.working_hz(view))
    share = asking.get(
        "torque and current at the working point", lambda: electric.torque_share_at(view, hz or 0.0)
    )
    found = list(_bearable(asking))
    if hz is None or share is None:
        return tuple(found)
    return (*_load(view, hz, share), *found)


def _load(view: View, hz: float, share: float) -> Iterator[Said]:
    torque = share * electric.rated_torque(view)
    at = f"At {figure(hz, 'Hz')}"
    power = electric.power_at(view, hz)
    yield Said("power", f"{at} the shaft takes {figure(power, 'kW')}.", rounded(power, "kW"), "kW")
    words = f"{at} it takes {figure(torque, 'N·m', 3)}, {figure(share * 100, '%', 2)} of rated torque."
    yield Said("torque", words, rounded(torque, "N·m", 3), "N·m")
    amps = electric.current_for(view, share)
    plate = view.plate("rated_current_a")
    words = f"{at} the motor draws about {figure(amps, 'A', 2)} of its {figure(plate, 'A')}: an estimate."
    yield Said("current", words, rounded(amps, "A", 2), "A", True)


def _bearable(asking: Asking) -> Iterator[Said]:
    """What the motor's cooling bears at the minimum, against a load limit that is recorded."""
    view = asking.view
    low = asking.get("", lambda: motion.least(view))
    share = asking.get(
        "what the motor bears at low speed", lambda: electric.low_speed_torque(view, low or 0.0)
    )
    if low is None or share is None or share >= 1:
        return
    words = (
        f"At {figure(low, 'Hz')} its own fan cools the motor for {figure(share * 100, '%', 2)} of its torque"
    )
    limit = view.slot("machine.load_limit_pct")
    if isinstance(limit, Decimal):
        words += f"; the machine takes at most {figure(float(limit), '%')} at low speed"
    yield Said("low speed", f"{words}: an estimate.", rounded(share * 100, "%", 2), "%", True)


def trips(asking: Asking) -> tuple[TripRow, ...]:
    """Seconds to the overload trip at loads of the plate, from cold and from balance at its current
    (at the overload current where that is lower)."""
    view = asking.view
    if view.is_("protection.overload_reaction", "off", "warning"):
        asking.unknown.append("The overload does not trip: its reaction is not set to fault.")
    rows = []
    for percent in TRIP_PERCENTS:
        row = asking.get("when the overload trips", lambda p=percent: _trip(view, p))  # type: ignore[misc]
        if row is not None:
            rows.append(row)
    return tuple(rows)


def _trip(view: View, percent: float) -> TripRow:
    amps = percent / 100 * view.plate("rated_current_a")
    cold, warm = (electric.trip_seconds(view, amps, warm=state) for state in (False, True))
    return TripRow(percent, rounded(amps, "A"), _seconds(cold), _seconds(warm))


def _seconds(seconds: float) -> float | None:
    return None if math.isinf(seconds) else rounded(seconds, "s", 3)


_FITS = {
    "amps_of_other_link": "the amps of the other way of linking",
    "volts_of_other_link": "the volts of the other way of linking",
    "power_in_horsepower": "the power in horsepower",
    "poles_not_of_speed": "a pole count that is not that of the speed",
    "frequency_not_of_speed": "a frequency that is not that of the speed",
}


def plate(asking: Asking) -> tuple[Said, ...]:
    """Whether plate and motor data agree with themselves and with each other."""
    found = asking.get("whether the plate agrees with itself", lambda: _plate(asking.view))
    return (*(found or ()), *_entered(asking.view))


def _plate(view: View) -> tuple[Said, ...]:
    from asleft.machine.nameplate import Hypothesis, Plate, check_plate

    check = check_plate(
        Plate(
            power_kw=view.plate("rated_power_kw"),
            voltage_v=view.plate("rated_voltage_v"),
            current_a=view.plate("rated_current_a"),
            power_factor=view.plate("power_factor"),
            speed_rpm=view.plate("rated_speed_rpm"),
            frequency_hz=view.plate("rated_frequency_hz"),
        )
    )
    efficiency = check.implied_efficiency * 100
    low, high = (f"{share * 100:.0f}" for share in check.plausible_efficiency)
    words = f"Volts, amps, kW and power factor make {figure(efficiency, '%')} efficiency"
    recorded = view.asset is not None and "rated_power_kw" in view.asset.plate
    source = "the plate" if recorded else "the motor data entered in the drive"
    if check.consistent:
        return (Said("plate", f"{words}: that is sound for {source}.", rounded(efficiency, "%"), "%"),)
    fits = [
        _FITS[fit.hypothesis.value] + (f" ({figure(fit.value, fit.unit)} would fit)" if fit.value else "")
        for fit in (*check.electrical, *check.mechanical)
        if fit.hypothesis is not Hypothesis.CONSISTENT
    ]
    likely = f" Likely {' or '.join(fits)}." if fits else ""
    wrong = f"{words}, where {low} to {high} % is usual: one value of {source} is wrong.{likely}"
    return (Said("plate", wrong, rounded(efficiency, "%"), "%"),)


def _entered(view: View) -> Iterator[Said]:
    """Motor data in the drive that differ from the plate."""
    from asleft.vocabulary import vocabulary

    for name, given in (view.asset.plate if view.asset else {}).items():
        key = f"motor.{name}"
        entered = view.values.get(key)
        if isinstance(given, Decimal) and isinstance(entered, Decimal) and given != entered:
            unit = vocabulary()[key].unit
            words = f"The drive has {vocabulary()[key].label} {figure(float(entered), unit)}"
            yield Said(
                "motor data", f"{words}, the plate {figure(float(given), unit)}.", float(entered), unit
            )
