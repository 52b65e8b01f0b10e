"""Blocks as plain text: neither wrapped nor cut, for pipes and files."""

from __future__ import annotations

from asleft.documents.blocks import Line, Rows, Sheet


def render(sheet: Sheet) -> str:
    """The whole sheet, lines ending in a newline."""
    return "".join(f"{line}\n" for block in sheet for line in _lines(block))


def _lines(block: Line | Rows) -> list[str]:
    if isinstance(block, Line):
        return [("    " * block.depth + block.text).rstrip()]
    table = [block.head, *block.rows]
    widths = [max(len(row[place]) for row in table) for place in range(len(block.head))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in table
    ]
