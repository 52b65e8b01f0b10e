"""The record of a replaced unit is verified like every other file, and the history tells it."""

from __future__ import annotations

import subprocess
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.conftest import Ran, run_in

from asleft.files.replacements import Replacement, write_replacement

AT = datetime(2026, 10, 11, 23, 10, tzinfo=UTC)
FILE = "assets/F1/replacements/2026-10-11-2310.toml"


def left_blob(site: Path) -> str:
    words = ["git", "rev-parse", "HEAD:assets/F1/as_left.toml"]
    return subprocess.run(words, cwd=site, capture_output=True, text=True, check=True).stdout.strip()


def kept(site: Path, **changed: str) -> None:
    """A replacement in the record, put there by hand."""
    fields = {"asset": "F1", "unit": "units/f1-same.toml", "reading": left_blob(site), **changed}
    done = Replacement(
        model="merrow-m4-18k5",
        read="F1 as left",
        at=AT,
        by="T. Example",
        parts={"wires": ({"not_listed": "same terminals"},)},
        **fields,
    )
    file = site / FILE
    file.parent.mkdir()
    file.write_bytes(write_replacement(done))
    commit(site)


def commit(site: Path) -> None:
    subprocess.run(["git", "add", FILE], cwd=site, check=True)
    subprocess.run(["git", "commit", "-qm", "By hand"], cwd=site, check=True)


def test_a_sound_one_is_told_and_verified(own_demo: Path) -> None:
    kept(own_demo)
    assert run_in(own_demo, "verify").code == 0
    told = run_in(own_demo, "history", "F1").out
    assert "Replaced 11 October 2026 23:10 by T. Example." in told
    assert "Wires were not listed: same terminals." in told


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"reading": "ab" * 20}, "put right to the reading abababab"),
        ({"asset": "F2"}, "it says it is of F2, and lies in the folder of F1"),
    ],
    ids=["reading", "asset"],
)
def test_what_it_refers_to_must_be_there(own_demo: Path, changed: dict[str, str], words: str) -> None:
    kept(own_demo, **changed)
    ran = run_in(own_demo, "verify")
    assert ran.code == 4
    assert FILE in ran.out and words in ran.out


def test_one_that_cannot_be_read_is_named_and_stops_no_history(own_demo: Path) -> None:
    kept(own_demo)
    file = own_demo / FILE
    file.write_bytes(file.read_bytes() + b"colour = 3\n")
    commit(own_demo)
    verified, told = run_in(own_demo, "verify"), run_in(own_demo, "history", "F1")
    assert verified.code == 4 and told.code == 0
    for ran in (verified, told):
        assert f"{FILE}, line " in named(ran) and "colour means nothing" in named(ran)


def named(ran: Ran) -> str:
    return ran.out + ran.err
