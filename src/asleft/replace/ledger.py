"""What becomes of each entry of a record on another unit: exactly one row an entry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from asleft.record import ParameterSet, Value

Outcome = Literal["copied", "converted", "rounded", "slot", "not_copied", "identify", "decide", "not_read"]
OUTCOMES: Mapping[Outcome, str] = {
    "copied": "copied as it stands",
    "converted": "converted; the sum is shown",
    "rounded": "rounded to this unit's steps; the error is shown",
    "slot": "set by the slot",
    "not_copied": "not copied; the reason is shown",
    "identify": "measured again at this unit",
    "decide": "cannot be entered here: decide",
    "not_read": "not read: the record does not know it",
}


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One entry of the record. ``key`` is neutral, or a native id for what has no neutral meaning.

    ``sum`` shows the conversion, ``error`` what rounding leaves, in words with units. ``natives`` are the
    ids it goes to, ``steps`` the numbers of the steps that enter it; none where it already stands.
    """

    key: str
    outcome: Outcome
    why: str
    value: Value | None = None
    sum: str = ""
    error: str = ""
    natives: tuple[str, ...] = ()
    steps: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Option:
    """A value this unit can hold instead, what it means, and what the rules say of it where asked."""

    value: Value
    words: str
    breached: tuple[str, ...] = ()
    met: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Decision:
    """What cannot be entered as recorded, and what a person has to weigh.

    ``holds`` is what the unit does instead, None where it has nothing of the kind. ``breached`` are the rules
    broken by what it holds. ``remedy`` is what can be done beside accepting it. ``along`` are keys that mean
    nothing without this one and are decided with it.
    """

    key: str
    wanted: Value
    holds: Value | None
    reason: str
    consequence: str
    options: tuple[Option, ...] = ()
    remedy: str = ""
    breached: tuple[str, ...] = ()
    along: tuple[str, ...] = ()


@dataclass
class Books:
    """The ledger while it is written."""

    rows: dict[str, LedgerRow] = field(default_factory=dict)
    decisions: dict[str, Decision] = field(default_factory=dict)

    def enter(self, row: LedgerRow) -> None:
        """Write a row; an entry has one row and only one."""
        if row.key in self.rows:
            raise ValueError(f"{row.key} already stands in the ledger")
        self.rows[row.key] = row

    def decide(self, decision: Decision, natives: tuple[str, ...] = ()) -> None:
        """Write a decision and its row."""
        self.enter(LedgerRow(decision.key, "decide", decision.reason, decision.wanted, natives=natives))
        self.decisions[decision.key] = decision


def entries_of(parameters: ParameterSet) -> tuple[str, ...]:
    """Names of all entries of a set: read, not read, and without neutral meaning. One ledger row each."""
    return (*parameters.values, *parameters.not_read, *parameters.native)
