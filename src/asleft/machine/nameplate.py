"""Does a nameplate agree with itself? If not, which single slip of the pen explains it?"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from asleft.machine.motor import KW_PER_HP, implied_efficiency, poles_from_plate
from asleft.machine.plates import is_preferred_power, nearest_preferred_kw, plausible_efficiency


class Hypothesis(StrEnum):
    """What would make the plate agree with itself."""

    CONSISTENT = "consistent"
    AMPS_OF_OTHER_LINK = "amps_of_other_link"
    VOLTS_OF_OTHER_LINK = "volts_of_other_link"
    POWER_IN_HORSEPOWER = "power_in_horsepower"
    POLES_NOT_OF_SPEED = "poles_not_of_speed"
    FREQUENCY_NOT_OF_SPEED = "frequency_not_of_speed"


@dataclass(frozen=True, slots=True)
class Plate:
    """Plate data as entered: kW, line V, line A, cosφ, rpm, Hz; poles where they are entered too."""

    power_kw: float
    voltage_v: float
    current_a: float
    power_factor: float
    speed_rpm: float
    frequency_hz: float
    poles: int | None = None


@dataclass(frozen=True, slots=True)
class Fit:
    """One hypothesis that fits, and the value the plate would then carry (None where nothing changes)."""

    hypothesis: Hypothesis
    value: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class PlateCheck:
    """What the plate says of itself.

    `electrical` holds every hypothesis about volts, amps and kW that fits; none means: cannot tell.
    `mechanical` does the same for rpm, Hz and poles. A plate read wholly from the other link passes: only the
    links in the terminal box tell.
    """

    implied_efficiency: float
    plausible_efficiency: tuple[float, float]
    electrical: tuple[Fit, ...]
    mechanical: tuple[Fit, ...]
    power_is_preferred: bool
    nearest_preferred_kw: float

    @property
    def consistent(self) -> bool:
        """Whether both halves of the plate agree as entered."""
        as_entered = (Fit(Hypothesis.CONSISTENT),)
        return self.electrical == as_entered and self.mechanical == as_entered


def check_plate(plate: Plate, supply_voltage_v: float | None = None) -> PlateCheck:
    """Hold a plate against √3·V·I·cosφ·η = P, n = 120·f/p and the preferred sizes.

    With the supply's line voltage known, a mixed row is narrowed to the amps or to the volts. Raises
    ValueError for values not above zero, cosφ above 1 or a power outside 0.06…1000 kW.
    Source: arithmetic; efficiency bounds as `plausible_efficiency`.
    """
    return PlateCheck(
        implied_efficiency=_efficiency(plate),
        plausible_efficiency=plausible_efficiency(plate.power_kw),
        electrical=tuple(_electrical_fits(plate, supply_voltage_v)),
        mechanical=tuple(_mechanical_fits(plate)),
        power_is_preferred=is_preferred_power(plate.power_kw),
        nearest_preferred_kw=nearest_preferred_kw(plate.power_kw),
    )


def _efficiency(plate: Plate) -> float:
    return implied_efficiency(plate.power_kw, plate.voltage_v, plate.current_a, plate.power_factor)


def _plausible(efficiency: float, power_kw: float) -> bool:
    low, high = plausible_efficiency(power_kw)
    return low <= efficiency <= high


def _electrical_fits(plate: Plate, supply_v: float | None) -> Iterator[Fit]:
    efficiency = _efficiency(plate)
    if _plausible(efficiency, plate.power_kw):
        yield Fit(Hypothesis.CONSISTENT)
        return
    for factor in (math.sqrt(3), 1 / math.sqrt(3)):
        if _plausible(efficiency / factor, plate.power_kw):
            yield from _link_fits(plate, factor, supply_v)
    in_kw = plate.power_kw * KW_PER_HP
    if in_kw >= 0.06 and _plausible(efficiency * KW_PER_HP, in_kw):
        yield Fit(Hypothesis.POWER_IN_HORSEPOWER, in_kw, "kW")


def _link_fits(plate: Plate, factor: float, supply_v: float | None) -> Iterator[Fit]:
    if supply_v is None or _near(plate.voltage_v, supply_v):
        yield Fit(Hypothesis.AMPS_OF_OTHER_LINK, plate.current_a * factor, "A")
    if supply_v is None or _near(plate.voltage_v * factor, supply_v):
        yield Fit(Hypothesis.VOLTS_OF_OTHER_LINK, plate.voltage_v * factor, "V")


def _near(voltage_v: float, supply_v: float) -> bool:
    """Within 10 %, the supply variation of NEMA MG 1-12.44."""
    return abs(voltage_v / supply_v - 1) <= 0.10


def _mechanical_fits(plate: Plate) -> Iterator[Fit]:
    poles = _poles_or_none(plate.speed_rpm, plate.frequency_hz)
    if poles is not None:
        agrees = plate.poles in (None, poles)
        yield Fit(Hypothesis.CONSISTENT) if agrees else Fit(Hypothesis.POLES_NOT_OF_SPEED, poles, "poles")
    if poles is None or plate.poles not in (None, poles):
        yield from _frequency_fits(plate)


def _frequency_fits(plate: Plate) -> Iterator[Fit]:
    for mains_hz in (50.0, 60.0):
        poles = _poles_or_none(plate.speed_rpm, mains_hz)
        if mains_hz != plate.frequency_hz and poles is not None and plate.poles in (None, poles):
            yield Fit(Hypothesis.FREQUENCY_NOT_OF_SPEED, mains_hz, "Hz")


def _poles_or_none(speed_rpm: float, frequency_hz: float) -> int | None:
    try:
        return poles_from_plate(speed_rpm, frequency_hz)
    except ValueError:
        if speed_rpm <= 0 or frequency_hz <= 0:
            raise
        return None
