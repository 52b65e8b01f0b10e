"""Commits as they are read back, with the paths each of them touched."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone

from asleft.store.errors import Damaged
from asleft.store.message import Pairs, split

FORMAT = "--format=tformat:%H%x00%P%x00%an%x00%ae%x00%ad%x00%cd%x00%B%x00"
_FIELDS = 7


@dataclass(frozen=True, slots=True)
class Touched:
    """A path a commit changed, with the blob ids before and after (None: not there)."""

    path: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Commit:
    """One entry of the record. `at` is the author's time, `committed` the time it was recorded.

    `touched` holds the paths asked for; for a merge, only those it left unlike every parent.
    """

    id: str
    at: datetime
    committed: datetime
    author: str
    email: str
    subject: str
    body: str
    trailers: Pairs
    parents: tuple[str, ...]
    touched: tuple[Touched, ...] = ()

    def trailer(self, key: str) -> str | None:
        """The last value of a trailer, or None."""
        return next((v for k, v in reversed(self.trailers) if k == key), None)


def parse_log(out: bytes) -> Iterator[Commit]:
    """Commits from `log --raw -z` in FORMAT with raw dates. Errors: Damaged."""
    tokens = out.decode("utf-8", "surrogateescape").split("\0")
    place = 0
    while place + _FIELDS < len(tokens):
        fields = tokens[place : place + _FIELDS]
        place += _FIELDS
        # The format's own end, which git writes twice after a merge; then each touched path as two fields.
        while place < len(tokens) and not tokens[place]:
            place += 1
        touched = []
        while place + 1 < len(tokens) and tokens[place].lstrip("\n").startswith(":"):
            touched.append(_touched(tokens[place].lstrip("\n"), tokens[place + 1]))
            place += 2
        yield _commit(fields, tuple(touched))


def parse_raw(out: bytes) -> tuple[Touched, ...]:
    """Touched paths from `diff-tree --raw -z`."""
    tokens = out.decode("utf-8", "surrogateescape").split("\0")
    return tuple(_touched(tokens[i], tokens[i + 1]) for i in range(0, len(tokens) - 1, 2))


def _touched(raw: str, path: str) -> Touched:
    # ":mode mode id id status", and for a merge one more colon, mode and id for each further parent.
    parents = len(raw) - len(raw.lstrip(":"))
    ids = raw.split(" ")[parents + 1 :]
    return Touched(path, _or_none(ids[0]), _or_none(ids[parents]))


def _or_none(blob: str) -> str | None:
    return None if not blob.strip("0") else blob


def _commit(fields: list[str], touched: tuple[Touched, ...]) -> Commit:
    commit, parents, author, email, at, committed, text = fields
    commit = commit.lstrip("\n")
    subject, body, trailers = split(text)
    return Commit(
        id=commit,
        at=_time(at, commit),
        committed=_time(committed, commit),
        author=author,
        email=email,
        subject=subject,
        body=body,
        trailers=trailers,
        parents=tuple(parents.split()),
        touched=touched,
    )


def _time(raw: str, commit: str) -> datetime:
    try:
        seconds, zone = raw.split(" ")
        minutes = int(zone[-4:-2]) * 60 + int(zone[-2:])
        minutes = -minutes if zone.startswith("-") else minutes
        where = timezone(timedelta(minutes=minutes)) if abs(minutes) < 24 * 60 else UTC
        return datetime.fromtimestamp(int(seconds), where)
    except (ValueError, OverflowError, OSError) as error:
        raise Damaged(
            f"Commit {commit[:12]} has no readable time ({raw!r}).", "Run asleft verify for the whole list."
        ) from error
