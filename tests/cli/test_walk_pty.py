"""A functional test typed through a pseudo-terminal of 80 x 24, interrupted and killed on the way, recorded.

Pseudo-terminals are of POSIX: on Windows only the walk itself is tested (test_walk_lines, tests/intake).
"""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest
from tests.cli.test_keypad_pty import Seat, by_ctrl_c, by_end_of_input, by_kill

pytest.importorskip("pexpect")
pytestmark = pytest.mark.skipif(os.name == "nt", reason="pseudo-terminals are of POSIX")

ASKED = "test record E1 --by T.Example --witness H.Example"


def on_screen(seat: Seat) -> str:
    return " ".join(seat.seen[-1].split())


def said(seat: Seat, line: str, *words: str) -> None:
    """Type a line; the words are on the screen that follows."""
    seat.type(line)
    for each in words:
        assert each in on_screen(seat), line


def test_a_test_is_typed_interrupted_gone_on_with_and_recorded(own_demo: Path) -> None:
    seats = [Seat(own_demo, ASKED, LC_ALL="C", PYTHONIOENCODING="utf-8")]
    seats[0].wait()
    assert "Before the first start:" in seats[0].seen[0]
    said(seats[0], "yes", "step 1,", "SHAFT TURNS: keep clear.", "Expect: 45.0 Hz +/- 0.1 Hz")
    said(seats[0], "45.0 A", "A is no unit for this step, which is read in Hz.")
    said(seats[0], "39.0 Hz", "OUTSIDE: 6 Hz below 45.0 Hz", "step 2,")
    said(seats[0], "back", "step 1,", "Said before: 39.0 Hz. Enter leaves it so.")
    said(seats[0], "45.0 Hz", "Within: just 45.0 Hz", "step 2,")
    assert by_ctrl_c(seats[0]) == 130
    assert "Stopped: 1 of" in seats[0].seen[-1]

    seats.append(Seat(own_demo, f"{ASKED} --resume"))
    seats[1].wait()
    said(seats[1], "yes", "step 2,")
    said(seats[1], "skip", "Why is step 2 not done?")
    said(seats[1], "guard hides the shaft", "not done: guard hides the shaft", "step 3,")
    assert by_kill(seats[1]) < 0

    seats.append(Seat(own_demo, ASKED))
    seats[2].wait()
    assert "waits: 2 answers by T.Example" in on_screen(seats[2])
    said(seats[2], "yes", "Going on: 2 of", "Is all of that so?")
    said(seats[2], "yes", "step 3,")
    assert by_end_of_input(seats[2]) == 130

    seats.append(Seat(own_demo, f"{ASKED} --resume"))
    seats[3].wait()
    said(seats[3], "yes", "step 3,")
    said(seats[3], "5.8", "OUTSIDE: 1.4 s below 7.2 s", "5.8 s is what acceleration time 1 at 6.5 s gives")
    said(seats[3], "finish", "Why are they not done?")
    said(seats[3], "shift is over", "1 passed, 1 failed,", "guard hides the shaft", "Record this test?")
    seats[3].child.send("yes\r")
    assert seats[3].end() == 1
    assert "E1: 1 step has failed" in seats[3].seen[-1]

    assert "".join(seats[0].seen).isascii()
    lines = "\n".join(text for seat in seats for text in seat.seen[:-1]).replace("\r", "").split("\n")
    assert not [line for line in lines if len(line) > 80]
    (file,) = (own_demo / "assets" / "E1" / "tests").glob("*.toml")
    test = tomllib.loads(file.read_text(encoding="utf-8"))
    assert test["test"]["witness"] == "H.Example"
    steps = [(one.get("observed"), one["result"]) for one in test["steps"].values()]
    assert steps[:3] == [
        ("45.0 Hz", "pass"),
        ("not done: guard hides the shaft", "not_done"),
        ("5.8 s", "fail"),
    ]
    assert {result for _, result in steps[3:]} == {"not_done"}
    assert not list((own_demo / ".git" / "asleft" / "test").glob("*.jsonl"))


def test_two_people_cannot_type_the_same_test(own_demo: Path) -> None:
    seat = Seat(own_demo, ASKED)
    seat.wait()
    second = Seat(own_demo, ASKED)
    assert second.end() == 5
    assert "Somebody is at this functional test of E1 already" in second.seen[-1]
    assert by_ctrl_c(seat) == 130
