"""How far a piece of work is, on stderr, once it has taken more than a second."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from asleft.cli.session import Session

_FIRST, _EVERY, _EVERY_LINE = 1.0, 0.2, 10.0
_WIDTH = 30


@contextmanager
def progress(
    session: Session, what: str, clock: Callable[[], float] = time.monotonic
) -> Iterator[Callable[[int, int], None]]:
    """A function to be told how many of how many are done; on a terminal a bar, in a log a line at times."""
    bar = _Bar(session, what, clock)
    try:
        yield bar.watch
    finally:
        bar.end()


class _Bar:
    def __init__(self, session: Session, what: str, clock: Callable[[], float]) -> None:
        self._session, self._what, self._clock = session, what, clock
        self._lively = session.err.isatty()
        self._next = clock() + _FIRST
        self._drawn = False

    def watch(self, done: int, total: int) -> None:
        """Show where the work stands, if it is time."""
        if self._clock() < self._next:
            return
        self._next = self._clock() + (_EVERY if self._lively else _EVERY_LINE)
        share = done / total if total else 1.0
        if self._lively:
            bar = "#" * round(share * _WIDTH)
            self._session.err.write(f"\r{self._what} [{bar:<{_WIDTH}}] {done} of {total}")
            self._session.err.flush()
            self._drawn = True
        else:
            self._session.say(f"{self._what}: {done} of {total}")

    def end(self) -> None:
        """Leave the line free for what follows."""
        if self._drawn:
            self._session.err.write("\n")
