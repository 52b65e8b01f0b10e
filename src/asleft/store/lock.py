"""The site's lock, in the git directory all work trees share: one writer at a time."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from asleft.store.errors import Busy
from asleft.store.place import Place


@contextmanager
def held(place: Place, seconds: float) -> Iterator[None]:
    """Hold the site's lock. Errors: Busy after `seconds`. A killed holder's lock is free at once."""
    from filelock import FileLock, Timeout

    folder = place.common / "asleft"
    place.git.steps.make_folder(folder)
    lock = FileLock(str(folder / "lock"), poll_interval=0.01)
    try:
        lock.acquire(timeout=seconds)
    except Timeout as late:
        raise Busy(
            f"Another command is writing to this site's record (waited {seconds:g} s).",
            "Repeat when it is done; nothing was recorded.",
        ) from late
    try:
        yield
    finally:
        lock.release()
