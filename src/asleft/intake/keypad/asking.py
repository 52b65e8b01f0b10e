"""Questions beside the entries: yes or no, and why something was not read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.screen import wrapped

End = Literal["", "stopped", "finished"]
WHY_NOT = (
    "not shown at this access level",
    "not found in the menus",
    "could not be made out on the display",
)


@dataclass(frozen=True, slots=True)
class Reply:
    """What one typed line led to: lines to show, answers to keep, and whether the guide has come to an end.

    ``refused`` lines did not do what was typed.
    """

    lines: tuple[str, ...] = ()
    answers: tuple[Answer, ...] = ()
    end: End = ""
    refused: bool = False


@dataclass(frozen=True, slots=True)
class YesOrNo:
    """``yes`` and ``no`` are called with the answer; any other line goes to ``other``."""

    question: str
    yes: Callable[[], Reply]
    no: Callable[[], Reply]
    other: Callable[[str], Reply]

    @property
    def prompt(self) -> tuple[str, ...]:
        """The lines that ask."""
        *before, last = wrapped([self.question])
        return (*before, f"{last} yes or no > ")

    def take(self, line: str) -> Reply:
        """The answer. An empty line is none: a key pressed twice confirms nothing."""
        word = line.strip().lower()
        if word in ("yes", "y"):
            return self.yes()
        if word in ("no", "n"):
            return self.no()
        return self.other(line) if word else Reply(("Type yes or no.",), refused=True)


@dataclass(frozen=True, slots=True)
class Why:
    """Why something was not read: one of three by number, or a text of one's own. ``back`` gives it up."""

    question: str
    then: Callable[[str], Reply]
    give_up: Callable[[], Reply]

    @property
    def prompt(self) -> tuple[str, ...]:
        """The lines that ask."""
        offered = [f"  {place} {reason}" for place, reason in enumerate(WHY_NOT, 1)]
        return (*wrapped([self.question]), *offered, "Number, or the reason in your words > ")

    def take(self, line: str) -> Reply:
        """The reason."""
        text = line.strip()
        if text.lower() in ("back", "/back"):
            return self.give_up()
        if text in map(str, range(1, len(WHY_NOT) + 1)):
            return self.then(WHY_NOT[int(text) - 1])
        if not any(letter.isalpha() for letter in text):
            return Reply(("Type a number from 1 to 3, or a reason.",), refused=True)
        return self.then(text)
