"""What to heed while a set is tried: once at the top, and beside the steps. Common practice, no source."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from asleft.prove.sheet import Caution, Step

MARKS: Final[dict[Caution, str]] = {
    "turns": "SHAFT TURNS",
    "may turn": "SHAFT MAY TURN",
    "starts by itself": "STARTS BY ITSELF",
    "": "",
}
HANGS: Final = "LOAD MAY FALL"
BEFORE: Final = (
    "The shaft turns in most steps. Keep people clear, guards on, the emergency stop tried and within reach.",
    "SHAFT MAY TURN: it must stay at rest there, and will not if a setting is wrong.",
    "Only the drive is tried: pull-cords, guards, lids and safe torque off are the machine's own circuit.",
    "Before a step that begins in remote or in local: wires back, run contact open, faults reset.",
)

_TOLD: Final[dict[Caution, str]] = {
    "turns": "keep clear.",
    "may turn": "keep clear.",
    "starts by itself": "everybody clear before you do it.",
    "": "",
}


def marks(step: Step) -> tuple[str, ...]:
    """The warnings a step is marked with, in capitals."""
    return tuple(filter(None, (MARKS[step.caution], HANGS if step.hangs else "")))


def told(step: Step) -> Iterator[str]:
    """The warnings of a step as sentences."""
    if step.caution:
        yield f"{MARKS[step.caution]}: {_TOLD[step.caution]}"
    if step.hangs:
        yield f"{HANGS}: nothing hanging on it, nobody below."
