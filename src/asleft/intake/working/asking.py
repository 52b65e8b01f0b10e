"""A question in between that takes a line of text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from asleft.intake.keypad.asking import Reply
from asleft.intake.keypad.screen import wrapped


@dataclass(frozen=True, slots=True)
class Asked:
    """``then`` is called with a text of words. ``otherwise`` stands for an empty line; without it one is
    asked for again. ``back`` gives it up, ``stop`` ends the work for now."""

    question: str
    then: Callable[[str], Reply]
    give_up: Callable[[], Reply]
    otherwise: str = ""

    @property
    def prompt(self) -> tuple[str, ...]:
        """The lines that ask."""
        *before, last = wrapped([self.question])
        return (*before, f"{last} > ")

    def take(self, line: str) -> Reply:
        """The answer. Digits alone are none: they could be a code."""
        text = line.strip() or self.otherwise
        if text.lower() in ("back", "/back"):
            return self.give_up()
        if text.lower() in ("stop", "/stop"):
            return Reply(end="stopped")
        if not any(letter.isalpha() for letter in text):
            return Reply(("Type it in words; back gives it up.",), refused=True)
        return self.then(text)
