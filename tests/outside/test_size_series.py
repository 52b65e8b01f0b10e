"""Sizes and efficiencies against PyPI `fluids`, and the published tables against each other."""

import math

import pytest
from fluids import pump as reference
from fluids.constants import hp as hp_in_w

from asleft.machine import efficiency, inertia, motor, overload, plates

# The library's list also holds fractional sizes and 4, 5.5 and 175 hp, which are not in the series.
NOT_IN_THE_SERIES = {4.0, 5.5, 175.0}


def test_hp_series_is_that_of_the_library() -> None:
    listed = [hp for hp in reference.nema_sizes_hp if hp >= 1 and hp not in NOT_IN_THE_SERIES]
    assert list(plates.PREFERRED_HP) == listed


def test_one_horsepower_is_that_of_the_library() -> None:
    assert pytest.approx(hp_in_w / 1000, rel=1e-8) == motor.KW_PER_HP


@pytest.mark.parametrize("poles", [2, 4, 6, 8, 12])
@pytest.mark.parametrize("frequency_hz", [12.5, 50, 60, 87])
def test_synchronous_speed_is_that_of_the_library(frequency_hz: float, poles: int) -> None:
    library = reference.speed_synchronous(frequency_hz, poles=poles)
    assert motor.synchronous_speed_rpm(frequency_hz, poles) == pytest.approx(library)


@pytest.mark.parametrize("hp", [1, 3, 4.2, 10, 18, 47, 61, 100, 333, 600])
@pytest.mark.parametrize("share", [0.0, 0.016, 0.1, 0.3, 0.5, 0.8, 1.0])
def test_drive_efficiency_is_that_of_the_library(hp: float, share: float) -> None:
    ours = efficiency.drive_efficiency(hp * motor.KW_PER_HP, share)
    assert ours == pytest.approx(reference.VFD_efficiency(hp * hp_in_w, share), abs=6e-5)


@pytest.mark.parametrize("hp", plates.PREFERRED_HP)
@pytest.mark.parametrize("poles", [2, 4, 6])
@pytest.mark.parametrize("high", [False, True])
def test_every_standard_efficiency_is_plausible(hp: float, poles: int, high: bool) -> None:
    standard = reference.CSA_motor_efficiency(hp * hp_in_w, closed=True, poles=poles, high_efficiency=high)
    low, most = plates.plausible_efficiency(hp * motor.KW_PER_HP)
    assert low < standard < most


@pytest.mark.parametrize("kw", plates.EFFICIENCY_PCT_4_POLE_50_HZ)
def test_every_iec_class_is_plausible_and_better_than_the_one_below(kw: float) -> None:
    classes = plates.EFFICIENCY_PCT_4_POLE_50_HZ[kw]
    low, most = plates.plausible_efficiency(kw)
    assert low < classes[0] / 100 < classes[1] / 100 < classes[2] / 100 < most


@pytest.mark.parametrize("kw", plates.TYPICAL_AMPS_400_V)
def test_typical_amps_leave_a_believable_power_factor(kw: float) -> None:
    """Memory of IEC 60947-4-1 against IEC 60034-30-1: √3·400·I·cosφ·η = P with IE2…IE4 between its sizes."""
    sizes = sorted(plates.EFFICIENCY_PCT_4_POLE_50_HZ)
    nearest = min(sizes, key=lambda size: abs(math.log(size / kw)))
    eta = plates.EFFICIENCY_PCT_4_POLE_50_HZ[nearest][0] / 100
    assert 0.68 < motor.implied_efficiency(kw, 400, plates.TYPICAL_AMPS_400_V[kw], 1.0) / eta < 0.95


@pytest.mark.parametrize("hp", plates.NEC_AMPS_230_460_V)
def test_amps_halve_at_twice_the_volts(hp: float) -> None:
    at_230, at_460 = plates.NEC_AMPS_230_460_V[hp]
    assert at_230 == pytest.approx(2 * at_460, rel=0.02)


@pytest.mark.parametrize("trip_class", ["10A", "10", "20", "30"])
def test_thermal_model_keeps_what_its_class_promises(trip_class: str) -> None:
    """Memory of IEC 60947-4-1: never at 1.05 × cold, within 2 h at 1.2 × warm, in time at 1.5 × warm."""
    tau = overload.class_time_constant_s(trip_class, overload.Standard.IEC)
    least_s, most_s = overload.IEC_TRIP_WINDOW_S[trip_class]
    assert least_s < overload.time_to_trip_s(7.2, tau) <= most_s * (1 + 1e-9)
    assert overload.time_to_trip_s(overload.IEC_NO_TRIP_MULTIPLE, tau) > overload.IEC_CONVENTIONAL_TIME_S
    warm_s = overload.time_to_trip_s(overload.IEC_TRIP_MULTIPLE, tau, balanced_at=1.0)
    assert warm_s < overload.IEC_CONVENTIONAL_TIME_S
    assert overload.time_to_trip_s(1.5, tau, balanced_at=1.0) <= overload.IEC_WARM_MOST_S[trip_class]


def test_printed_constants_are_the_exact_ones_rounded() -> None:
    """9550: dynamics.rpm-calculator.com; 5252: gizzardstone.com; 308: tr.scribd.com/document/375411626."""
    assert motor.torque_nm(1, 1) == pytest.approx(9550, rel=1e-4)
    assert motor.torque_lbft(1, 1) == pytest.approx(5252, rel=1e-4)
    assert inertia.accelerating_time_wk2_s(1, 1, 1) == pytest.approx(1 / 308, rel=3e-3)
