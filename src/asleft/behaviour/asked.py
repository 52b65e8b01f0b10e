"""Whether an evaluation asked a configuration for anything in which it differs from another one.

An evaluation that did not is the same on both: what it came to on the one holds for the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, Final, cast

from asleft.behaviour.config import DriveConfig

_DIFFERS: Final = object()


@dataclass(slots=True)
class Asked:
    """``differing``: something was asked for in which the two configurations differ."""

    differing: bool = False


class _KeepsNothing(dict[Any, Any]):
    """In place of what a part has worked out before: each answer is asked for anew, and so noted."""

    def __setitem__(self, key: Any, value: Any) -> None:
        pass


class _StandIn:
    """Answers as one part of a configuration does, and notes when it is asked for what differs."""

    def __init__(self, part: Any, other: Any, asked: Asked) -> None:
        self._part, self._asked = part, asked
        for name, one, two in _parts(part, other) or ():
            mine = _alike(one, two, asked)
            if mine is not _DIFFERS:
                setattr(self, name, mine)
        for f in fields(part):
            if not f.compare:
                setattr(self, f.name, _KeepsNothing())

    def __getattr__(self, name: str) -> Any:
        """Reached for what differs, which is noted, and for what the part works out from its fields."""
        if name in self._part.__dataclass_fields__:
            self._asked.differing = True
            return getattr(self._part, name)
        return getattr(type(self._part), name).__get__(self)


def standing_in(config: DriveConfig, other: DriveConfig, asked: Asked) -> DriveConfig:
    """A configuration that notes in ``asked`` when it is asked for what is different in ``other``."""
    return config if config == other else cast(DriveConfig, _StandIn(config, other, asked))


def apart(one: Any, two: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The paths to everything in which two configurations differ."""
    if one == two:
        return
    parts = _parts(one, two)
    if parts is None:
        yield path
    for name, mine, other in parts or ():
        yield from apart(mine, other, (*path, name))


def _parts(one: Any, two: Any) -> list[tuple[Any, Any, Any]] | None:
    """Name, part of the one, part of the other; None where they are not made of the same parts."""
    if is_dataclass(one) and type(one) is type(two):
        return [(f.name, getattr(one, f.name), getattr(two, f.name)) for f in fields(one) if f.compare]
    if isinstance(one, Mapping) and list(one) == list(two):
        return [(name, part, two[name]) for name, part in one.items()]
    return None


def _alike(one: Any, two: Any, asked: Asked) -> Any:
    """The part itself where both are alike, or what stands in for it; _DIFFERS where nothing can."""
    if one == two:
        return one
    parts = _parts(one, two)
    if parts is None:
        return _DIFFERS
    if is_dataclass(one):
        return _StandIn(one, two, asked)
    stood = {name: _alike(mine, other, asked) for name, mine, other in parts}
    return _DIFFERS if _DIFFERS in stood.values() else stood
