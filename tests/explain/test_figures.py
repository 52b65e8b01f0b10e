"""Numbers for a reader carry no more digits than their inputs. Every expected text is arithmetic."""

from __future__ import annotations

from decimal import Decimal

import pytest

from asleft.explain.facts import Input
from asleft.explain.figures import digits_allowed, digits_of, figure


@pytest.mark.parametrize(("read", "digits"), [("33.0", 3), ("50", 2), ("0.05", 1), ("1465", 4)])
def test_a_reading_carries_the_digits_it_was_read_with(read: str, digits: int) -> None:
    assert digits_of(Decimal(read)) == digits


@pytest.mark.parametrize(("inputs", "digits"), [((1,), 3), ((2, 4), 3), ((3, 4), 4), ((4, 4), 4), ((), 4)])
def test_the_coarsest_input_bounds_the_digits_of_a_result(inputs: tuple[int, ...], digits: int) -> None:
    assert digits_allowed(Input("", "", "setting", one) for one in inputs) == digits


@pytest.mark.parametrize(
    ("value", "unit", "digits", "said"),
    [
        (163.333, "kg", 4, "163 kg"),
        (1.85950, "×", 4, "1.86 times"),
        (19.348, "kW", 4, "19.3 kW"),
        (77.9169, "s", 4, "77.9 s"),
        (355.46, "s", 4, "355 s"),
        (1465.4, "rpm", 4, "1465 rpm"),
        (38.8, "Hz", 4, "38.8 Hz"),
        (45, "Hz", 4, "45.0 Hz"),
        (41.38, "s", 2, "41 s"),
        (15.46, "A", 2, "15 A"),
        (147.46, "%", 2, "150 %"),
        (0.002, "m/s", 4, "0.002 m/s"),
        (float("inf"), "s", 4, "never"),
    ],
)
def test_a_number_is_told_with_no_more_digits_than_it_may_have(
    value: float, unit: str, digits: int, said: str
) -> None:
    assert figure(value, unit, digits) == said
