"""A unit put right through a pseudo-terminal of 80 x 24, killed, interrupted and stopped on the way.

Pseudo-terminals are of POSIX: on Windows only the guide itself is tested (test_work).
"""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path

import pytest
from tests.cli.drive_side import Killed, Person, drive_of
from tests.cli.test_work import SAME, holds_what_the_drive_shows, listed, strays

pexpect = pytest.importorskip("pexpect")
pytestmark = pytest.mark.skipif(os.name == "nt", reason="pseudo-terminals are of POSIX")

ASKED = [
    "compare",
    "F1",
    SAME.unit,
    "--work",
    "--by",
    "T.Example",
    "--reason",
    "unit burnt",
    "--format",
    "json",
]
ENDS = (-signal.SIGKILL, 130, 130)


def sat_down(site: Path, *more: str) -> pexpect.spawn:
    child = pexpect.spawn(
        sys.executable,
        ["-m", "asleft", *ASKED, *more],
        cwd=str(site),
        env={**os.environ, "TERM": "dumb", "LC_ALL": "C", "PYTHONIOENCODING": "utf-8"},
        dimensions=(24, 80),
        encoding="utf-8",
        timeout=120,
        echo=False,
    )
    child.delaybeforesend = None
    return child


def ended(child: pexpect.spawn, way: int) -> int:
    """End it in one of three ways; the exit code, minus the signal that ended it."""
    if way == 0:
        child.kill(signal.SIGKILL)
    elif way == 1:
        child.sendintr()
    else:
        child.send("stop\r")
    child.expect(pexpect.EOF)
    child.close()
    return int(-child.signalstatus if child.exitstatus is None else child.exitstatus)


def walked(child: pexpect.spawn, person: Person, seen: list[str]) -> str:
    """Follow the prompts; what came after the last of them. Raises ``Killed``."""
    while child.expect([r" > $", pexpect.EOF]) == 0:
        seen.append(f"{child.before}{child.after}".replace("\r", ""))
        child.send(person.answer(seen[-1]) + "\r")
    return str(child.before)


def test_a_whole_replacement_at_a_terminal_killed_interrupted_and_stopped(own_demo: Path) -> None:
    person, seen, ways = Person(drive_of(own_demo / SAME.unit), killed_at=17), [""], iter(range(3))
    child, last = sat_down(own_demo), ""
    while not last:
        try:
            last = walked(child, person, seen)
        except Killed:
            way = next(ways)
            assert ended(child, way) == ENDS[way]
            child = sat_down(own_demo, "--resume")
    child.close()
    assert child.exitstatus == 0, last
    assert person.kills >= 17
    assert strays(person, listed(SAME)) == []
    assert holds_what_the_drive_shows(own_demo, "F1", person)
    told = json.loads(last[last.index("{") :])
    assert told["headline"].startswith("F1 replaced: ")
    lines = "\n".join(seen).split("\n")
    assert not [line for line in lines if len(line) > 80 and not line.startswith("asleft ")]
    assert "\n".join(seen).isascii()
    assert (
        max(len(screen.split("\n")) for screen in seen if "-- Step" in screen and "Before you" not in screen)
        <= 24
    )
