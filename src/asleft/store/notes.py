"""Notes of writes under way: written before the record moves, removed when files and index follow it.

A note is the only proof that a work tree file is behind because a write was interrupted. It lies in
the git directory, named by the new commit, and gives the commit before it and, for each path, the
blob id it replaced.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from asleft.store.errors import Damaged
from asleft.store.place import Place


@dataclass(frozen=True, slots=True)
class Note:
    """`commit` was about to follow `parent` (None: the first), replacing the blobs in `before`."""

    commit: str
    parent: str | None
    before: Mapping[str, str | None]


def put(place: Place, note: Note) -> None:
    """Write a note and flush it."""
    steps, folder = place.git.steps, place.private / "pending"
    steps.make_folder(folder)
    text = json.dumps({"parent": note.parent, "before": dict(note.before)})
    unfinished = place.private / "note"
    steps.store(unfinished, text.encode())
    steps.replace(unfinished, folder / note.commit)
    for flushed in (folder, place.private, place.git_dir):
        steps.flush(flushed)


def drop(place: Place, note: Note) -> None:
    """Remove a note."""
    place.git.steps.remove(path_of(place, note.commit))


def path_of(place: Place, commit: str) -> Path:
    """The file of the note of a commit."""
    return place.private / "pending" / commit


def standing_notes(place: Place) -> list[Note]:
    """All notes that stand. Errors: Damaged for one that cannot be read."""
    folder = place.private / "pending"
    if not folder.is_dir():
        return []
    return [_read(place, name) for name in sorted(p.name for p in folder.iterdir())]


def _read(place: Place, name: str) -> Note:
    path = path_of(place, name)
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
        return Note(name, content["parent"], dict(content["before"]))
    except (ValueError, KeyError, TypeError) as error:
        raise Damaged(f"The note {path} cannot be read.", "Move it away, then run asleft verify.") from error


def superseded(notes: Sequence[Note]) -> dict[str, set[str | None]]:
    """For each noted path, what an interrupted write may have left in the work tree or the index."""
    found: dict[str, set[str | None]] = {}
    for note in notes:
        for path, blob in note.before.items():
            found.setdefault(path, set()).add(blob)
    return found
