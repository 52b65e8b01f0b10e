"""Writers that are killed, and writers that meet, in processes of their own."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import time
from pathlib import Path

from faulty import LEFT, WHO, environment, is_clean, is_whole, reopened, started, writer

from asleft.store import Busy, Overtaken, Store

LONG = os.environ.get("ASLEFT_LONG") == "1"
WRITES_WITHIN = 0.25


def test_a_kill_at_any_moment_leaves_the_old_record_or_the_new_one(tmp_path: Path) -> None:
    """8 kills at moments from a fixed seed, of the process alone or with the git it runs.

    Long form: ASLEFT_LONG=1 makes it 500.
    """
    env = environment(tmp_path)
    started(tmp_path / "site", env)
    chance = random.Random(20260312)
    for round_ in range(500 if LONG else 8):
        told = killed(tmp_path / "site", env, f"K{round_}", chance)
        store = reopened(tmp_path / "site", env)
        left_whole(store, f"K{round_}", told)


def killed(site: Path, env: dict[str, str], name: str, chance: random.Random) -> list[str]:
    """The commits a writer told of before it was killed within a few writes' time."""
    process = writer(site, env, "keeps_writing.py", name, "1000")
    assert process.stdout and process.stdout.readline() == b"ready\n"
    time.sleep(chance.random() * WRITES_WITHIN)
    if chance.random() < 0.5 and hasattr(os, "killpg"):
        os.killpg(process.pid, signal.SIGKILL)
    else:
        process.kill()
    out, err = process.communicate()
    assert err == b""
    return [line.split()[0] for line in out.decode().splitlines(keepends=True) if line.endswith("\n")]


def left_whole(store: Store, name: str, told: list[str]) -> None:
    """All that was told is there, at most one more, each of them whole; and the next write works."""
    repeated(store)
    # Oldest first, as the writer made them; the last of all is our own.
    made = store.history([f"assets/{name}"])[::-1]
    assert [c.id for c in made[: len(told)]] == told
    assert len(made) - len(told) in (0, 1)
    for number, commit in enumerate(made):
        value = f"{name} {number}\n".encode()
        wanted = [(commit.id, f"assets/{name}/as_left.toml"), (commit.id, "assets/last.toml")]
        assert store.read_many(wanted) == [value, value]
    store.heal()
    assert is_whole(store) and is_clean(store)


def repeated(store: Store) -> None:
    """Write; once more where a git outlived its killed writer by a moment."""
    value = store.head().encode()
    try:
        made = store.write({LEFT: value}, "Next", [("Asset", "E1")], **WHO)  # type: ignore[arg-type]
    except (Busy, Overtaken):
        made = store.write({LEFT: value}, "Next", [("Asset", "E1")], **WHO)  # type: ignore[arg-type]
    assert made == store.head()


def test_four_writers_at_once_lose_no_reading(tmp_path: Path) -> None:
    """Each touches a file of its own and one that all of them share. Long form: 20 readings each, for 8."""
    env = environment(tmp_path)
    before = started(tmp_path / "site", env).head()
    names, each = ["A", "B", "C", "D"], 20 if LONG else 8
    writers = [writer(tmp_path / "site", env, "keeps_writing.py", name, str(each)) for name in names]
    said = [finished(process) for process in writers]
    store = reopened(tmp_path / "site", env)
    made = store.history(())
    new = [c.id for c in made[: next(i for i, c in enumerate(made) if c.id == before)]]
    assert len(new) == 4 * each
    assert sorted(commit for commits in said for commit in commits) == sorted(new)
    for name, commits in zip(names, said, strict=True):
        assert [c.id for c in store.history([f"assets/{name}"])] == commits[::-1]
    assert is_whole(store) and is_clean(store) and store.heal() == []


def finished(process: subprocess.Popen[bytes]) -> list[str]:
    out, err = process.communicate(timeout=300)
    assert (process.returncode, err) == (0, b"")
    return [line.split()[0] for line in out.decode().splitlines()[1:]]
