"""Readings recorded apart and joined later: said plainly, with what their order rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from asleft.documents.blocks import Block, Line, count
from asleft.jobs.apart import Apart
from asleft.jobs.record import Recorded
from asleft.record.days import plain_date, plain_time


def lines(found: Sequence[Apart], depth: int) -> Iterator[Block]:
    """Who recorded without whom, until when, and what that leaves open."""
    for one in found:
        yield Line(f"{_who(one)}:", "warn", depth)
        for side in one.sides:
            yield Line(f"{side[0].reading.by}: {'; '.join(_read(read) for read in side)}.", depth=depth + 1)
        yield Line(_open(one), depth=depth + 1)


def _who(one: Apart) -> str:
    return f"Recorded apart by {_people(one)}, joined on {plain_date(one.joined)}"


def _people(one: Apart) -> str:
    first, second = one.people
    return f"{first} and {second}" if first != second else f"{first}, in two copies of the record"


def _read(one: Recorded) -> str:
    return f"{one.reading.kind.replace('_', ' ')} {plain_time(one.at)}, {one.reading.occasion}"


def _open(one: Apart) -> str:
    number = count(one.differ, "setting")
    differ = f"their last readings differ in {number}" if one.differ else "their last readings agree"
    sure = " To be sure what stands, read the drive again." if one.differ else ""
    return f"Neither knew of the other's; only the times they gave tell which came later, and {differ}.{sure}"


def short(tag: str, found: Sequence[Apart]) -> Iterator[str]:
    """The same in one sentence, where nothing read since has settled it."""
    for one in found:
        yield f"{tag} was recorded apart by {_people(one)}: which stood last, their times alone tell."


def data(found: Sequence[Apart]) -> list[dict[str, Any]]:
    """The same for machines."""
    return [
        {
            "joined": one.joined.isoformat(),
            "commit": one.commit,
            "differ": one.differ,
            "sides": [
                {"by": people, "readings": [read.commit for read in side]}
                for people, side in zip(one.people, one.sides, strict=True)
            ],
        }
        for one in found
    ]


def mark(one: Recorded, found: Sequence[Apart]) -> str:
    """A word beside a reading that was recorded apart; nothing for others."""
    joins = [join for join in found if join.has(one)]
    return f"RECORDED APART, joined {plain_date(joins[0].joined)}." if joins else ""
