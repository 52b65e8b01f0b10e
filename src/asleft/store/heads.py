"""The branch the record is on, and moving it by compare-and-swap."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from asleft.store import notes
from asleft.store.errors import CannotWriteNow, Damaged, Overtaken
from asleft.store.notes import Note
from asleft.store.place import Place
from asleft.store.runner import explain

_UNDER_WAY = {
    "MERGE_HEAD": "merge",
    "rebase-merge": "rebase",
    "rebase-apply": "rebase",
    "CHERRY_PICK_HEAD": "cherry-pick",
    "REVERT_HEAD": "revert",
}


@dataclass(frozen=True, slots=True)
class Head:
    """The branch ("refs/heads/main") and its newest commit, None before the first."""

    branch: str
    commit: str | None


def current(place: Place) -> Head:
    """Where the record stands. Errors: CannotWriteNow on no branch, or with a merge under way."""
    for name, what in _UNDER_WAY.items():
        if (place.git_dir / name).exists():
            raise CannotWriteNow(
                f"A git {what} is under way in {place.top}.", f"Finish it, or stop it: git {what} --abort"
            )
    branch = place.git.run(place.top, "symbolic-ref", "--quiet", "HEAD", ok=(0, 1)).out.decode().strip()
    if not branch.startswith("refs/heads/"):
        raise CannotWriteNow(
            "The site shows an old state of its record, not the newest (git: detached HEAD).",
            "Go back to the newest, usually: git switch main",
        )
    return Head(branch, newest(place))


def newest(place: Place) -> str | None:
    """The newest commit of the record, None before the first. Errors: Damaged."""
    done = place.git.run(place.top, "rev-parse", "--quiet", "--verify", "HEAD^{commit}", ok=(0, 1))
    if done.code == 0:
        return done.out.decode().strip()
    # A branch that names a commit which is gone looks the same as no branch at all.
    if place.git.run(place.top, "rev-parse", "--quiet", "--verify", "HEAD", ok=(0, 1)).code == 0:
        raise Damaged("The newest commit of the record is missing.", "Run asleft verify; keep every copy.")
    return None


def contains(place: Place, commit: str, head: str | None) -> bool:
    """True where the history up to `head` holds `commit`."""
    if head is None or commit == head:
        return commit == head
    asked = ("merge-base", "--is-ancestor", commit, head)
    return place.git.run(place.top, *asked, ok=(0, 1, 128)).code == 0


def move(place: Place, head: Head, commit: str, subject: str) -> None:
    """Move the branch from `head` to `commit`. Errors: Overtaken where it stands elsewhere by now."""
    old = head.commit or "0" * len(commit)
    asked = ("update-ref", "-m", f"asleft: {subject}", "HEAD", commit, old)
    done = place.git.run(place.top, *asked, ok=(0, 1, 128))
    if done.code == 0:
        return
    if any(text in done.err for text in (b"but expected", b"already exists", b"unable to resolve reference")):
        raise Overtaken(
            "Somebody else recorded at the same moment; their record stands.", "Repeat; nothing was recorded."
        )
    raise explain(done, "update-ref", place.top)


def flush(place: Place, head: Head) -> None:
    """Flush the folders of the branch and its log up to the git directory. Errors: OSError."""
    steps = place.git.steps
    for start in (place.common / head.branch, place.common / "logs" / head.branch):
        for folder in start.parents:
            steps.flush(folder)
            if folder == place.common:
                break
    steps.flush(place.git_dir / "logs")
    steps.flush(place.git_dir)


def clear_locks(place: Place, branch: str, noted: Sequence[Note]) -> list[str]:
    """Remove lock files that an interrupted `move` to one of the `noted` commits left behind.

    Ours are empty or name such a commit, are no younger than a `move` after its note can be, and
    outlast a second, which no living `move` does.
    """
    said = []
    for lock in (place.git_dir / "HEAD.lock", place.common / f"{branch}.lock"):
        for _ in range(20):
            if not lock.is_file():
                break
            time.sleep(0.05)
        if lock.is_file() and any(_left_by(place, lock, note) for note in noted):
            place.git.steps.remove(lock)
            said.append(f"Removed {lock.name}, left behind by an interrupted write.")
    return said


def _left_by(place: Place, lock: Path, note: Note) -> bool:
    age = lock.stat().st_mtime - notes.path_of(place, note.commit).stat().st_mtime
    return -1 <= age <= place.git.seconds + 1 and lock.read_bytes().strip() in (b"", note.commit.encode())
