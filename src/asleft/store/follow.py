"""Bringing the work tree and the index after the record, and healing what an interrupted write left."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from asleft.store import heads, index, notes
from asleft.store.errors import Busy, Damaged, EditedByHand, StoreError
from asleft.store.lock import held
from asleft.store.notes import Note
from asleft.store.objects import Entry, read_objects
from asleft.store.paths import checked, working_id
from asleft.store.place import Place
from asleft.store.trees import standing

Behind = Mapping[str, Collection[str | None]]
Wanted = Mapping[str, Entry | None]


@dataclass(frozen=True, slots=True)
class Followed:
    """What was `said` about files brought along, and whether all is `finished`."""

    said: tuple[str, ...]
    finished: bool


@dataclass(frozen=True, slots=True)
class Healed:
    """What was `said`, and what is still `behind` because another program holds it."""

    said: tuple[str, ...] = ()
    behind: Behind | None = None


def heal(place: Place, wait: float) -> list[str]:
    """Bring files and index that an interrupted write left behind to the record; what was done, in words.

    Only paths named by a note of such a write are looked at, and only once its commit is part of the
    record. A file that is missing, or holds exactly the version the write replaced, is brought to the
    newest record; any other content was put there by a person and stays. Without a note every
    difference is a person's, also an old version they went back to. Where another command is
    writing, nothing is done: it does this itself.
    """
    if not notes.standing_notes(place):
        return []
    try:
        with held(place, wait):
            return list(finish(place).said)
    except Busy:
        return []
    except OSError as error:
        return [f"An interrupted write could not be tidied up: {error}."]


def finish(place: Place) -> Healed:
    """The same for one who holds the lock."""
    standing_notes = notes.standing_notes(place)
    if not standing_notes:
        return Healed()
    _sweep(place, standing_notes)
    head = heads.current(place)
    said = heads.clear_locks(place, head.branch, standing_notes)
    done = [n for n in standing_notes if heads.contains(place, n.commit, head.commit)]
    for note in (n for n in standing_notes if n not in done):
        # While the record stands where the write began, git may still be finishing it.
        if note.parent != head.commit:
            notes.drop(place, note)
    if head.commit is None or not done:
        return Healed(tuple(said))
    return _bring(place, head.commit, done, said)


def _bring(place: Place, commit: str, done: list[Note], said: list[str]) -> Healed:
    behind = notes.superseded(done)
    followed = follow(place, commit, _recorded(place, commit, behind), behind)
    if followed.finished:
        for note in done:
            notes.drop(place, note)
    return Healed((*said, *followed.said), None if followed.finished else behind)


def _recorded(place: Place, commit: str, paths: Iterable[str]) -> Wanted:
    parts = {path: checked(path) for path in paths}
    recorded = standing(place, commit, parts.values())
    return {path: recorded.entry(parts[path]) for path in parts}


def follow(place: Place, commit: str, wanted: Wanted, behind: Behind) -> Followed:
    """Bring each path to what `commit` wants where it is missing or holds one of the blobs in `behind`."""
    said, finished = _files(place, commit, wanted, behind)
    held_ids = index.entries(place, behind.keys())
    stale = {
        path: entry
        for path, entry in wanted.items()
        if held_ids.get(path) != _id(entry) and held_ids.get(path) in behind[path]
    }
    if stale and not index.refresh(place, stale, commit):
        said.append("git's index is held by another program; it will be brought up to date later.")
        finished = False
    return Followed(tuple(said), finished)


def _files(place: Place, commit: str, wanted: Wanted, behind: Behind) -> tuple[list[str], bool]:
    said, finished, folders = [], True, set()
    data = _contents(place, wanted)
    for path, entry in wanted.items():
        try:
            now = working_id(place, path, commit)
            if now == _id(entry):
                continue
            if now is not None and now not in behind[path]:
                said.append(f"{path} was changed by hand meanwhile; it was left as it is.")
                continue
            folders |= _put(place, path, data.get(path), commit)
            said.append(f"Brought {path} up to date with the record.")
        except EditedByHand as error:
            said.append(error.what)
        except OSError as error:
            said.append(f"{path} could not be brought up to date yet: {error.strerror or error}.")
            finished = False
    for folder in folders:
        place.git.steps.flush(folder)
    return said, finished


def _id(entry: Entry | None) -> str | None:
    return entry.id if entry else None


def _contents(place: Place, wanted: Wanted) -> dict[str, bytes]:
    ids = {path: entry.id for path, entry in wanted.items() if entry}
    found = dict(zip(ids, read_objects(place, list(ids.values())), strict=True))
    missing = next((path for path, blob in found.items() if blob is None), None)
    if missing is not None:
        raise Damaged(f"The record of {missing} cannot be read back.", "Run asleft verify.", (missing,))
    return {path: blob.data for path, blob in found.items() if blob}


def _put(place: Place, path: str, data: bytes | None, commit: str) -> set[Path]:
    steps, file = place.git.steps, place.top / path
    above = set(_folders_above(place, file))
    if data is None:
        steps.remove(file)
        with suppress(OSError):
            for folder in _folders_above(place, file):
                if folder != place.top:
                    steps.remove_folder(folder)
        return above
    temp = file.with_name(f".{file.name}.asleft-{commit[:12]}.tmp")
    steps.make_folder(file.parent)
    steps.store(temp, data)
    steps.replace(temp, file)
    return above


def _folders_above(place: Place, file: Path) -> Iterable[Path]:
    for folder in file.parents:
        yield folder
        if folder == place.top:
            return


def _sweep(place: Place, standing_notes: list[Note]) -> None:
    """Remove our own unfinished files; they exist only while a note does."""
    steps = place.git.steps
    for folder in {(place.top / path).parent for note in standing_notes for path in note.before}:
        for temp in folder.glob(".*.asleft-????????????.tmp"):
            steps.remove(temp)
    for name in ("index-*", "mark-*", "note", "new/*"):
        for temp in place.private.glob(name):
            steps.remove(temp)


def follow_quietly(place: Place, note: Note, made: Wanted, behind: Behind) -> None:
    """After a write: bring files and index along and drop the note. What fails here is healed later."""
    both = {path: {blob, *behind.get(path, ())} for path, blob in note.before.items()}
    with suppress(OSError, StoreError):
        if follow(place, note.commit, made, both).finished:
            notes.drop(place, note)
