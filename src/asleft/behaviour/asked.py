"""Whether an evaluation asked a configuration for anything in which it differs from another one.

An evaluation that did not is the same on both: what it came to on the one holds for the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from types import MemberDescriptorType
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
        for f in fields(part):
            if not f.compare:
                setattr(self, f.name, _KeepsNothing())
                continue
            mine = _alike(getattr(part, f.name), getattr(other, f.name), asked)
            if mine is not _DIFFERS:
                setattr(self, f.name, mine)

    def __getattr__(self, name: str) -> Any:
        """Only what differs is not found here, and what the part works out from its fields."""
        worked_out = getattr(type(self._part), name, None)
        if worked_out is not None and not isinstance(worked_out, MemberDescriptorType):
            return worked_out.__get__(self)
        self._asked.differing = True
        return getattr(self._part, name)


def standing_in(config: DriveConfig, other: DriveConfig, asked: Asked) -> DriveConfig:
    """A configuration that notes in ``asked`` when it is asked for anything that ``other`` has otherwise."""
    return config if config == other else cast(DriveConfig, _StandIn(config, other, asked))


def _alike(one: Any, two: Any, asked: Asked) -> Any:
    """The part itself where both are alike, or what stands in for it; _DIFFERS where nothing can."""
    if one == two:
        return one
    if is_dataclass(one) and type(one) is type(two):
        return _StandIn(one, two, asked)
    if isinstance(one, Mapping) and list(one) == list(two):
        parts = {name: _alike(part, two[name], asked) for name, part in one.items()}
        return _DIFFERS if _DIFFERS in parts.values() else parts
    return _DIFFERS


def apart(one: Any, two: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The paths to everything in which two configurations differ."""
    if one == two:
        return
    if is_dataclass(one) and type(one) is type(two):
        for f in (f for f in fields(one) if f.compare):
            yield from apart(getattr(one, f.name), getattr(two, f.name), (*path, f.name))
    elif isinstance(one, Mapping) and list(one) == list(two):
        for name, part in one.items():
            yield from apart(part, two[name], (*path, name))
    else:
        yield path
