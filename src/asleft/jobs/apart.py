"""Readings of one asset that two people recorded apart, each without the other's, until a merge joined them.

Of such readings neither follows the other: only the times people gave tell which was read later.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import combinations
from typing import NamedTuple, TypeAlias

from asleft.compare import Side, compare
from asleft.jobs.record import KINDS, Record, Recorded
from asleft.store import Joint

Sides: TypeAlias = tuple[tuple[Recorded, ...], tuple[Recorded, ...]]


class Apart(NamedTuple):
    """The readings of both sides, oldest first, the commit that joined them, and when.

    ``differ`` counts the settings in which the newest readings of the two sides differ.
    """

    sides: Sides
    commit: str
    joined: datetime
    differ: int

    @property
    def people(self) -> tuple[str, str]:
        """Who recorded on each side."""
        one, other = (", ".join(dict.fromkeys(read.reading.by for read in side)) for side in self.sides)
        return one, other

    def has(self, one: Recorded) -> bool:
        """Whether a reading is of one of the sides."""
        return any(one in side for side in self.sides)

    def holds(self, one: Recorded, other: Recorded) -> bool:
        """Whether the two were recorded apart here."""
        first, second = self.sides
        return (one in first and other in second) or (one in second and other in first)


def apart(record: Record, tag: str) -> tuple[Apart, ...]:
    """What of an asset was recorded apart, by the time of joining. Raises ``Refused``."""
    if not record.has_merges:
        return ()
    tag = record.tag(tag)
    readings = [one for one in record.readings(tag) if one.reading.kind != "planned"]
    joints = record.store.joints([f"assets/{tag}/{kind}.toml" for kind in KINDS])
    found = {_name(sides): (sides, joint) for sides, joint in _pairs(readings, joints)}
    made = [_told(record, sides, joint) for sides, joint in found.values()]
    return tuple(sorted(made, key=lambda one: one.joined))


def _name(sides: Sides) -> tuple[frozenset[str], ...]:
    return tuple(frozenset(one.commit for one in side) for side in sides)


def _pairs(readings: Sequence[Recorded], joints: Sequence[Joint]) -> Iterator[tuple[Sides, Joint]]:
    """Both sides of every merge that has readings on both; newest merge first, so that the first one made of
    the same two sides counts."""
    for joint in reversed(joints):
        for one, other in combinations(joint.sides, 2):
            first = tuple(read for read in readings if read.commit in one - other)
            second = tuple(read for read in readings if read.commit in other - one)
            if first and second:
                older, newer = sorted((first, second), key=lambda side: side[0].rank)
                yield (older, newer), joint


def _told(record: Record, sides: Sides, joint: Joint) -> Apart:
    one, other = (Side(side[-1].set, record.model_of(side[-1].set)) for side in sides)
    differ = len(compare(one, other).changes)
    return Apart(sides, joint.commit, joint.at.astimezone(record.site.zone), differ)


def followed(one: Recorded, readings: Sequence[Recorded], found: Sequence[Apart]) -> Recorded | None:
    """The last of some readings, oldest first, that one follows: recorded apart, none follows the other."""
    for other in reversed(readings):
        if other.rank < one.rank and not any(join.holds(one, other) for join in found):
            return other
    return None


def pairs_of(readings: Sequence[Recorded], found: Sequence[Apart]) -> Iterator[tuple[Recorded, Recorded]]:
    """Each reading with the one it follows, where there is one."""
    for place, one in enumerate(readings):
        if (before := followed(one, readings[:place], found)) is not None:
            yield before, one
