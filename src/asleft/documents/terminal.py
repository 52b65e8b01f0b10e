"""Blocks on a terminal, through rich: wrapped to its width, with tone as colour beside the words."""

from __future__ import annotations

import re
from textwrap import wrap
from typing import IO, TYPE_CHECKING

from asleft.documents.blocks import Line, Rows, Sheet

if TYPE_CHECKING:
    from rich.table import Table

_STYLES = {"": "", "head": "bold", "alarm": "bold red", "warn": "yellow", "good": "green", "dim": "dim"}
_LEAD = re.compile(r" *(?:\d+\. )?")
_GAP = 2
_UNBOUNDED = 100_000


def show(sheet: Sheet, stream: IO[str], color: bool) -> None:
    """Write the sheet to a terminal; to anything else with its colours, neither wrapped nor cut."""
    from rich.console import Console
    from rich.text import Text

    console = Console(
        file=stream,
        color_system="auto" if color else None,
        force_terminal=color or None,
        width=None if stream.isatty() else _UNBOUNDED,
        highlight=False,
        emoji=False,
        markup=False,
    )
    for block in sheet:
        if isinstance(block, Line):
            console.print(Text(wrapped(block, console.width), _STYLES[block.tone]), soft_wrap=True)
        else:
            console.print(_table(block, console.width))


def wrapped(line: Line, width: int) -> str:
    """The paragraph in lines of at most ``width``, those after the first indented like its words."""
    indent = 4 * line.depth
    lead = _LEAD.match(line.text)
    hang = indent + (lead.end() if lead else 0)
    text = " " * indent + line.text
    lines = wrap(text[hang:], max(width - hang, 20), break_long_words=False, break_on_hyphens=False)
    return text[:hang] + f"\n{' ' * hang}".join(lines)


def _table(block: Rows, width: int) -> Table:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="bold", padding=(0, _GAP, 0, 0))
    for name, column_width in zip(block.head, column_widths(block, width), strict=True):
        table.add_column(name, overflow="fold", width=column_width)
    for row in block.rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def column_widths(block: Rows, width: int) -> list[int]:
    """Widths that fill a line at most; no column is narrower than its longest word while all find room."""
    columns = list(zip(block.head, *block.rows, strict=True))
    whole = [max(map(len, column)) for column in columns]
    widths = [max((len(word) for cell in column for word in cell.split()), default=1) for column in columns]
    places = range(len(widths))
    room = max(width - _GAP * (len(widths) - 1), len(widths))
    while sum(widths) > room:
        widths[max(places, key=widths.__getitem__)] -= 1
    while sum(widths) < room and any(widths[place] < whole[place] for place in places):
        widths[max(places, key=lambda place: whole[place] / widths[place])] += 1
    return widths
