"""What happens where nobody reads on, where there is no room, and where no stream is open."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

LINES = (
    ("show", "E1"),
    ("diff", "E1@factory", "E1", "--format", "json"),
    ("diff", "--help"),
    ("--help",),
    ("--version",),
)
NEEDS_POSIX = pytest.mark.skipif(os.name == "nt", reason="closed descriptors and /dev/full are POSIX")


def run(site: Path, line: tuple[str, ...], out: int) -> tuple[int, str]:
    command = [sys.executable, "-m", "asleft", *line]
    done = subprocess.run(command, cwd=site, stdout=out, stderr=subprocess.PIPE, text=True, check=False)
    return done.returncode, done.stderr


@NEEDS_POSIX
@pytest.mark.parametrize("line", LINES, ids=" ".join)
def test_a_closed_pipe_is_no_difference_and_no_fault(built_demo: Path, line: tuple[str, ...]) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    try:
        assert run(built_demo, line, writer) == (141, "")
    finally:
        os.close(writer)


@NEEDS_POSIX
@pytest.mark.parametrize("line", [LINES[0], LINES[-1]], ids=" ".join)
def test_no_room_is_said(built_demo: Path, line: tuple[str, ...]) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        code, told = run(built_demo, line, full.fileno())
    assert code == 2
    assert told.startswith("asleft: the result cannot be written: No space left")


@NEEDS_POSIX
def test_without_a_standard_output_a_command_still_runs(built_demo: Path) -> None:
    done = subprocess.run(
        f'exec "{sys.executable}" -m asleft show E1 >&-', shell=True, cwd=built_demo, check=False
    )
    assert done.returncode == 0
