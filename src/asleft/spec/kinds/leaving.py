"""How a drive is left when the work is done: locked, radio off, tests done. Says nothing of a planned set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from asleft.spec.claims import Claims
from asleft.spec.kinds import exact, limit
from asleft.spec.rules import Outcome
from asleft.spec.subject import View
from asleft.spec.table import Table
from asleft.spec.wanted import BOUNDS

FIELDS = tuple(dict.fromkeys((*exact.FIELDS, *limit.FIELDS)))


@dataclass(frozen=True, slots=True)
class Leaving:
    """Claims about a drive as it stands, not about one that is still to be set."""

    claims: Claims

    def judge(self, view: View) -> Iterator[Outcome]:
        """Nothing of a planned set; else as the claims."""
        reading = view.subject.set.reading
        if reading is not None and reading.kind == "planned":
            yield Outcome("not_applicable", words="A planned set has not been left yet.")
            return
        yield from self.claims.judge(view)

    def aloud(self) -> str:
        """``on leaving, …``."""
        return f"on leaving, {self.claims.aloud()}"

    def names(self) -> tuple[str, ...]:
        """Those of the claims."""
        return self.claims.names()


def read(table: Table) -> Leaving | None:
    """Bounds as a limit, else values as an exact rule."""
    body = limit.read(table) if any(name in table for name in BOUNDS) else exact.read(table)
    return None if body is None else Leaving(body)
