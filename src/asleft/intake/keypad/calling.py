"""A line that calls a word of a guide: which one, and what stands behind it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Generic, NamedTuple, Protocol, TypeVar

from asleft.files.value import did_you_mean
from asleft.intake.keypad.asking import Reply

Guided = TypeVar("Guided")
Guided_contra = TypeVar("Guided_contra", contravariant=True)


class Wording(Protocol[Guided_contra]):
    """What any word of a guide has: ``takes`` names what may stand behind it, empty where nothing may."""

    @property
    def run(self) -> Callable[[Guided_contra, str], Reply]:
        """Does what the word says."""

    @property
    def takes(self) -> str:
        """What may stand behind the word."""


class Called(NamedTuple, Generic[Guided]):
    """A word of a guide as typed, with what stands behind it."""

    run: Callable[[Guided, str], Reply]
    argument: str


def called(words: Mapping[str, Wording[Guided]], text: str) -> Called[Guided] | None:
    """The word a line calls, or None where the line is an answer."""
    name, _, argument = text.removeprefix("/").partition(" ")
    word = words.get(name.lower())
    if word is None or (argument and not word.takes):
        return None
    return Called(word.run, argument.strip())


def meant(words: Iterable[str], text: str) -> str:
    """A question naming the word that was meant; empty where none is near."""
    first = text.split(" ")[0].lower()
    return did_you_mean(first, words) if len(first) > 2 and first.isalpha() else ""
