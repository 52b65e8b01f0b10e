"""What a functional test sheet holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final, Literal

from asleft.behaviour import Coverage
from asleft.prove.stage import Place
from asleft.prove.trial import Measure, Recipe

Caution = Literal["", "turns", "may turn", "starts by itself"]
Load = Literal["any", "empty", "normal"]

LEFT: Final = "as the step before left it"
"""How a step begins that goes on from the one before it."""

LOADS: Final = {"any": "any load", "empty": "empty machine", "normal": "normal load"}


@dataclass(frozen=True, slots=True)
class Draft:
    """A step before it is predicted.

    ``at`` says at what the value is read ("12 mA"), ``cannot`` why nothing is predicted. ``again``: it
    repeats after a replacement. ``supply``: the supply is switched in it. ``note`` goes below it.
    """

    id: str
    topic: str
    start: Place
    words: str
    acts: tuple[str, ...] = ()
    measure: Measure = "outcome"
    of: str = ""
    at: str = ""
    again: bool = False
    load: Load = "any"
    supply: bool = False
    cannot: str = ""
    note: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what to do from where, what is predicted, within what.

    ``value`` and ``tolerance`` are in ``unit``, None where the outcome is no number; ``words`` say what the
    drive does. ``cannot``: why nothing is predicted; then there is neither value nor words. ``hangs``: a load
    may hang on the shaft while it is done.
    """

    number: int
    id: str
    topic: str
    start: str
    words: str
    load: Load
    supply: bool
    value: Decimal | None
    unit: str
    tolerance: Decimal | None
    says: str
    caution: Caution
    again: bool
    recipe: Recipe | None
    at: str = ""
    cannot: str = ""
    note: str = ""
    hangs: bool = False

    @property
    def goes_on(self) -> bool:
        """Whether it starts where the step before it ended."""
        return self.start.startswith(LEFT)

    @property
    def predicted(self) -> str:
        """``45.0 Hz``, or what the drive does, or nothing where nothing is predicted."""
        return self.says if self.value is None else f"{self.value} {self.unit}"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole sheet. ``left_out``: what it does not try, and why. ``inputs``: every input as it starts."""

    steps: tuple[Step, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
    coverage: Coverage
    inputs: Sequence[Any] = field(default_factory=tuple)
