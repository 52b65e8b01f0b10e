"""The answer to ``explain``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from asleft.documents.blocks import BLANK, Block, Line, Sheet
from asleft.jobs.explaining import Explanation

_MOST = 6
_MOST_SEE = 12


def blocks(found: Sequence[Explanation]) -> Sheet:
    """The first meanings in full, further ones by name."""
    return (
        *_one(found[0]),
        *(block for one in found[1:_MOST] for block in (BLANK, *_one(one))),
        *_further(found[_MOST:]),
    )


def _one(one: Explanation) -> Iterator[Block]:
    yield Line(one.says)
    yield Line(f"{one.name}: {one.kind}", "head")
    for label, words in one.facts:
        yield Line(f"{label}: {words}", depth=1)
    yield Line(f"source: {one.source}", "dim", 1)
    if one.see:
        more = f" and {len(one.see) - _MOST_SEE} more" if len(one.see) > _MOST_SEE else ""
        yield Line(f"see: {', '.join(one.see[:_MOST_SEE])}{more}", "dim", 1)


def _further(rest: Sequence[Explanation]) -> Iterator[Block]:
    if rest:
        yield BLANK
        yield Line(f"It has {len(rest)} more meanings; ask for one of them:")
        yield from (Line(f"asleft explain {one.name}", depth=1) for one in rest)


def data(found: Sequence[Explanation]) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "meanings": [
            {
                "name": one.name,
                "what": one.kind,
                "says": one.says,
                "source": one.source,
                "facts": [{"label": label, "words": words} for label, words in one.facts],
                "see": list(one.see),
            }
            for one in found
        ]
    }
