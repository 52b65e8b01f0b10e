"""A hundred entries keyed in through a pseudo-terminal of 80 x 24, interrupted at every tenth, resumed, recorded.

Pseudo-terminals are of POSIX: on Windows only the guide itself is tested (tests/intake).
"""

from __future__ import annotations

import json
import os
import re
import signal
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pexpect = pytest.importorskip("pexpect")
pytestmark = pytest.mark.skipif(os.name == "nt", reason="pseudo-terminals are of POSIX")

ASKED = "snapshot E1 --from keypad --reading as-found --occasion service --by T.Example"
PROMPT = r" > $"
ENTRIES = 100
CHANGED = {
    "3010sub3": ["27.5", "yes"],
    "3210sub1": ["vf_linear"],
    "3220sub1": ["37.2 A"],
    "3410sub1": ["24.00", "yes"],
    "3610sub1": ["6,5"],
    "3610sub2": ["0.25 min"],
    "3640sub1": ["42.5 Hz"],
    "3100sub7": ["=continue"],
    "3420sub1": ["skip dark there"],
}
FOUND = {
    "motor.rated_current_a": 27.5,
    "control.motor_control_mode": "vf_linear",
    "control.current_limit_a": 37.2,
    "limits.frequency_min_hz": 24.0,
    "ramps.accel_time_1_s": 6.5,
    "ramps.decel_time_1_s": 15.0,
    "presets.preset_1_hz": 42.5,
    "stations.change_running": "continue",
}


class Seat:
    """A person at a terminal."""

    def __init__(self, site: Path, command: str, **environment: str) -> None:
        self.seen: list[str] = []
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "asleft", *command.split()],
            cwd=str(site),
            env={**os.environ, "TERM": "dumb", **environment},
            dimensions=(24, 80),
            encoding="utf-8",
            timeout=60,
        )
        self.child.delaybeforesend = None

    def wait(self) -> str:
        """What was shown up to the next prompt."""
        self.child.expect(PROMPT)
        self.seen.append(self.child.before + self.child.after)
        return self.seen[-1].rsplit("\n", 1)[-1]

    @property
    def asked(self) -> str:
        """The id of the entry asked for."""
        return re.findall(r"(?m)^(\w+sub\d+) .*:", self.seen[-1])[-1]

    def type(self, line: str) -> str:
        self.child.send(line + "\r")
        return self.wait()

    def end(self) -> int:
        """What was shown up to the end, and the exit code; minus the signal that ended it."""
        self.child.expect(pexpect.EOF)
        self.seen.append(self.child.before)
        self.child.close()
        status = self.child.exitstatus
        return int(-self.child.signalstatus if status is None else status)


def by_stop(seat: Seat) -> int:
    seat.child.send("stop\r")
    return seat.end()


def by_ctrl_c(seat: Seat) -> int:
    seat.child.send("12")
    seat.child.sendintr()
    return seat.end()


def by_end_of_input(seat: Seat) -> int:
    seat.child.sendeof()
    return seat.end()


def by_kill(seat: Seat) -> int:
    seat.child.send("12")
    seat.child.kill(signal.SIGKILL)
    return seat.end()


def by_lost_line(seat: Seat) -> int:
    seat.child.kill(signal.SIGHUP)
    return seat.end()


WAYS = (
    (by_stop, 130),
    (by_ctrl_c, 130),
    (by_end_of_input, 130),
    (by_kill, -signal.SIGKILL),
    (by_lost_line, -signal.SIGHUP),
)


def keyed(site: Path) -> Iterator[str]:
    """Key the entries in, interrupting at every tenth; every line shown."""
    seat = Seat(site, ASKED)
    seat.wait()
    seat.type("go 2.1")
    done = 0
    while True:
        native_id = seat.asked
        for line in CHANGED.get(native_id, [""]):
            seat.type(line)
        done += 1
        if done == ENTRIES:
            break
        if done % 10 == 0:
            way, code = WAYS[done // 10 % len(WAYS)]
            assert way(seat) == code
            yield from seat.seen
            seat = Seat(site, f"{ASKED} --resume")
            seat.wait()
            assert f"Going on: {done} of 271" in seat.seen[0]
            assert seat.asked != native_id
    seat.type("finish")
    seat.type("no time left")
    seat.child.send("yes\r")
    assert seat.end() == 0
    yield from seat.seen


def leaves(table: dict[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    for name, value in table.items():
        if isinstance(value, dict):
            yield from leaves(value, f"{before}{name}.")
        else:
            yield f"{before}{name}", value


def values(path: Path) -> dict[str, Any]:
    """The values of a recorded set, without its head, read by a TOML reader alone."""
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    for head in ("format", "asset", "model", "model_version", "firmware", "reading", "not_read", "native"):
        table.pop(head, None)
    return dict(leaves(table))


def test_a_hundred_entries_interrupted_at_every_tenth_are_recorded_right(own_demo: Path) -> None:
    folder = own_demo / "assets" / "E1"
    before = values(folder / "as_left.toml")
    screen = "\n".join(keyed(own_demo))
    lines = screen.replace("\r", "").split("\n")
    assert not [line for line in lines if len(line) > 80 and not line.startswith("asleft ")]
    recorded = tomllib.loads((folder / "as_found.toml").read_text(encoding="utf-8"))
    found = values(folder / "as_found.toml")
    assert recorded["reading"]["how"] == "keypad"
    assert {key: found[key] for key in FOUND} == FOUND
    assert {key: value for key, value in found.items() if key not in FOUND} == {
        key: before[key] for key in found if key not in FOUND
    }
    assert len(found) == ENTRIES - 1
    reasons = recorded["not_read"]
    assert reasons.pop("skip_bands.band_1.low_hz") == "dark there"
    assert set(reasons.values()) == {"no time left"}
    assert not list((own_demo / ".git" / "asleft" / "keypad").glob("*.jsonl"))


def journals(site: Path) -> str:
    folder = site / ".git" / "asleft" / "keypad"
    return "".join(file.read_text(encoding="utf-8") for file in sorted(folder.glob("*.jsonl")))


def test_a_code_typed_by_mistake_reaches_no_file(own_demo: Path) -> None:
    seat = Seat(own_demo, ASKED)
    seat.wait()
    seat.type("go access code")
    assert "Access code" in seat.type("83194702")
    assert "Settings lock" in seat.type("set")
    assert by_stop(seat) == 130
    assert '"set"' in journals(own_demo)
    held = [file for file in own_demo.rglob("*") if file.is_file() and b"83194702" in file.read_bytes()]
    assert not held


def test_an_interrupted_reading_is_offered_again_and_a_fresh_start_keeps_it(own_demo: Path) -> None:
    seat = Seat(own_demo, ASKED)
    seat.wait()
    seat.type("")
    by_ctrl_c(seat)
    again = Seat(own_demo, ASKED)
    again.wait()
    assert "waits: 1 answer" in again.seen[0]
    assert again.type("no").startswith("2F00sub1")
    by_stop(again)
    kept = own_demo / ".git" / "asleft" / "keypad" / "E1.as_found.before"
    assert json.loads(kept.read_text(encoding="utf-8").splitlines()[1])["id"] == "2F00sub1"


def test_two_people_cannot_key_in_the_same_reading(own_demo: Path) -> None:
    seat = Seat(own_demo, ASKED)
    seat.wait()
    second = Seat(own_demo, ASKED)
    assert second.end() == 5
    assert "already" in second.seen[-1]
    by_stop(seat)


def test_a_terminal_without_unicode_gets_plain_letters(own_demo: Path) -> None:
    seat = Seat(own_demo, ASKED, LC_ALL="C", PYTHONIOENCODING="utf-8")
    seat.wait()
    seat.type("go heat sink now")
    for line in ("?", "list", "help", "menus", "find process", "go 8.1", "?"):
        seat.type(line)
    assert "".join(seat.seen).isascii()
    by_stop(seat)


def test_a_plan_is_keyed_in_by_the_same_guide(own_demo: Path) -> None:
    seat = Seat(own_demo, "plan E1 --from keypad --by T.Example")
    seat.wait()
    seat.type("go down a")
    seat.type("15")
    seat.type("finish")
    seat.child.send("yes\r")
    assert seat.end() == 0
    assert "1 setting to change" in seat.seen[-1]
    assert values(own_demo / "assets" / "E1" / "planned.toml")["ramps.decel_time_1_s"] == 15.0


def test_a_reading_is_corrected_at_the_keypad_showing_what_it_says(own_demo: Path) -> None:
    seat = Seat(own_demo, "correct E1@found --from keypad --reason misread --by U.Example")
    seat.wait()
    assert "was 6.5 s" in seat.type("go 3610sub1")
    seat.type("7.5")
    seat.type("finish")
    seat.type("not in the cabinet any more")
    seat.child.send("yes\r")
    assert seat.end() == 0
    assert values(own_demo / "assets" / "E1" / "as_found.toml") == {"ramps.accel_time_1_s": 7.5}
