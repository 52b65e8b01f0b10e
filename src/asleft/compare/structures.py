"""What differs inside structured values, found by DeepDiff once the walk knows that they differ."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def list_changes(before: tuple[str, ...], after: tuple[str, ...]) -> tuple[str, ...]:
    """What was added, removed or replaced in a list, in words, in order of place."""
    from deepdiff import DeepDiff

    found = DeepDiff(
        list(before), list(after), view="tree", threshold_to_diff_deeper=0, ignore_private_variables=False
    )
    said: list[tuple[int, str]] = []
    for level in found.get("iterable_item_removed", ()):
        said.append((level.path(output_format="list")[0], f"{level.t1} removed"))
    for level in found.get("iterable_item_added", ()):
        said.append((level.path(output_format="list")[0], f"{level.t2} added"))
    for level in found.get("values_changed", ()):
        said.append((level.path(output_format="list")[0], f"{level.t1} replaced by {level.t2}"))
    return tuple(text for _, text in sorted(said))


def table_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[tuple[str, Any, Any], ...]:
    """Leaves that differ between two plain structures: dotted path, before, after (None: not there)."""
    from deepdiff import DeepDiff

    found = DeepDiff(before, after, view="tree", threshold_to_diff_deeper=0, ignore_private_variables=False)
    rows: list[tuple[str, Any, Any]] = []
    for kind in found:
        for level in found[kind]:
            path = ".".join(str(part) for part in level.path(output_format="list"))
            gone, come = kind.endswith("removed"), kind.endswith("added")
            rows.append((path, None if come else level.t1, None if gone else level.t2))
    return tuple(sorted(rows, key=lambda row: row[0]))
