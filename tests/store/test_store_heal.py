"""What an interrupted write left is brought along; what a person did is not touched."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from a_site import LEFT, record

from asleft.store import EditedByHand, Git, NotFlushed, NotRecorded, Steps, Store

PlainGit = Callable[..., str]
FOUND = "assets/E1/as_found.toml"


class PowerCut(BaseException):
    """The process is gone: nothing of ours runs after it."""


class CutAfter(Steps):
    """The power goes when git has moved the branch, before any file follows."""

    def flush(self, folder: Path) -> None:
        if folder.name == "heads":
            raise PowerCut
        super().flush(folder)


def interrupted(site: Store, files: dict[str, bytes | None]) -> None:
    """A write whose commit is in the record while files and index are as before."""
    cut = Store(replace(site.place, git=Git(site.place.git.env, steps=CutAfter())))
    with pytest.raises(PowerCut):
        record(cut, files)


def test_files_and_index_are_brought_to_the_record_and_it_is_said(site: Store, plain_git: PlainGit) -> None:
    record(site, {"site.toml": b"n = 2\n", FOUND: b"v = 0\n"})
    interrupted(site, {LEFT: b"v = 2\n", "assets/E2/as_left.toml": b"v = 3\n", FOUND: None})
    assert (site.top / LEFT).read_bytes() == b"v = 1\n"
    said = site.heal()
    assert sorted(line.split()[1] for line in said) == [FOUND, LEFT, "assets/E2/as_left.toml"]
    assert (site.top / LEFT).read_bytes() == b"v = 2\n"
    assert not (site.top / FOUND).exists()
    assert plain_git("status", "--porcelain") == ""
    assert site.heal() == []


def test_a_write_heals_by_itself(site: Store, plain_git: PlainGit) -> None:
    interrupted(site, {LEFT: b"v = 2\n"})
    record(site, {LEFT: b"v = 3\n"})
    assert site.read(LEFT, "HEAD~1") == b"v = 2\n"
    assert plain_git("status", "--porcelain") == ""


def test_a_file_changed_by_hand_after_the_interruption_stays(site: Store) -> None:
    interrupted(site, {LEFT: b"v = 2\n"})
    (site.top / LEFT).write_bytes(b"mine\n")
    (said,) = site.heal()
    assert LEFT in said and "by hand" in said
    assert (site.top / LEFT).read_bytes() == b"mine\n"
    with pytest.raises(EditedByHand):
        record(site, {LEFT: b"v = 3\n"})


def test_without_an_interrupted_write_every_difference_is_a_persons(site: Store) -> None:
    record(site, {LEFT: b"v = 2\n", FOUND: b"v = 1\n"})
    (site.top / LEFT).write_bytes(b"v = 1\n")
    (site.top / FOUND).unlink()
    assert site.heal() == []
    assert (site.top / LEFT).read_bytes() == b"v = 1\n" and not (site.top / FOUND).exists()


def test_a_foreign_index_lock_delays_the_index_only(site: Store, plain_git: PlainGit) -> None:
    lock = site.place.git_dir / "index.lock"
    lock.write_bytes(b"")
    record(site, {LEFT: b"v = 2\n"})
    record(site, {LEFT: b"v = 3\n"})
    assert (site.top / LEFT).read_bytes() == b"v = 3\n"
    assert "index" in site.heal()[0] and lock.exists()
    lock.unlink()
    site.heal()
    assert plain_git("status", "--porcelain") == ""
    assert record(site, {LEFT: b"v = 4\n"})


def test_what_we_left_unfinished_ourselves_is_removed(site: Store, plain_git: PlainGit) -> None:
    interrupted(site, {LEFT: b"v = 2\n"})
    temp = site.top / "assets/E1/.as_left.toml.asleft-0123456789ab.tmp"
    others = site.top / "assets/E1/.as_left.toml.swp"
    for path, data in (
        (temp, b"v ="),
        (others, b"editor"),
        (site.place.git_dir / "index.lock", b"asleft\n"),
        (site.private / "index-0123456789ab", b"half"),
        (site.private / "new" / "0", b"half"),
    ):
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
    site.heal()
    assert not temp.exists() and others.exists()
    assert not (site.place.git_dir / "index.lock").exists()
    assert [p.name for p in site.private.iterdir() if p.is_file()] == ["lock"]
    assert plain_git("status", "--porcelain") == f"?? {others.relative_to(site.top).as_posix()}\n"


class CutBefore(Steps):
    """The power goes while git moves the branch: its lock files stay."""

    def call(self, command, folder, env, stdin, seconds):  # type: ignore[no-untyped-def]
        if "update-ref" in command:
            commit = command[command.index("HEAD") + 1]
            (Path(folder) / ".git" / "HEAD.lock").write_bytes(b"")
            (Path(folder) / ".git" / "refs/heads/main.lock").write_text(f"{commit}\n", encoding="utf-8")
            raise PowerCut
        return super().call(command, folder, env, stdin, seconds)


def test_locks_of_a_branch_that_was_being_moved_are_cleared(site: Store, plain_git: PlainGit) -> None:
    head = site.head()
    cut = Store(replace(site.place, git=Git(site.place.git.env, steps=CutBefore())))
    with pytest.raises(PowerCut):
        record(cut, {LEFT: b"v = 2\n"})
    said = site.heal()
    assert len(said) == 2 and all(".lock" in line for line in said)
    assert site.head() == head and (site.top / LEFT).read_bytes() == b"v = 1\n"
    assert record(site, {LEFT: b"v = 3\n"})
    site.heal()
    assert list((site.private / "pending").iterdir()) == []
    assert plain_git("status", "--porcelain") == ""


def test_a_lock_of_somebody_else_on_the_branch_stays(site: Store) -> None:
    lock = site.place.common / "refs/heads/main.lock"
    cut = Store(replace(site.place, git=Git(site.place.git.env, steps=CutBefore())))
    with pytest.raises(PowerCut):
        record(cut, {LEFT: b"v = 2\n"})
    lock.write_text("1" * 40 + "\n", encoding="utf-8")
    assert len(site.heal()) == 1
    assert lock.exists()


class NoFlush(Steps):
    def flush(self, folder: Path) -> None:
        if folder.name == "heads":
            raise OSError(5, "Input/output error")
        super().flush(folder)


class FullDisk(Steps):
    def store(self, path: Path, data: bytes, *, flush: bool = True) -> None:
        raise OSError(28, "No space left on device")


def test_a_disk_that_does_not_confirm_is_no_success(site: Store) -> None:
    unsure = Store(replace(site.place, git=Git(site.place.git.env, steps=NoFlush())))
    with pytest.raises(NotFlushed):
        record(unsure, {LEFT: b"v = 2\n"})
    assert site.read(LEFT) == b"v = 2\n"
    site.heal()
    assert site.working_differs() == []


def test_a_full_disk_leaves_the_record_as_it_was(site: Store) -> None:
    head = site.head()
    full = Store(replace(site.place, git=Git(site.place.git.env, steps=FullDisk())))
    with pytest.raises(NotRecorded, match="No space left"):
        record(full, {LEFT: b"v = 2\n"})
    assert site.head() == head and site.working_differs() == []


def test_healing_waits_for_no_other_writer(site: Store) -> None:
    from filelock import FileLock

    interrupted(site, {LEFT: b"v = 2\n"})
    with FileLock(site.place.common / "asleft" / "lock"):
        assert Store(site.place, wait=0.01).heal() == []
    assert site.heal()
