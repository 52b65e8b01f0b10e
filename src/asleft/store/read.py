"""Reading the record: in few git calls, from the objects alone, never from the work tree."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from asleft.store.commits import FORMAT, Commit, Touched, parse_log, parse_raw
from asleft.store.errors import BadText, Damaged, NotInRecord, StoreError
from asleft.store.objects import Object, read_objects
from asleft.store.paths import checked, revision, working_id
from asleft.store.place import Place
from asleft.store.steps import Done

_RAW = ("--raw", "--no-abbrev", "--no-renames", "--no-ext-diff", "--no-textconv", "-z")


def commit_id(place: Place, at: str) -> str:
    """The commit a point in history names. Errors: NotInRecord, BadText."""
    done = place.git.run(
        place.top, "rev-parse", "--quiet", "--verify", f"{revision(at)}^{{commit}}", ok=(0, 1, 128)
    )
    if done.code:
        raise NotInRecord(f"The record has no point {at!r}.", "See: asleft history")
    return done.out.decode().strip()


def _ask(place: Place, points: Sequence[str], *args: str, stdin: bytes = b"") -> Done:
    try:
        return place.git.run(place.top, *args, stdin=stdin)
    except StoreError:
        # git's words for a point that never was and for one that is lost are the same.
        for at in points:
            commit_id(place, at)
        raise


def listing(place: Place, at: str, under: str) -> dict[str, str]:
    """Path to blob id of every plain file in `under` ("" for the whole site)."""
    only = ("--", "/".join(checked(under))) if under else ()
    done = _ask(place, (at,), "ls-tree", "-r", "-z", "--full-tree", revision(at), *only)
    found = {}
    for line in filter(None, done.out.decode("utf-8", "surrogateescape").split("\0")):
        head, path = line.split("\t", 1)
        mode, _, blob = head.split(" ")
        if mode in ("100644", "100755"):
            found[path] = blob
    return found


def blob_id(place: Place, path: str, at: str) -> str | None:
    """The blob id of a path, None where the record does not hold it there."""
    return listing(place, at, path).get(path)


def read_many(place: Place, wanted: Sequence[tuple[str, str]]) -> list[bytes | None]:
    """The bytes of each (point, path), None where the record has no such file there.

    Errors: NotInRecord, Damaged.
    """
    names = [f"{revision(at)}:{'/'.join(checked(path))}" for at, path in wanted]
    found = read_objects(place, names)
    absent = [pair for pair, blob in zip(wanted, found, strict=True) if blob is None]
    _require_absent(place, absent)
    return [blob.data if blob and blob.kind == "blob" else None for blob in found]


def _require_absent(place: Place, pairs: Collection[tuple[str, str]]) -> None:
    # A blob that is lost looks to git's batch reader like a path that never was.
    for at in {at for at, _ in pairs}:
        held = listing(place, commit_id(place, at), "")
        lost = next((path for where, path in pairs if where == at and path in held), None)
        if lost is not None:
            raise Damaged(f"The record of {lost} cannot be read.", "Run asleft verify.", (lost,))


def read_blobs(place: Place, blobs: Sequence[str]) -> list[bytes]:
    """The bytes of blobs by id. Errors: NotInRecord where there is no such blob."""
    for blob in blobs:
        if len(blob) not in (40, 64) or set(blob) - set("0123456789abcdef"):
            raise BadText(f"{blob!r} is no blob id.", "Give the whole id, 40 or 64 digits.")
    return [_bytes(name, blob) for name, blob in zip(blobs, read_objects(place, blobs), strict=True)]


def _bytes(name: str, blob: Object | None) -> bytes:
    if blob is None or blob.kind != "blob":
        raise NotInRecord(f"The record holds no file contents {name[:12]}.", "Run asleft verify.")
    return blob.data


def history(place: Place, paths: Iterable[str], at: str, limit: int | None) -> list[Commit]:
    """The commits that touched any of `paths` (files or folders; none: all), newest first.

    Both sides of a merge are in it; a merge itself only where it left a path unlike every parent.
    """
    names = ["/".join(checked(path)) for path in paths]
    asked = "\n".join([revision(at), "--", *names]) + "\n"
    only = (f"--max-count={limit}",) if limit is not None else ()
    options = ("--full-history", "--diff-merges=combined", "--date=raw", "--no-mailmap", FORMAT)
    done = _ask(place, (at,), "log", *_RAW, *options, *only, "--stdin", stdin=asked.encode())
    return [c for c in parse_log(done.out) if c.touched or len(c.parents) < 2]


def has_merges(place: Place) -> bool:
    """Whether anything of the record was ever merged."""
    done = place.git.run(place.top, "rev-list", "--min-parents=2", "--max-count=1", "HEAD")
    return bool(done.out.strip())


@dataclass(frozen=True, slots=True)
class Joint:
    """A merge of lines that both touched some paths: its commit, when it was made, and what each of its
    parents held of the commits that touched them."""

    commit: str
    at: datetime
    sides: tuple[frozenset[str], ...]


def joints(place: Place, paths: Iterable[str], at: str) -> list[Joint]:
    """The merges of lines that touched any of `paths`, oldest first."""
    names = ["/".join(checked(path)) for path in paths]
    asked = "\n".join([revision(at), "--", *names]) + "\n"
    options = ("--full-history", "--simplify-merges", "--topo-order", "--reverse", "--parents", "--timestamp")
    done = _ask(place, (at,), "rev-list", *options, "--stdin", stdin=asked.encode())
    held: dict[str, frozenset[str]] = {}
    found = []
    for line in done.out.decode().splitlines():
        seconds, commit, *parents = line.split()
        sides = tuple(held[parent] for parent in parents if parent in held)
        held[commit] = frozenset((commit,)).union(*sides)
        if len(sides) > 1:
            found.append(Joint(commit, datetime.fromtimestamp(int(seconds), UTC), sides))
    return found


def changed(place: Place, old: str, new: str, under: str) -> tuple[Touched, ...]:
    """The paths that differ between two points in history, by path."""
    only = ("--", "/".join(checked(under))) if under else ()
    points = (revision(old), revision(new))
    return parse_raw(_ask(place, points, "diff-tree", "-r", *_RAW, *points, *only).out)


def working_differs(place: Place, paths: Collection[str] | None) -> list[str]:
    """Of `paths` (None: all the record holds), those whose file is not what the newest record holds."""
    recorded = listing(place, "HEAD", "")
    like = next(iter(recorded.values()), "")
    asked = recorded if paths is None else paths
    return [path for path in asked if working_id(place, path, like) != recorded.get(path)]
