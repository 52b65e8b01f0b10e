"""Ask a set in its slot, and keep what could not be answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from asleft.compare import Side
from asleft.explain.facts import Lacking
from asleft.explain.figures import rounded
from asleft.explain.view import View
from asleft.record import Asset

Answer = TypeVar("Answer")


class Asking:
    """One set in its slot. ``unknown`` collects what cannot be told, each with its reason, once."""

    def __init__(self, side: Side, asset: Asset | None) -> None:
        self.view = View(side, asset)
        self.unknown: list[str] = []

    def get(self, what: str, make: Callable[[], Answer]) -> Answer | None:
        """The answer, or None with the reason kept; an empty ``what`` keeps silent."""
        try:
            return make()
        except (Lacking, ValueError) as problem:
            self._keep(what, str(problem))
        except ZeroDivisionError:
            self._keep(what, "a value of zero allows no working out")
        return None

    def _keep(self, what: str, why: str) -> None:
        line = f"Cannot tell {what}: {why}."
        if what and line not in self.unknown:
            self.unknown.append(line)


def round_or_none(value: float | None, unit: str) -> float | None:
    """Rounded as a reader wants it, or None."""
    return None if value is None else rounded(value, unit)
