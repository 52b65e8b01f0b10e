"""Blocks as Markdown, for a report or a message."""

from __future__ import annotations

from asleft.documents.blocks import Line, Rows, Sheet


def render(sheet: Sheet) -> str:
    """The whole sheet."""
    return "\n".join(_block(block) for block in sheet).strip("\n") + "\n"


def _block(block: Line | Rows) -> str:
    if isinstance(block, Rows):
        lines = [block.head, tuple("---" for _ in block.head), *block.rows]
        return "\n" + "\n".join("| " + " | ".join(map(_escaped, row)) + " |" for row in lines) + "\n"
    if block.tone == "head":
        return f"\n## {_escaped(block.text)}\n"
    if not block.text:
        return ""
    if block.depth:
        return "  " * (block.depth - 1) + f"- {_escaped(block.text)}"
    return f"\n{_escaped(block.text)}"


def _escaped(text: str) -> str:
    for sign in "\\`*_|<":
        text = text.replace(sign, "\\" + sign)
    return text
