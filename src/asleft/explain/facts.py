"""Computed facts about a change, and what they rest on."""

from __future__ import annotations

from typing import Literal, NamedTuple

Source = Literal["setting", "plate", "motor data", "machine", "link", "reading", "assumed"]


class Input(NamedTuple):
    """One value a fact rests on, as shown, and where it comes from.

    ``plate`` is the motor's own plate as a person read it, ``motor data`` what is entered in the drive.
    """

    name: str
    shown: str
    source: Source
    digits: int


class Fact(NamedTuple):
    """One effect of a change: its sentence, the value after and before in ``unit``, and its basis.

    ``value`` is None where only words apply or it cannot be told; ``cannot`` then gives the reason.
    ``grave`` lifts the change in the order; ``instead`` takes the place of the general consequence;
    ``idle`` says that the change does nothing today, ``turned`` that
    this change alone would do the opposite.
    """

    name: str
    words: str
    value: float | None = None
    before: float | None = None
    unit: str = ""
    basis: tuple[Input, ...] = ()
    estimate: bool = False
    grave: bool = False
    instead: bool = False
    idle: bool = False
    turned: bool = False
    whole: bool = False
    cannot: str = ""


class Lacking(Exception):
    """An input is missing; the text says which, ready to follow "cannot tell …:"."""
