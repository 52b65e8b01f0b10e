"""``asleft snapshot`` killed at random moments, and several at once: the record stays whole.

The default is 15 kills; ``ASLEFT_LONG=1`` makes it 400, which takes some minutes. POSIX only, for SIGKILL.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.conftest import run_in

from asleft.files.sets import read_set

KILLS = 400 if os.environ.get("ASLEFT_LONG") else 15
SCRIPT = Path(__file__).with_name("snapshots_in_a_row.py")
TOP = Path(__file__).parents[2]


def start(site: Path, tag: str, count: int, label: str) -> subprocess.Popen[str]:
    command = [sys.executable, str(SCRIPT), str(site), tag, str(count), label]
    return subprocess.Popen(
        command, cwd=TOP, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )


def git(site: Path, *arguments: str) -> str:
    done = subprocess.run(["git", *arguments], cwd=site, capture_output=True, text=True, check=True)
    return done.stdout


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGKILL")
def test_a_killed_snapshot_leaves_the_old_record_or_the_new_one(own_demo: Path) -> None:
    seeded = random.Random(20260809)
    path = "assets/E1/as_found.toml"
    for kill in range(KILLS):
        before = git(own_demo, "rev-list", "--count", "HEAD").strip()
        running = start(own_demo, "E1", 1000, f"kill-{kill}")
        assert running.stdout is not None
        running.stdout.readline()
        time.sleep(seeded.uniform(0.0, 0.25))
        os.killpg(running.pid, signal.SIGKILL)
        said = running.communicate()[0]
        recorded = int(git(own_demo, "rev-list", "--count", "HEAD").strip()) - int(before)
        told = 1 + said.count("0\n")
        assert told <= recorded <= told + 1, "exit 0 means recorded, and at most one more was under way"
        assert git(own_demo, "fsck", "--full", "--strict", "--no-dangling") == ""
        read_set(git(own_demo, "cat-file", "blob", f"HEAD:{path}").encode(), path)
    after = run_in(
        own_demo,
        "snapshot",
        "E1",
        "--from",
        str(own_demo.parent / "kill-0-0.csv"),
        "--reading",
        "as-left",
        "--occasion",
        "service",
        "--by",
        "T. Example",
    )
    assert after.code == 0, after.err
    assert run_in(own_demo, "verify").code == 0
    assert git(own_demo, "status", "--porcelain") == ""


def test_four_at_once_leave_eighty_records(own_demo: Path) -> None:
    before = int(git(own_demo, "rev-list", "--count", "HEAD").strip())
    running = [
        start(own_demo, tag, 20, f"at-once-{number}") for number, tag in enumerate(("E1", "E1", "E2", "C1"))
    ]
    codes = [(one.communicate(timeout=300), one.returncode) for one in running]
    assert [code for _, code in codes] == [0, 0, 0, 0], codes
    assert int(git(own_demo, "rev-list", "--count", "HEAD").strip()) - before == 80
    reasons = git(own_demo, "log", "--format=%(trailers:key=Reason,valueonly)").split("\n")
    assert sum(1 for reason in reasons if reason.startswith("at-once-")) == 80
    assert git(own_demo, "fsck", "--full", "--strict", "--no-dangling") == ""
    assert git(own_demo, "status", "--porcelain") == ""
