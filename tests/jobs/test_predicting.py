"""What a prediction leads with, and what it does not pass over. The demo site is invented."""

from __future__ import annotations

import pytest
from tests.conftest import Run


@pytest.mark.parametrize(
    ("tag", "first"),
    [
        # A working point is recorded: 8 s and 12 s to 50 Hz are 7.2 s and 10.8 s to 45 Hz (arithmetic).
        ("E1", "E1: from rest to 45.0 Hz in 7.2 s, from there to rest in 10.8 s."),
        # None is: the maximum is what somebody will watch.
        ("C1", "C1: from rest to 50.0 Hz in 6 s, from there to rest in 4 s."),
    ],
)
def test_the_first_line_is_the_start_that_somebody_will_watch(demo: Run, tag: str, first: str) -> None:
    assert demo("predict", tag).out.splitlines()[0] == first


@pytest.mark.parametrize(("tag", "told"), [("D1", False), ("F3", True)])
def test_a_stop_without_a_resistor_is_judged_or_said_to_be_unjudged(demo: Run, tag: str, told: bool) -> None:
    # F3 has its inertia recorded, D1 has not.
    out = demo("predict", tag).out
    assert ("without a resistor 41 s at best, an estimate: the ramp hold stretches it" in out) is told
    assert ("Cannot tell whether the drive holds these stops without a resistor" in out) is not told
