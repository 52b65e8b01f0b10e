"""A plate that agrees with itself, and the slips of the pen that explain one that does not."""

from dataclasses import replace

import pytest

from asleft.machine.motor import implied_efficiency
from asleft.machine.nameplate import Fit, Hypothesis, Plate, check_plate
from asleft.machine.plates import TYPICAL_AMPS_400_V, is_preferred_power, nearest_preferred_kw

# The demo site's plates, invented: 400 V, 50 Hz.
DEMO = {
    "E1": Plate(15, 400, 28.5, 0.84, 1465, 50, 4),
    "E2": Plate(11, 400, 21.5, 0.83, 1460, 50, 4),
    "C1": Plate(7.5, 400, 14.8, 0.82, 1455, 50, 4),
    "C2": Plate(5.5, 400, 11.0, 0.82, 1450, 50, 4),
    "F1": Plate(18.5, 400, 33.0, 0.88, 2940, 50, 2),
    "D1": Plate(22, 400, 40.5, 0.86, 1470, 50, 4),
}
SQRT3 = 1.7320508


@pytest.mark.parametrize("plate", DEMO.values(), ids=DEMO)
def test_demo_plates_agree_with_themselves(plate: Plate) -> None:
    check = check_plate(plate)
    assert check.consistent
    assert check.power_is_preferred
    assert 0.88 <= round(check.implied_efficiency, 2) <= 0.92


@pytest.mark.parametrize("plate", DEMO.values(), ids=DEMO)
@pytest.mark.parametrize("factor", [SQRT3, 1 / SQRT3])
def test_amps_of_the_other_link_are_named_and_put_right(plate: Plate, factor: float) -> None:
    check = check_plate(replace(plate, current_a=plate.current_a * factor), supply_voltage_v=400)
    (fit,) = check.electrical
    assert (fit.hypothesis, fit.unit) == (Hypothesis.AMPS_OF_OTHER_LINK, "A")
    assert fit.value == pytest.approx(plate.current_a)


@pytest.mark.parametrize("plate", DEMO.values(), ids=DEMO)
@pytest.mark.parametrize("factor", [SQRT3, 1 / SQRT3])
def test_volts_of_the_other_link_are_named_and_put_right(plate: Plate, factor: float) -> None:
    check = check_plate(replace(plate, voltage_v=plate.voltage_v * factor), supply_voltage_v=400)
    (fit,) = check.electrical
    assert (fit.hypothesis, fit.unit) == (Hypothesis.VOLTS_OF_OTHER_LINK, "V")
    assert fit.value == pytest.approx(plate.voltage_v)


def test_without_the_supply_both_links_stay_possible() -> None:
    check = check_plate(replace(DEMO["E1"], current_a=28.5 * SQRT3))
    assert [fit.hypothesis for fit in check.electrical] == [
        Hypothesis.AMPS_OF_OTHER_LINK,
        Hypothesis.VOLTS_OF_OTHER_LINK,
    ]


@pytest.mark.parametrize(("supply_v", "fits"), [(415, 1), (364, 1), (363, 0), (450, 0)])
def test_a_supply_within_ten_percent_is_that_of_the_plate(supply_v: float, fits: int) -> None:
    check = check_plate(replace(DEMO["E1"], current_a=28.5 * SQRT3), supply_voltage_v=supply_v)
    assert len(check.electrical) == fits


def test_a_plate_wholly_of_the_other_link_passes() -> None:
    """400 V 28.5 A and 690 V 16.5 A are the same power: only the links in the terminal box tell."""
    assert check_plate(replace(DEMO["E1"], voltage_v=400 * SQRT3, current_a=28.5 / SQRT3)).consistent


@pytest.mark.parametrize("plate", DEMO.values(), ids=DEMO)
def test_horsepower_entered_as_kilowatts_is_named(plate: Plate) -> None:
    check = check_plate(replace(plate, power_kw=plate.power_kw / 0.74569987), supply_voltage_v=400)
    assert [fit.hypothesis for fit in check.electrical] == [Hypothesis.POWER_IN_HORSEPOWER]
    assert check.electrical[0].value == pytest.approx(plate.power_kw)


@pytest.mark.parametrize("current_a", [2.85, 285.0, 36.0 * 1.2])
def test_a_slip_nobody_can_name_fits_nothing(current_a: float) -> None:
    check = check_plate(replace(DEMO["E1"], current_a=current_a), supply_voltage_v=400)
    assert check.electrical == ()
    assert not check.consistent


MECHANICAL = [
    # rpm, Hz, poles entered, what fits
    (1465, 50, 4, [Fit(Hypothesis.CONSISTENT)]),
    (1465, 50, None, [Fit(Hypothesis.CONSISTENT)]),
    (1465, 50, 2, [Fit(Hypothesis.POLES_NOT_OF_SPEED, 4, "poles")]),
    (2940, 50, 4, [Fit(Hypothesis.POLES_NOT_OF_SPEED, 2, "poles")]),
    (1760, 50, 4, [Fit(Hypothesis.FREQUENCY_NOT_OF_SPEED, 60, "Hz")]),
    (1760, 50, None, [Fit(Hypothesis.FREQUENCY_NOT_OF_SPEED, 60, "Hz")]),
    (1465, 60, 4, [Fit(Hypothesis.FREQUENCY_NOT_OF_SPEED, 50, "Hz")]),
    (700, 50, 8, [Fit(Hypothesis.CONSISTENT)]),
    (3700, 50, 2, []),
    (1760, 50, 6, []),
]


@pytest.mark.parametrize(("rpm", "hz", "poles", "fits"), MECHANICAL)
def test_speed_frequency_and_poles_are_held_together(
    rpm: float, hz: float, poles: int | None, fits: list[Fit]
) -> None:
    check = check_plate(replace(DEMO["E1"], speed_rpm=rpm, frequency_hz=hz, poles=poles))
    assert list(check.mechanical) == fits
    assert check.consistent == (fits == [Fit(Hypothesis.CONSISTENT)])


@pytest.mark.parametrize("kw", TYPICAL_AMPS_400_V)
def test_typical_amps_pass_at_a_usual_power_factor(kw: float) -> None:
    """Memory of IEC 60947-4-1 annex; cosφ 0.78…0.88 by size is common practice, no source."""
    amps = TYPICAL_AMPS_400_V[kw]
    cos_phi = 0.78 if kw < 3 else 0.84 if kw < 30 else 0.87
    assert check_plate(Plate(kw, 400, amps, cos_phi, 1460, 50, 4)).consistent, implied_efficiency(
        kw, 400, amps, cos_phi
    )


@pytest.mark.parametrize(
    ("kw", "listed", "nearest"),
    [
        (15, True, 15),
        (14.9, True, 15),
        (11.19, True, 11),
        (13, False, 15),
        (0.746, True, 0.75),
        (41, False, 45),
    ],
)
def test_power_is_held_against_both_series(kw: float, listed: bool, nearest: float) -> None:
    """Memory of IEC 60072-1, and the NEMA series of PyPI `fluids` (15 hp is 11.19 kW)."""
    assert is_preferred_power(kw) is listed
    assert nearest_preferred_kw(kw) == nearest
