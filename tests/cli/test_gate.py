"""A server's hook on a real bare repository with real pushes."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.conftest import run_in

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the sample hooks are shell scripts")


@pytest.fixture(scope="session")
def pushed(built_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo site, and beside it a bare repository with the sample hook that it was pushed to."""
    top = tmp_path_factory.mktemp("pushed")
    shutil.copytree(built_demo, top / "site", symlinks=True)
    bare = top / "record.git"
    subprocess.run(["git", "init", "-q", "--bare", "--initial-branch=main", str(bare)], check=True)
    subprocess.run(["git", "remote", "add", "server", "../record.git"], cwd=top / "site", check=True)
    hook = bare / "hooks" / "pre-receive"
    sample = run_in(top, "gate", "--sample", "pre-receive").out
    hook.write_text(sample.replace("exec asleft", f"exec {sys.executable} -m asleft"), encoding="utf-8")
    hook.chmod(0o755)
    first = push(top / "site")
    assert first.returncode == 0 or "D1" in first.stderr, first.stderr
    return top


@pytest.fixture
def server(pushed: Path, tmp_path: Path) -> Path:
    """A copy of that repository; its site is ``own_demo``."""
    return Path(shutil.copytree(pushed / "record.git", tmp_path / "record.git", symlinks=True))


@pytest.fixture
def own_demo(pushed: Path, tmp_path: Path) -> Path:
    """A copy of the site that knows the server beside it."""
    return Path(shutil.copytree(pushed / "site", tmp_path / "site", symlinks=True))


@pytest.fixture(scope="session")
def settled_and_pushed(pushed: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same with what the demo's calendar lets run out waived, so that it starts without a breach."""
    top = tmp_path_factory.mktemp("settled")
    for name in ("site", "record.git"):
        shutil.copytree(pushed / name, top / name, symlinks=True)
    settled(top / "site", top)
    return top


@pytest.fixture
def calm(settled_and_pushed: Path, tmp_path: Path) -> Path:
    """A copy of that site, its server beside it."""
    shutil.copytree(settled_and_pushed / "record.git", tmp_path / "record.git", symlinks=True)
    return Path(shutil.copytree(settled_and_pushed / "site", tmp_path / "site", symlinks=True))


def push(site: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["git", "push", "-q", "server", "main"], cwd=site, capture_output=True, text=True, check=False
    )


def settled(site: Path, tmp_path: Path) -> None:
    """Waive what the demo's calendar lets run out, so that the site starts without a breach."""
    given = (
        "--asked-by",
        "R. Example",
        "--approved-by",
        "H. Example",
        "--reason",
        "for the test",
        "--by",
        "R. Example",
    )
    allow = (
        "--allow",
        "supply.power_dip_ride_through=coast_and_catch,ride_on_inertia",
        "--allow",
        "supply.power_dip_max_time_s<=0.5 s",
    )
    done = run_in(
        site,
        "waive",
        "W-09",
        "--rule",
        "49",
        "--spec",
        "every-drive",
        "--asset",
        "D1",
        *allow,
        "--from",
        "2026-01-01",
        "--until",
        "2099-12-31",
        *given,
    )
    assert done.code == 0, done.err
    first = push(site)
    assert first.returncode == 0, first.stderr


def read_in(site: Path, rows: str, kind: str = "as-left") -> None:
    """Record a whole reading of E1 with some rows changed."""
    base = (Path(__file__).parents[2] / "fixtures/demo/readings/2026-03-12/E1.csv").read_text(
        encoding="utf-8"
    )
    changed = dict(line.split(",", 1) for line in rows.split())
    lines = [
        f"{name},{changed.get(name, value)}"
        for name, value in (line.split(",", 1) for line in base.splitlines())
    ]
    (site.parent / "e1.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    done = run_in(
        site,
        "snapshot",
        "E1",
        "--from",
        "../e1.csv",
        "--reading",
        kind,
        "--occasion",
        "service",
        "--by",
        "T. Example",
    )
    assert done.code == 0, done.err


def test_a_push_with_a_new_breach_is_refused_in_words(calm: Path) -> None:
    read_in(calm, "3750sub3,5")
    refused = push(calm)
    assert refused.returncode != 0
    assert "the push is refused: 1 new breach" in refused.stderr
    assert "E1 rule 41" in refused.stderr
    assert "waived by another person" in refused.stderr


def test_a_push_with_a_valid_waiver_is_taken(calm: Path) -> None:
    read_in(calm, "3750sub3,1")
    given = (
        "--asked-by",
        "R. Example",
        "--approved-by",
        "H. Example",
        "--reason",
        "one retry",
        "--by",
        "R. Example",
    )
    done = run_in(
        calm,
        "waive",
        "W-10",
        "--rule",
        "41",
        "--asset",
        "E1",
        "--allow",
        "recovery.auto_reset_attempts<=1",
        "--until",
        "2099-12-31",
        *given,
    )
    assert done.code == 0, done.err
    taken = push(calm)
    assert taken.returncode == 0, taken.stderr
    assert "the push is taken" in taken.stderr


def test_an_unapproved_waiver_is_refused(calm: Path) -> None:
    file = calm / "waivers.toml"
    text = file.read_text(encoding="utf-8").replace(
        'approved_by = "H. Example"', 'approved_by = "R. Example"', 1
    )
    file.write_text(text, encoding="utf-8", newline="\n")
    subprocess.run(["git", "commit", "-qam", "Approve my own"], cwd=calm, check=True)
    refused = push(calm)
    assert refused.returncode != 0
    assert "nobody else stands for" in refused.stderr


def test_a_file_that_cannot_be_read_is_refused(calm: Path) -> None:
    file = calm / "specs" / "dust-fan.toml"
    file.write_text("format = 1\nname = \n", encoding="utf-8", newline="\n")
    subprocess.run(["git", "commit", "-qam", "Break a spec"], cwd=calm, check=True)
    refused = push(calm)
    assert refused.returncode != 0
    assert "specs/dust-fan.toml" in refused.stderr


def test_unsigned_waivers_are_refused_where_the_house_asks_for_signatures(
    calm: Path,
) -> None:
    site_file = calm / "site.toml"
    site_file.write_text(
        site_file.read_text(encoding="utf-8") + "signed_waivers = true\n", encoding="utf-8", newline="\n"
    )
    subprocess.run(["git", "commit", "-qam", "Ask for signed waivers"], cwd=calm, check=True)
    assert push(calm).returncode == 0
    given = ("--asked-by", "R. Example", "--approved-by", "H. Example", "--reason", "x", "--by", "R. Example")
    done = run_in(
        calm,
        "waive",
        "W-11",
        "--rule",
        "42",
        "--asset",
        "E1",
        "--allow",
        "ramps.accel_time_1_s>=5 s",
        "--until",
        "2099-12-31",
        *given,
    )
    assert done.code == 0, done.err
    refused = push(calm)
    assert refused.returncode != 0
    assert "carries no signature" in refused.stderr


def test_the_branch_cannot_be_taken_away(calm: Path) -> None:
    subprocess.run(
        ["git", "config", "receive.denyDeletes", "false"], cwd=calm.parent / "record.git", check=True
    )
    done: Any = subprocess.run(
        ["git", "push", "-q", "server", ":main"], cwd=calm, capture_output=True, text=True, check=False
    )
    assert done.returncode != 0


def test_the_sample_for_a_person_s_own_copy_stops_a_commit(own_demo: Path, tmp_path: Path) -> None:
    hook = own_demo / ".git" / "hooks" / "pre-commit"
    hook.parent.mkdir(exist_ok=True)
    sample = run_in(tmp_path, "gate", "--sample", "pre-commit").out
    hook.write_text(sample.replace("exec asleft", f"exec {sys.executable} -m asleft"), encoding="utf-8")
    hook.chmod(0o755)
    spec = own_demo / "specs" / "bucket-elevator.toml"
    spec.write_text(
        spec.read_text(encoding="utf-8").replace('at_least = "6 s"', 'at_least = "9 s"'),
        encoding="utf-8",
        newline="\n",
    )
    done = subprocess.run(
        ["git", "commit", "-qam", "Ask for a slower start"],
        cwd=own_demo,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode != 0
    assert "rule 42" in done.stdout + done.stderr


def test_a_drive_that_cannot_be_judged_is_refused(calm: Path) -> None:
    (calm / "specs" / "dust-fan.toml").rename(calm / "specs" / "dust-fans.toml")
    subprocess.run(["git", "add", "-A", "specs"], cwd=calm, check=True)
    subprocess.run(["git", "commit", "-qm", "Rename a spec"], cwd=calm, check=True)
    refused = push(calm)
    assert refused.returncode == 1
    assert "names the spec 'dust-fan', which the site lacks" in refused.stderr
