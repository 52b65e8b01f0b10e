"""A correction is a further record: the wrong one stays, and the new one names it."""

from __future__ import annotations

import subprocess
import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.conftest import run_in

WHY = ("--reason", "read again at the drive", "--by", "U. Example")


def git(site: Path, *arguments: str) -> str:
    done = subprocess.run(["git", *arguments], cwd=site, capture_output=True, text=True, check=True)
    return done.stdout.strip()


def set_of(site: Path, kind: str = "as_left") -> dict[str, Any]:
    return tomllib.loads((site / "assets" / "E1" / f"{kind}.toml").read_text(encoding="utf-8"))


def test_the_wrong_reading_stays_and_is_named(own_demo: Path) -> None:
    before, wrong = (
        set_of(own_demo),
        git(own_demo, "log", "-1", "--format=%H", "--", "assets/E1/as_left.toml"),
    )
    ran = run_in(own_demo, "correct", "E1", "3610sub2=14", *WHY)
    assert ran.code == 0, ran.err
    after = set_of(own_demo)
    assert after["ramps"]["decel_time_1_s"] == 14.0
    assert (after["reading"]["at"], after["reading"]["by"]) == (
        before["reading"]["at"],
        before["reading"]["by"],
    )
    assert f"Corrects: {wrong}" in git(own_demo, "log", "-1", "--format=%B")
    assert "By: U. Example" in git(own_demo, "log", "-1", "--format=%B")
    old = tomllib.loads(git(own_demo, "show", f"{wrong}:assets/E1/as_left.toml"))
    assert old["ramps"]["decel_time_1_s"] == 12.0
    assert run_in(own_demo, "show", "E1", "--format", "json").data["values"]["ramps.decel_time_1_s"] == 14
    assert run_in(own_demo, "show", "E1~1", "--format", "json").data["values"]["ramps.decel_time_1_s"] == 12


def test_everything_else_of_the_set_is_untouched(own_demo: Path) -> None:
    before = set_of(own_demo)
    run_in(own_demo, "correct", "E1", "ramps.decel_time_1_s=14", *WHY)
    after = set_of(own_demo)
    before["ramps"]["decel_time_1_s"] = 14.0
    before["reading"]["reason"] = "corrected: read again at the drive"
    assert after == before


DIGITS = [
    ("ramps.decel_time_1_s=14", "decel_time_1_s = 14.0"),
    ("ramps.decel_time_1_s=0.25 min", "decel_time_1_s = 15.0"),
    ("3610sub2=14", "decel_time_1_s = 14.0"),
    ("limits.frequency_max_hz=50", "frequency_max_hz = 50.00"),
    ("ramps.decel_time_1_s=14.03", "decel_time_1_s = 14.03"),
]


@pytest.mark.parametrize(("typed", "line"), DIGITS, ids=[typed for typed, _ in DIGITS])
def test_a_number_has_the_digits_the_drive_shows(own_demo: Path, typed: str, line: str) -> None:
    """One that lies between two steps is what somebody says they read: it is kept, not rounded."""
    moved = run_in(own_demo, "correct", "E1", "limits.frequency_max_hz=49", *WHY)
    assert moved.code == 0, moved.err
    ran = run_in(own_demo, "correct", "E1", typed, *WHY)
    assert ran.code == 0, ran.err
    assert line in (own_demo / "assets/E1/as_left.toml").read_text(encoding="utf-8").split("\n")


def test_what_nobody_read_loses_its_value(own_demo: Path) -> None:
    ran = run_in(own_demo, "correct", "E1", "--not-read", "tuned.rotor_resistance_ohm=from the sheet", *WHY)
    assert ran.code == 0, ran.err
    assert "0.208 ohm was recorded and is no longer taken as read" in ran.out
    after = set_of(own_demo)
    assert "rotor_resistance_ohm" not in after["tuned"]
    assert after["not_read"]["tuned.rotor_resistance_ohm"] == "from the sheet"


def test_the_as_found_is_corrected_by_its_point(own_demo: Path) -> None:
    ran = run_in(own_demo, "correct", "E1@found", "protection.overload_class=20", *WHY)
    assert ran.code == 0, ran.err
    assert set_of(own_demo, "as_found")["protection"]["overload_class"] == "20"
    assert "Reading: as-found" in git(own_demo, "log", "-1", "--format=%B")


def test_a_whole_reading_is_corrected_from_a_file(own_demo: Path) -> None:
    file = own_demo / "e1.csv"
    file.write_text("id,value\n3610sub2,14.0\n3010sub3,28.5\n", encoding="utf-8", newline="\n")
    ran = run_in(own_demo, "correct", "E1", "--from", "e1.csv", *WHY)
    assert ran.code == 0, ran.err
    after = set_of(own_demo)
    assert after["ramps"]["decel_time_1_s"] == 14.0
    assert "ramps.accel_time_1_s" in after["not_read"]
    assert after["reading"]["kind"] == "as_left"


def test_a_dry_run_changes_nothing(own_demo: Path) -> None:
    head = git(own_demo, "rev-parse", "HEAD")
    ran = run_in(own_demo, "correct", "E1", "3610sub2=14", "--dry-run", *WHY)
    assert ran.code == 0 and "dry run" in ran.out
    assert git(own_demo, "rev-parse", "HEAD") == head


REFUSED = [
    (("E1", "3610sub2=14"), "needs a reason"),
    (("E1", "3610sub2=12", *WHY), "says just that already"),
    (("E1", *WHY), "say what to correct"),
    (("E1", "rampz=1", *WHY), "is no known key"),
    (("E1", "3610sub2=fast", *WHY), "is none"),
    (("E1~1", "3610sub2=14", *WHY), "is not the newest"),
    (("E1@planned", "3610sub2=14", *WHY), "names no reading to correct"),
    (("E1@factory", "3610sub2=14", *WHY), "names no reading to correct"),
    (("E1", "--not-read", "mechanical_brake.mode=never seen", *WHY), "stands in no reading"),
    (("E1", "5010sub1=4711", *WHY), "never taken"),
    (("E1", "access.pin_state=4711", *WHY), "code itself is never taken"),
]


@pytest.mark.parametrize(("arguments", "words"), REFUSED, ids=[words for _, words in REFUSED])
def test_what_cannot_be_corrected(built_demo: Path, arguments: tuple[str, ...], words: str) -> None:
    head = git(built_demo, "rev-parse", "HEAD")
    ran = run_in(built_demo, "correct", *arguments)
    assert ran.code == 2
    assert words in ran.err
    assert "4711" not in ran.err
    assert git(built_demo, "rev-parse", "HEAD") == head
