"""Commits that were pushed and not taken yet, as a site of their own to look at."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from asleft.store.place import locate
from asleft.store.runner import Git
from asleft.store.store import Store

_OURS = re.compile(
    r"(site|waivers|accepted)\.toml|(models|specs|units)/[^/]+\.toml|assets/[^/]+/([^/]+|tests/[^/]+)\.toml"
)


def lay_out(commit: str, objects: Iterable[Path], folder: Path, git: Git) -> Store:
    """A site in ``folder`` (new, empty) that stands at ``commit``, borrowing ``objects`` where they lie.

    Only files a site has are written, byte for byte; no filter, hook or setting of the sender runs.
    Errors: NotInRecord, Damaged.
    """
    git.run(folder, "init", "--quiet", "--initial-branch=main", "--template=")
    place = locate(folder, git)
    borrowed = "".join(f"{path.resolve().as_posix()}\n" for path in objects)
    alternates = place.git_dir / "objects" / "info" / "alternates"
    alternates.parent.mkdir(parents=True, exist_ok=True)
    alternates.write_text(borrowed, encoding="utf-8", newline="\n")
    git.run(folder, "update-ref", "refs/heads/main", commit)
    store = Store(place)
    paths = [path for path in store.paths() if _OURS.fullmatch(path)]
    for path, content in zip(paths, store.read_many([("HEAD", path) for path in paths]), strict=True):
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content or b"")
    return store


def is_signed(store: Store, commit: str) -> bool:
    """Whether a commit carries a signature that git can verify with the keys at hand."""
    return store.place.git.run(store.top, "verify-commit", commit, ok=(0, 1, 128)).code == 0
