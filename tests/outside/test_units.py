"""The equations against PyPI `pint`, which knows the units and nothing of drives."""

import math
from collections.abc import Callable
from typing import Any

import pint
import pytest

from asleft.machine import braking, inertia, load, motor, supply, transfer

U: Any = pint.UnitRegistry()
TURN = 2 * math.pi * U.radian

# Each row: what is computed, the equation's answer, and the same worked with units by the library.
CASES: list[tuple[str, float, Callable[[], Any], str]] = [
    ("1 hp in kW", motor.KW_PER_HP, lambda: 1 * U.horsepower, "kW"),
    ("1 lb·ft in N·m", motor.NM_PER_LBFT, lambda: 1 * U.force_pound * U.foot, "N*m"),
    ("1 lb·ft² in kg·m²", inertia.KGM2_PER_LBFT2, lambda: 1 * U.pound * U.foot**2, "kg*m**2"),
    ("1 rpm in rad/s", inertia.RAD_PER_S_PER_RPM, lambda: 1 * U.rpm, "rad/s"),
    ("15 kW at 1460 rpm", motor.torque_nm(15, 1460), lambda: 15 * U.kW / (1460 * TURN / U.minute), "N*m/rad"),
    (
        "40 hp at 1200 rpm in lb·ft",
        motor.torque_lbft(40, 1200),
        lambda: 40 * U.horsepower / (1200 * TURN / U.minute),
        "force_pound*foot/rad",
    ),
    (
        "99 N·m at 1465 rpm",
        motor.shaft_power_kw(99, 1465),
        lambda: 99 * U.N * U.m / U.rad * 1465 * TURN / U.minute,
        "kW",
    ),
    (
        "400 V 28.5 A 0.84",
        motor.input_power_kw(400, 28.5, 0.84),
        lambda: math.sqrt(3) * 400 * U.V * 28.5 * U.A * 0.84,
        "kW",
    ),
    (
        "energy of 3 kg·m² at 980 rpm",
        braking.kinetic_energy_j(3, 980),
        lambda: 0.5 * 3 * U.kg * U.m**2 * (980 * TURN / U.minute) ** 2 / U.rad**2,
        "J",
    ),
    (
        "480 µF from 540 to 780 V",
        braking.capacitor_energy_j(480, 540, 780),
        lambda: 0.5 * 480 * U.microfarad * ((780 * U.V) ** 2 - (540 * U.V) ** 2),
        "J",
    ),
    (
        "760 V over 40 A",
        braking.least_resistance_ohm(760, 40),
        lambda: 760 * U.V / (40 * U.A),
        "ohm",
    ),
    (
        "2 t at 0.3 m/s, 80 %",
        load.hoist_power_kw(2000, 0.3, 0.8),
        lambda: 2 * U.tonne * U.standard_gravity * 0.3 * U.m / U.s / 0.8,
        "kW",
    ),
    ("60 t/h for 9.8 s", transfer.delivered_kg(60, 9.8), lambda: 60 * U.tonne / U.hour * 9.8 * U.s, "kg"),
    (
        "60 t/h on 2.6 m/s",
        transfer.belt_load_kg_per_m(60, 2.6),
        lambda: 60 * U.tonne / U.hour / (2.6 * U.m / U.s),
        "kg/m",
    ),
    (
        "lowering 2 t at 0.3 m/s, 80 %",
        load.lowering_power_kw(2000, 0.3, 0.8),
        lambda: 2 * U.tonne * U.standard_gravity * 0.3 * U.m / U.s * 0.8,
        "kW",
    ),
    ("peak of 400 V", supply.dc_link_v(400), lambda: (2 * (400 * U.V) ** 2) ** 0.5, "V"),
]


@pytest.mark.parametrize(("title", "ours", "worked", "unit"), CASES, ids=[case[0] for case in CASES])
def test_equation_agrees_with_worked_units(
    title: str, ours: float, worked: Callable[[], Any], unit: str
) -> None:
    assert ours == pytest.approx(worked().to(unit).magnitude, rel=1e-8), title
