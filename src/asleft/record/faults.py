"""What is wrong with something given to us, said so that a person can mend it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Fault(NamedTuple):
    """One fault: where it stands, what it is, why it matters or what was expected, what to do next.

    ``line`` counts from 1; 0 where no line can be named.
    """

    what: str
    do_next: str
    where: str = ""
    line: int = 0

    def __str__(self) -> str:
        place = f"{self.where}, line {self.line}: " if self.line else f"{self.where}: " if self.where else ""
        return f"{place}{self.what} {self.do_next}".rstrip()


class Refused(Exception):
    """Input that cannot be taken. Carries every fault found; nothing was changed."""

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))
