"""git's index, brought along for the written paths only, so that git itself shows a clean site."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

from asleft.store.objects import Entry
from asleft.store.place import Place

# git never writes this into its index.lock: one that holds it is ours, and stale once we have the lock.
_MARK = b"asleft\n"
_MANY = 200


def entries(place: Place, paths: Collection[str]) -> dict[str, str]:
    """The blob ids the index holds for `paths` (those it knows)."""
    only = ("--", *paths) if len(paths) <= _MANY else ()
    out = place.git.run(place.top, "ls-files", "--stage", "-z", *only).out
    found = {}
    for line in filter(None, out.decode("utf-8", "surrogateescape").split("\0")):
        head, path = line.split("\t", 1)
        if path in paths:
            found[path] = head.split(" ")[1]
    return found


def refresh(place: Place, wanted: Mapping[str, Entry | None], commit: str) -> bool:
    """Put the entries of `commit` into the index; False where another program holds it.

    Errors: OSError, StoreError.
    """
    steps, lock = place.git.steps, place.git_dir / "index.lock"
    if not _claim(place, lock, commit):
        return False
    temp = place.private / f"index-{commit[:12]}"
    try:
        _prepare(place, temp, _lines(wanted, commit))
        steps.replace(temp, place.git_dir / "index")
    finally:
        steps.remove(lock)
    steps.flush(place.git_dir)
    return True


def _claim(place: Place, lock: Path, commit: str) -> bool:
    steps, mark = place.git.steps, place.private / f"mark-{commit[:12]}"
    steps.store(mark, _MARK, flush=False)
    try:
        if lock.is_file() and lock.read_bytes() == _MARK:
            steps.remove(lock)
        steps.claim(mark, lock)
    except FileExistsError:
        return False
    finally:
        steps.remove(mark)
    return True


def _prepare(place: Place, temp: Path, lines: bytes) -> None:
    extra = {"GIT_INDEX_FILE": str(temp)}
    index = place.git_dir / "index"
    if index.is_file():
        place.git.steps.copy(index, temp)
    else:
        place.git.run(place.top, "read-tree", "HEAD", extra=extra)
    place.git.run(place.top, "update-index", "-z", "--index-info", stdin=lines, extra=extra)


def _lines(wanted: Mapping[str, Entry | None], like: str) -> bytes:
    none = "0" * len(like)
    texts: Iterable[str] = (
        f"{e.mode} {e.id}\t{path}\0" if e else f"0 {none}\t{path}\0" for path, e in wanted.items()
    )
    return "".join(texts).encode("utf-8", "surrogateescape")
