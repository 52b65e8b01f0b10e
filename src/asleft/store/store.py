"""A site's record: the one object the rest of the house speaks to."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from asleft.store import follow, place, read, settings, upkeep, verify, write
from asleft.store.commits import Commit, Touched
from asleft.store.message import Signed, compose
from asleft.store.place import SITE_FILE, Place
from asleft.store.read import Joint
from asleft.store.runner import Git

ATTRIBUTES = b"*.toml -text\n"


@dataclass(frozen=True, slots=True)
class Store:
    """The record at `place`. Points in history (`at`) are commit ids, branches or HEAD, the newest.

    Every method can raise NoGit, Busy (git too slow), Damaged; `wait` is in seconds.
    """

    place: Place
    wait: float = 10.0

    @property
    def top(self) -> Path:
        """The site's folder."""
        return self.place.top

    @property
    def private(self) -> Path:
        """A folder in the git directory for journals; never recorded, may not exist yet."""
        return self.place.private

    def write(
        self,
        files: Mapping[str, bytes | None],
        subject: str,
        trailers: Sequence[tuple[str, str]] = (),
        *,
        author_name: str,
        author_email: str,
        author_at: datetime,
        committed_at: datetime,
        body: str = "",
        expect: Mapping[str, str | None] | None = None,
    ) -> str | None:
        """Record `files` (path to bytes, None takes a file out) as one commit, durably.

        Returns the commit id, or None where the record holds all of it already. `expect` gives the blob
        ids the caller worked from (None: no such file).

        Errors: Busy, Overtaken, EditedByHand, CannotWriteNow, BadText, NotRecorded, NotFlushed, GitTooOld.
        """
        signed = Signed(author_name, author_email, author_at, committed_at)
        change = write.Change(files, compose(subject, body, trailers), signed, expect or {})
        return write.write(self.place, change, self.wait)

    def heal(self) -> list[str]:
        """Bring along what an interrupted write left behind, and say so; see `follow.heal`."""
        return follow.heal(self.place, min(self.wait, 1.0))

    def head(self) -> str:
        """The newest commit's id."""
        return read.commit_id(self.place, "HEAD")

    def blob_id(self, path: str, at: str = "HEAD") -> str | None:
        """The blob id of a path, None where it is not held there. Errors: NotInRecord."""
        return read.blob_id(self.place, path, at)

    def read(self, path: str, at: str = "HEAD") -> bytes | None:
        """The bytes of a path, None where it is not held there. Errors: NotInRecord."""
        return read.read_many(self.place, [(at, path)])[0]

    def read_many(self, wanted: Sequence[tuple[str, str]]) -> list[bytes | None]:
        """The bytes of each (at, path), in one git call. Errors: NotInRecord."""
        return read.read_many(self.place, wanted)

    def read_blob(self, blob: str) -> bytes:
        """The bytes of a blob by its whole id. Errors: NotInRecord."""
        return read.read_blobs(self.place, [blob])[0]

    def read_blobs(self, blobs: Sequence[str]) -> list[bytes]:
        """The bytes of many blobs, in one git call. Errors: NotInRecord."""
        return read.read_blobs(self.place, blobs)

    def paths(self, at: str = "HEAD", under: str = "") -> dict[str, str]:
        """Path to blob id of every file in a folder ("" for the whole site). Errors: NotInRecord."""
        return read.listing(self.place, at, under)

    def history(self, paths: Iterable[str], at: str = "HEAD", limit: int | None = None) -> list[Commit]:
        """The commits that touched any of `paths` (files or folders; none: all), newest first."""
        return read.history(self.place, paths, at, limit)

    def has_merges(self) -> bool:
        """Whether anything of the record was ever merged."""
        return read.has_merges(self.place)

    def joints(self, paths: Iterable[str], at: str = "HEAD") -> list[Joint]:
        """The merges of lines that both touched any of `paths`, oldest first, with each line's commits."""
        return read.joints(self.place, paths, at)

    def changed(self, old: str, new: str = "HEAD", under: str = "") -> tuple[Touched, ...]:
        """The paths that differ between two points in history. Errors: NotInRecord."""
        return read.changed(self.place, old, new, under)

    def working_differs(self, paths: Collection[str] | None = None) -> list[str]:
        """Of `paths` (None: all recorded), those whose file differs from the newest record."""
        return read.working_differs(self.place, paths)

    def verify(self, check: verify.Check | None = None) -> list[verify.Problem]:
        """Everything wrong with the record; `check(path, bytes)` adds faults of the newest files."""
        return verify.verify(self.place, check)

    def upkeep(self) -> list[str]:
        """Make a large record fast again; what was done, in words."""
        return upkeep.upkeep(self.place)

    def remotes(self) -> tuple[settings.Remote, ...]:
        """Other copies of the record this repository knows. Nothing is contacted."""
        return settings.remotes(self.place)

    def setting(self, section: str, key: str) -> str | None:
        """A value of the repository's own git configuration."""
        return settings.setting(self.place, section, key)

    def set_setting(self, section: str, key: str, value: str | None) -> None:
        """Set a value of the repository's own git configuration; None takes it away."""
        settings.set_setting(self.place, section, key, value)


def find(start: Path, git: Git) -> Store:
    """The record of the site `start` lies in. Errors: NoSite, ForeignRepository, NoGit."""
    return Store(place.find(start, git))


def create(
    folder: Path,
    files: Mapping[str, bytes],
    git: Git,
    *,
    author_name: str,
    author_email: str,
    at: datetime,
    committed_at: datetime | None = None,
    subject: str = "Start the record",
) -> Store:
    """Start a site's record in `folder` with `files` (site.toml among them) as its first commit.

    `at` is the author's time, and the committer's too unless `committed_at` is given. Other files in the
    folder are left alone. An interrupted start is taken up again.
    Errors: AlreadySite, ForeignRepository, EditedByHand (a file stands there otherwise), GitTooOld.
    """
    if SITE_FILE not in files:
        raise ValueError(f"a site starts with {SITE_FILE}")
    git.require_new_enough(Path(folder.anchor or "."))
    store = Store(place.claim(folder, git))
    first = {".gitattributes": ATTRIBUTES, **files}
    store.write(
        first,
        subject,
        author_name=author_name,
        author_email=author_email,
        author_at=at,
        committed_at=committed_at or at,
    )
    return store
