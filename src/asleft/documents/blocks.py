"""What a document is made of, before it becomes text, Markdown or a page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple, TypeAlias

Tone = Literal["", "head", "alarm", "warn", "good", "dim"]


class Line(NamedTuple):
    """One paragraph. ``tone`` adds to the words and never replaces them; ``depth`` indents."""

    text: str
    tone: Tone = ""
    depth: int = 0


class Rows(NamedTuple):
    """A table: ``head`` names the columns, every row has as many cells."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


Block: TypeAlias = Line | Rows
Sheet: TypeAlias = tuple[Block, ...]
BLANK = Line("")


def section(title: str, blocks: Iterable[Block]) -> list[Block]:
    """A titled part with a blank line before it; nothing where it holds nothing."""
    held = list(blocks)
    return [BLANK, Line(title, "head"), *held] if held else []


def rows(head: Sequence[str], body: Iterable[Sequence[str]]) -> list[Block]:
    """A table, or nothing where it has no rows."""
    found = tuple(tuple(row) for row in body)
    return [Rows(tuple(head), found)] if found else []


def count(number: int, one: str, many: str = "") -> str:
    """``1 setting``, ``5 settings``."""
    return f"{number} {one if number == 1 else many or one + 's'}"
