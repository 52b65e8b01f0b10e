"""Which parameters have computed effects: ``python -m asleft.explain.coverage`` prints the table.

A parameter counts as computed where another setting, the plate, the machine or a link enters the result.
"""

from __future__ import annotations

import sys
from importlib import import_module
from typing import NamedTuple

from asleft.explain.registry import EFFECTS
from asleft.vocabulary import vocabulary


class Covered(NamedTuple):
    """One parameter by its row, and what is computed of a change, in words; none where nothing is."""

    row: str
    effects: tuple[str, ...]


def coverage() -> tuple[Covered, ...]:
    """Every row of the vocabulary in its order."""
    rows = dict.fromkeys(parameter.row for parameter in vocabulary().parameters.values())
    return tuple(Covered(row, tuple(_what(name) for name in EFFECTS.get(row, ()))) for row in rows)


def _what(name: str) -> str:
    module, _, function = name.partition(".")
    found = getattr(import_module(f"asleft.explain.effects.{module}"), function)
    return str(found.__doc__).partition("\n")[0].rstrip(".")


def table() -> str:
    """The table in Markdown, with the count above it."""
    covered = coverage()
    computed = sum(1 for one in covered if one.effects)
    lines = [f"{computed} of {len(covered)} parameters have computed effects.", ""]
    lines += ["| Parameter | Computed of a change |", "|---|---|"]
    lines += [f"| `{one.row}` | {'; '.join(one.effects) or '–'} |" for one in covered]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    sys.stdout.write(table())
