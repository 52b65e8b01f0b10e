"""The command that serves a set as a unit: from the command line to a reading and back."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from tests.conftest import run_in


def _served(site: Path, *more: str) -> subprocess.Popen[str]:
    line = [sys.executable, "-m", "asleft", "simulate-unit", *more, "--for", "20"]
    return subprocess.Popen(line, cwd=site, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def _source(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    found = re.search(r"modbus-\w+://\S+", process.stdout.readline())
    assert found is not None
    return found[0]


@pytest.mark.parametrize(
    "how", [(), pytest.param(("--serial",), marks=pytest.mark.skipif("os.name == 'nt'"))]
)
def test_a_served_set_is_read_back_without_a_difference(own_demo: Path, how: tuple[str, ...]) -> None:
    process = _served(own_demo, "E1", "--unit", "11", *how)
    try:
        done = run_in(
            own_demo, "snapshot", "E1", "--from", _source(process), "--reading", "as-found",
            "--occasion", "service", "--by", "R. Example", "--format", "json",
        )  # fmt: skip
    finally:
        process.kill()
        process.communicate()
    assert done.code == 0, done.err
    assert done.data["changes"] == [] and done.data["how"] == "modbus" and not done.data["not_read"]
    assert done.data["model_version"]


def test_the_slot_s_own_address_is_used_where_none_is_written(own_demo: Path) -> None:
    process = _served(own_demo, "E1", "--unit", "11")
    try:
        source = _source(process).removesuffix("/11")
        done = run_in(
            own_demo, "snapshot", "E1", "--from", source, "--reading", "as-found", "--occasion", "service",
            "--by", "R. Example", "--dry-run",
        )  # fmt: skip
    finally:
        process.kill()
        process.communicate()
    assert done.code == 0, done.err


def test_it_ends_by_itself_and_says_what_it_was_asked(own_demo: Path) -> None:
    done = run_in(own_demo, "simulate-unit", "E1", "--for", "0.1")
    assert done.code == 0 and done.out.splitlines()[-1] == "0 requests answered."


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (("simulate-unit", "E9"), "no asset 'E9'"),
        (("simulate-unit", "E1", "--model", "nobody-s"), "no drive model 'nobody-s'"),
        (
            ("snapshot", "E1", "--from", "gopher://x", "--reading", "as-left", "--occasion", "service"),
            "is no source",
        ),
    ],
)
def test_wrong_use_is_told(own_demo: Path, line: tuple[str, ...], says: str) -> None:
    done = run_in(own_demo, *line)
    assert done.code == 2 and says in done.err
