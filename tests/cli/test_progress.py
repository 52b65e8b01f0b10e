"""Progress: nothing within the first second, then a bar on a terminal, and lines now and then in a log."""

from __future__ import annotations

import io
from collections.abc import Callable

from asleft.cli.progress import progress
from asleft.cli.session import Session


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def _ticking(*moments: float) -> Callable[[], float]:
    held = iter(moments)
    return lambda: next(held)


def _shown(err: io.StringIO, *moments: float) -> str:
    with progress(Session(err=err), "Reading", _ticking(*moments)) as watch:
        watch(1, 10)
        watch(5, 10)
    return err.getvalue()


def test_short_work_says_nothing() -> None:
    assert _shown(_Terminal(), 0.0, 0.1, 0.9) == ""


def test_a_terminal_gets_a_bar_and_its_line_back() -> None:
    shown = _shown(_Terminal(), 0.0, 0.5, 1.5, 1.5)
    assert shown.startswith("\rReading [###############") and shown.endswith("5 of 10\n")


def test_a_log_gets_a_line() -> None:
    assert _shown(io.StringIO(), 0.0, 0.5, 1.5, 1.5) == "Reading: 5 of 10\n"
