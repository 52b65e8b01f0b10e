"""Blocks on a terminal, through rich: wrapped to its width, with tone as colour beside the words."""

from __future__ import annotations

from typing import IO

from asleft.documents.blocks import Line, Sheet

_STYLES = {"": "", "head": "bold", "alarm": "bold red", "warn": "yellow", "good": "green", "dim": "dim"}


def show(sheet: Sheet, stream: IO[str], color: bool) -> None:
    """Write the sheet to a terminal."""
    from rich.console import Console
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    console = Console(file=stream, no_color=not color, highlight=False, emoji=False, markup=False)
    for block in sheet:
        if isinstance(block, Line):
            console.print(Padding(Text(block.text, style=_STYLES[block.tone]), (0, 0, 0, 4 * block.depth)))
            continue
        table = Table(box=None, pad_edge=False, header_style="bold", padding=(0, 2, 0, 0))
        for name in block.head:
            table.add_column(name, overflow="fold")
        for row in block.rows:
            table.add_row(*(Text(cell) for cell in row))
        console.print(table)
