"""The result of a comparison. Every key of either side stands in exactly one list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from asleft.record import Value
from asleft.vocabulary import Parameter, vocabulary


class Change(NamedTuple):
    """A key whose value differs. ``parts`` says what was added, removed or moved in a list or set."""

    key: str
    old: Value
    new: Value
    parts: tuple[str, ...] = ()

    @property
    def parameter(self) -> Parameter:
        """What the trade knows of it."""
        return vocabulary()[self.key]


class Undecided(NamedTuple):
    """A key on which the two sides cannot be held against each other, and why."""

    key: str
    why: str
    old: Value | None = None
    new: Value | None = None


class NotRead(NamedTuple):
    """A key with no value on one side or on both: ``side`` is ``old``, ``new`` or ``both``."""

    key: str
    side: str
    why: str
    other: Value | None = None


@dataclass(frozen=True, slots=True)
class Comparison:
    """``changes`` holds class *setting* only; the other classes have lists of their own.

    ``alike`` counts the keys that hold the same value on both sides. ``one_sided`` are keys that one of the
    two models lacks. ``native`` are entries without neutral meaning that differ, by native id. ``notes``
    are what a person should know beside a key, wherever it stands.
    """

    changes: tuple[Change, ...] = ()
    other_classes: Mapping[str, tuple[Change, ...]] = field(default_factory=dict)
    same_in_effect: tuple[Undecided, ...] = ()
    dormant: tuple[Undecided, ...] = ()
    cannot_tell: tuple[Undecided, ...] = ()
    not_read: tuple[NotRead, ...] = ()
    one_sided: tuple[NotRead, ...] = ()
    native: Mapping[str, tuple[str | None, str | None]] = field(default_factory=dict)
    alike: int = 0
    notes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def is_clean(self) -> bool:
        """No setting differs and nothing without meaning differs."""
        return not (self.changes or self.dormant or self.native)
