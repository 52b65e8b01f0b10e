"""The one function that writes the record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from asleft.store import follow, heads, index, notes
from asleft.store.errors import EditedByHand, NotFlushed, NotRecorded, Overtaken, StoreError
from asleft.store.lock import held
from asleft.store.message import Signed
from asleft.store.notes import Note
from asleft.store.objects import PLAIN, Entry, object_name
from asleft.store.paths import checked, working_id
from asleft.store.place import Place
from asleft.store.signing import signing
from asleft.store.trees import Parts, Standing, build, standing

Files = Mapping[str, bytes | None]
Ids = Mapping[str, str | None]


@dataclass(frozen=True, slots=True)
class Change:
    """New contents by path (None: taken out of the record), commit text, signature, and expectations.

    `expect` gives blob ids as the caller read them (None: not there).
    """

    files: Files
    text: str
    signed: Signed
    expect: Ids


def write(place: Place, change: Change, wait: float) -> str | None:
    """Record a change durably; the new commit's id, or None where the record holds all of it already.

    Returns once objects, branch and their folders are flushed. Work tree and index follow; what fails
    there is brought along by the next heal, for the record is the branch.

    Errors: Busy, Overtaken, EditedByHand, CannotWriteNow, BadText, NotRecorded, NotFlushed, GitTooOld.
    """
    place.git.require_new_enough(place.top)
    parts = {path: checked(path) for path in change.files}
    env = change.signed.env()
    with _disk_refusals(), held(place, wait):
        healed = follow.finish(place)
        head = heads.current(place)
        old = standing(place, head.commit, [*parts.values(), *map(checked, change.expect)])
        _refuse_overtaken(old, change.expect)
        before = {path: _id(old.entry(p)) for path, p in parts.items()}
        made = _store_blobs(place, change.files)
        _refuse_edits(place, before, made, healed.behind or {})
        wanted = {path: _entry(old, p, made[path]) for path, p in parts.items()}
        trees = build(place, old, {parts[path]: entry for path, entry in wanted.items()})
        if trees[-1] == old.root:
            return None
        commit = _commit(place, trees[-1], head.commit, change.text, env)
        _flush_objects(place, [*filter(None, made.values()), *trees, commit])
        note = Note(commit, head.commit, before)
        _move(place, head, note, change.text.split("\n", 1)[0])
        follow.follow_quietly(place, note, wanted, healed.behind or {})
    return commit


@contextmanager
def _disk_refusals() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise NotRecorded(
            f"The disk refused: {error}. Nothing was recorded.",
            "Put the disk right (space, rights) and repeat.",
        ) from error


def _id(entry: Entry | None) -> str | None:
    return entry.id if entry else None


def _entry(old: Standing, parts: Parts, blob: str | None) -> Entry | None:
    stood = old.entry(parts)
    return Entry(stood.mode if stood else PLAIN, blob) if blob else None


def _refuse_overtaken(old: Standing, expect: Ids) -> None:
    moved = tuple(path for path, blob in expect.items() if _id(old.entry(checked(path))) != blob)
    if moved:
        raise Overtaken(
            f"Recorded anew by somebody else since it was read: {', '.join(moved)}.",
            "Read it again and repeat; nothing was recorded.",
            moved,
        )


def _store_blobs(place: Place, files: Files) -> dict[str, str | None]:
    """Write the contents as objects, by one git call over unnamed copies; blob ids by path."""
    steps, folder = place.git.steps, place.private / "new"
    given = {path: data for path, data in files.items() if data is not None}
    made: dict[str, str | None] = dict.fromkeys(files)
    if not given:
        return made
    steps.make_folder(folder)
    copies = [folder / str(number) for number in range(len(given))]
    for copy, data in zip(copies, given.values(), strict=True):
        steps.store(copy, data, flush=False)
    names = "".join(f"{copy.as_posix()}\n" for copy in copies).encode("utf-8", "surrogateescape")
    out = place.git.run(place.top, "hash-object", "-w", "--no-filters", "--stdin-paths", stdin=names).out
    made.update(zip(given, out.decode().split(), strict=True))
    for copy in copies:
        steps.remove(copy)
    _require_same(given, made)
    return made


def _require_same(given: Mapping[str, bytes], made: Ids) -> None:
    for path, data in given.items():
        if object_name(data, "blob", len(made[path] or "")) != made[path]:
            raise NotRecorded(f"git stored {path} not as given.", "Repeat; nothing was recorded.", (path,))


def _refuse_edits(place: Place, before: Ids, made: Ids, behind: follow.Behind) -> None:
    like = next((blob for blob in (*made.values(), *before.values()) if blob), "")
    staged = index.entries(place, before.keys())
    edited = []
    for path, blob in before.items():
        unharmed = {blob, made[path], *behind.get(path, ())}
        if working_id(place, path, like) not in unharmed or staged.get(path) not in unharmed:
            edited.append(path)
    if edited:
        raise EditedByHand(
            f"Changed by hand since recorded: {', '.join(edited)}. Nothing was recorded, nothing is lost.",
            "Move your version aside, or take the recorded one back with: git checkout HEAD -- FILE",
            tuple(edited),
        )


def _commit(place: Place, tree: str, parent: str | None, text: str, env: Mapping[str, str]) -> str:
    settings, sign = signing(place)
    parents = ("-p", parent) if parent else ()
    asked = ("commit-tree", *sign, *parents, "-F", "-", tree)
    done = place.git.run(place.top, *asked, stdin=text.encode(), settings=settings, extra=env)
    return done.out.decode().strip()


def _flush_objects(place: Place, ids: Sequence[str]) -> None:
    objects = place.common / "objects"
    for folder in sorted({objects / name[:2] for name in ids}):
        place.git.steps.flush(folder)
    place.git.steps.flush(objects)


def _move(place: Place, head: heads.Head, note: Note, subject: str) -> None:
    notes.put(place, note)
    try:
        heads.move(place, head, note.commit, subject)
    except (OSError, StoreError):
        if not _has_moved(place, note):
            notes.drop(place, note)
            raise
    try:
        heads.flush(place, head)
    except OSError as error:
        raise NotFlushed(
            f"Recorded as {note.commit[:12]}, and the disk did not confirm it: {error}.",
            "Do not switch off; look at the disk, then run asleft verify.",
        ) from error


def _has_moved(place: Place, note: Note) -> bool:
    try:
        return heads.newest(place) == note.commit
    except (OSError, StoreError) as error:
        raise NotFlushed(
            f"Whether {note.commit[:12]} was recorded cannot be told: {error}.",
            "Look at the disk, then see: asleft history",
        ) from error
