"""What a new firmware's list changes, told before any value is compared."""

from __future__ import annotations

import pytest
from replaced_drives import tiny

from asleft.replace.definitions import covers, definition_changes

OLD = """
format = 1
name = "tiny"
title = "Tiny"
firmware = ["2.0", "2.9"]
[behaviour]
change_restart = "new_command_needed"
[sizes.a]
[parameters.1]
text = "Up A"
menu = "Ramps"
key = "ramps.accel_time_1_s"
range = ["0.1", "600.0"]
step = "0.1"
factory = "5.0"
[parameters.2]
text = "Stop"
menu = "Stop"
key = "start_stop.stop_method"
choices = { "1" = ["ramp", "ramp"], "2" = ["coast", "coast"] }
[parameters.3]
text = "Odd"
menu = "Rest"
"""


def changed(*pairs: tuple[str, str]) -> list[tuple[str, str]]:
    text = OLD
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    found = definition_changes(tiny(OLD, "tiny-a"), tiny(text, "tiny-a"))
    assert all(change.words.endswith(".") for change in found)
    return [(change.name, change.kind) for change in found]


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ('text = "Up A"', 'text = "Rise A"', [("1", "renamed")]),
        ('menu = "Ramps"', 'menu = "Motion"', [("1", "renamed")]),
        ('"ramps.accel_time_1_s"', '"ramps.accel_time_2_s"', [("1", "meaning")]),
        ('"600.0"', '"900.0"', [("1", "range")]),
        ('factory = "5.0"', 'factory = "9.0"', [("1", "factory")]),
        ('factory = "5.0"', 'factory = "5.0"\nlocked = true', [("1", "entry")]),
        ('"1" = ["ramp", "ramp"]', '"1" = ["quick", "quick_ramp"]', [("2", "choices")]),
        ('"2" = ["coast", "coast"]', '"3" = ["coast", "coast"]', [("2", "choices"), ("2", "choices")]),
        ("parameters.3", "parameters.4", [("4", "come"), ("3", "gone")]),
        ('"new_command_needed"', '"resume_if_present"', [("change_restart", "behaviour")]),
    ],
)
def test_each_difference_of_the_lists_is_told(old: str, new: str, found: list[tuple[str, str]]) -> None:
    assert changed((old, new)) == found


def test_the_same_list_has_no_differences() -> None:
    assert changed() == []


@pytest.mark.parametrize(
    ("firmware", "covered"),
    [
        ("2.0", True),
        ("2.9", True),
        ("2.10", False),
        ("1.9", False),
        ("2.4.1", True),
        ("3", False),
        ("", False),
    ],
)
def test_a_model_file_covers_its_range_of_firmware(firmware: str, covered: bool) -> None:
    assert covers(tiny(OLD, "tiny-a"), firmware) is covered
