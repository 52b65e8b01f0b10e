"""What is defined otherwise in two lists of one drive."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from asleft.documents.blocks import Block, Line, Sheet, count, section

if TYPE_CHECKING:
    from asleft.jobs.definitions import Definitions, ListChanges
    from asleft.replace.definitions import DefinitionChange

MOST = 20


def notes(found: Definitions, beyond: bool = True) -> Iterator[Block]:
    """What matters of the lists, in a line each; ``beyond``: with those that do not cover a firmware."""
    yield from (Line(note, "warn") for note in (*(found.beyond if beyond else ()), *found.notes))


def listed(found: Definitions) -> list[Block]:
    """The changes of a comparison, the first of them."""
    more = len(found.changes) - MOST
    lines = [*_lines(found.changes[:MOST])]
    if more > 0:
        lines.append(Line(f"and {more} more; all of them: asleft model changes OLD NEW", "dim", 1))
    return section(f"Definitions that changed ({len(found.changes)})", lines)


def _lines(changes: Sequence[DefinitionChange]) -> Iterator[Block]:
    yield from (Line(change.words, depth=1) for change in changes)


def definitions_data(found: Definitions) -> dict[str, Any]:
    """The same for machines."""
    return {"notes": [*found.beyond, *found.notes], "changes": [_data(change) for change in found.changes]}


def _data(change: DefinitionChange) -> dict[str, str]:
    return {"id": change.name, "kind": change.kind, "words": change.words}


def blocks(result: ListChanges) -> Sheet:
    """All that two model files define otherwise."""
    total = sum(len(one.changes) for one in result.sized)
    old, new = (" to ".join(dict.fromkeys(ends)) for ends in result.firmware)
    what = count(total, "definition")
    if not result.differs:
        return (Line(f"The two lists define the same; firmware {old}, and {new}.", "good"),)
    return (
        Line(f"{what} changed from {result.old} to {result.new}.", "alarm"),
        Line("Look at each entry below in a unit of the new firmware before trusting an old reading of it."),
        Line(f"Firmware {old} before, {new} now."),
        *section("Sizes that are new", (Line(size, depth=1) for size in result.come)),
        *section("Sizes that are gone", (Line(size, depth=1) for size in result.gone)),
        *(
            block
            for one in result.sized
            for block in section(f"Size {one.size} alone" if one.size else "Entries", _lines(one.changes))
        ),
    )


def data(result: ListChanges) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "old": result.old,
        "new": result.new,
        "firmware": {"old": list(result.firmware[0]), "new": list(result.firmware[1])},
        "changes": [
            {**_data(change), "size": one.size or None} for one in result.sized for change in one.changes
        ],
        "sizes_come": list(result.come),
        "sizes_gone": list(result.gone),
    }
