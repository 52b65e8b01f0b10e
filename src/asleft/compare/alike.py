"""Drift over drives that should be alike: a matrix of the settings that differ in effect."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fnmatch import fnmatchcase
from typing import Literal

from asleft.compare.changes import Comparison
from asleft.compare.sides import Side
from asleft.compare.walk import compare
from asleft.record import Value
from asleft.vocabulary import vocabulary

CellState = Literal["same", "outlier", "differs", "allowed", "dormant", "cannot_tell", "not_read", "absent"]
ADDRESSES = ("comms.node_address", "comms.network_address")


@dataclass(frozen=True, slots=True)
class Column:
    """One drive: its reading, the values of its own slot, and the age of the reading in days where known."""

    tag: str
    side: Side
    own: Mapping[str, Value] = field(default_factory=dict)
    age_days: int | None = None


@dataclass(frozen=True, slots=True)
class Cell:
    """A setting of one drive. ``differs`` stands where no value has the majority, ``allowed`` where the
    slot's own value or a declared pattern permits the difference."""

    state: CellState
    value: Value | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One setting over all drives. ``reference`` is the value most drives hold, or the named drive's; None
    where neither decides. ``cells`` by tag."""

    key: str
    reference: Value | None
    cells: Mapping[str, Cell]

    @property
    def outliers(self) -> tuple[str, ...]:
        """Tags of the drives that stand apart."""
        return tuple(tag for tag, cell in self.cells.items() if cell.state in ("outlier", "differs"))


@dataclass(frozen=True, slots=True)
class Drift:
    """``rows`` in vocabulary order, ``alike`` the number of settings every drive holds the same in effect,
    ``doubled`` addresses with the tags that share them, ``unread`` how many settings of each drive were not
    read."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    alike: int
    doubled: tuple[tuple[str, Value, tuple[str, ...]], ...] = ()
    unread: Mapping[str, int] = field(default_factory=dict)

    @property
    def outliers(self) -> Mapping[str, tuple[str, ...]]:
        """The settings in which each drive stands apart, by tag; only drives that do."""
        found: dict[str, tuple[str, ...]] = {}
        for row in self.rows:
            for tag in row.outliers:
                found[tag] = (*found.get(tag, ()), row.key)
        return found

    @property
    def is_clean(self) -> bool:
        """Nothing stands apart and no address is doubled."""
        return not self.outliers and not self.doubled


def drift(columns: Sequence[Column], reference: str = "", allowed: Sequence[str] = ()) -> Drift:
    """Hold drives against each other.

    ``reference`` names the drive the others are measured by; without it the majority decides, setting by
    setting. ``allowed`` are patterns of keys that may differ from slot to slot. Raises ``ValueError`` for
    fewer than two drives, or a reference that is none of them.
    """
    if len(columns) < 2 or (reference and reference not in [column.tag for column in columns]):
        raise ValueError("two drives at least are held against each other, the reference among them")
    pivot = reference or _pivot(columns)
    seen = _seen(columns, pivot)
    keys = sorted({key for cells in seen.values() for key in cells}, key=vocabulary().order)
    rows = [_row(key, columns, seen, pivot, bool(reference), allowed) for key in keys]
    kept = tuple(row for row in rows if any(cell.state not in _QUIET for cell in row.cells.values()))
    settings = {
        key for column in columns for key in column.side.values if vocabulary()[key].class_ == "setting"
    }
    return Drift(
        columns=tuple(columns),
        rows=kept,
        alike=len(settings - {row.key for row in rows}),
        doubled=tuple(_doubled(columns)),
        unread={
            column.tag: sum(cell.state == "not_read" for cell in cells.values())
            for column, cells in zip(columns, seen.values(), strict=True)
        },
    )


_QUIET = ("same", "not_read", "absent")


def _pivot(columns: Sequence[Column]) -> str:
    """The drive that differs least from the others: first against one, then against its fellows."""
    first = columns[0].tag
    apart = {tag: len(cells) for tag, cells in _seen(columns, first).items()}
    if sum(count > 0 for count in apart.values()) <= len(columns) // 2:
        return first
    by_key: dict[str, int] = {}
    for cells in _seen(columns, first).values():
        for key, cell in cells.items():
            by_key[key] = by_key.get(key, 0) + (cell.state == "differs")
    common = {key for key, count in by_key.items() if count * 2 > len(columns)}
    return min(
        columns[1:],
        key=lambda column: _strangeness(_seen([columns[0], column], first)[column.tag], common),
    ).tag


def _strangeness(cells: Mapping[str, Cell], common: set[str]) -> int:
    """In how many settings a drive leaves the majority, told from the first drive's point of view."""
    differing = {key for key, cell in cells.items() if cell.state == "differs"}
    return len(differing ^ common) + sum(cell.state in ("absent", "not_read") for cell in cells.values())


def _seen(columns: Sequence[Column], pivot: str) -> dict[str, dict[str, Cell]]:
    """How each drive stands to the pivot, setting by setting; what is the same is left out."""
    (base,) = [column.side for column in columns if column.tag == pivot]
    return {
        column.tag: {} if column.tag == pivot else _cells(compare(base, column.side)) for column in columns
    }


def _cells(found: Comparison) -> dict[str, Cell]:
    cells: dict[str, Cell] = {}
    for change in found.changes:
        cells[change.key] = Cell("differs", change.new, " ".join(found.notes.get(change.key, ())))
    for entry in found.dormant:
        cells[entry.key] = Cell("dormant", entry.new, entry.why)
    for entry in found.cannot_tell:
        cells[entry.key] = Cell("cannot_tell", entry.new, entry.why)
    for state, lacks in (("not_read", found.not_read), ("absent", found.one_sided)):
        for lacking in lacks:
            own = lacking.side == "old"
            cells[lacking.key] = Cell("differs", lacking.other) if own else _lacking(state, lacking.why)
    return {key: cell for key, cell in cells.items() if vocabulary()[key].class_ == "setting"}


def _lacking(state: str, why: str) -> Cell:
    return Cell("absent" if state == "absent" else "not_read", None, why)


def _unseen(column: Column, key: str) -> Cell:
    """A setting in which a drive does not differ from the pivot, or which the pivot itself lacks."""
    if key in column.side.values:
        return Cell("same", column.side.values[key])
    return _lacking(column.side.state(key), column.side.why(key))


def _row(
    key: str,
    columns: Sequence[Column],
    seen: Mapping[str, Mapping[str, Cell]],
    pivot: str,
    named: bool,
    allowed: Sequence[str],
) -> Row:
    (base,) = [column.side.values.get(key) for column in columns if column.tag == pivot]
    cells = {column.tag: seen[column.tag].get(key) or _unseen(column, key) for column in columns}
    groups = _groups(cells)
    winner = base if named else _majority(groups)
    if named and base is None:
        return Row(key, None, {tag: _unmeasured(cell) for tag, cell in cells.items()})
    may_differ = any(fnmatchcase(key, pattern) for pattern in allowed)
    judged = {
        column.tag: _judged(cells[column.tag], column, key, winner, groups, may_differ) for column in columns
    }
    return Row(key, winner, judged)


def _unmeasured(cell: Cell) -> Cell:
    """A drive beside a named reference that does not say this setting."""
    if cell.state not in ("same", "differs"):
        return cell
    return Cell("cannot_tell", cell.value, "the reference drive does not tell this setting")


Group = tuple[str, Value | None]


def _group(cell: Cell) -> Group:
    """Drives the same in effect as the pivot are one group, whatever their numbers; others by value."""
    return ("pivot", None) if cell.state == "same" else ("value", _plain(cell.value))


def _plain(value: Value | None) -> Value | None:
    return value.normalize() if isinstance(value, Decimal) else value


def _groups(cells: Mapping[str, Cell]) -> Mapping[Group, list[Cell]]:
    found: dict[Group, list[Cell]] = {}
    for cell in cells.values():
        if cell.state in ("same", "differs"):
            found.setdefault(_group(cell), []).append(cell)
    return found


def _majority(groups: Mapping[Group, list[Cell]]) -> Value | None:
    """The value of the group that is larger than every other; None for a tie."""
    ranked = sorted(groups.values(), key=len, reverse=True)
    if not ranked or (len(ranked) > 1 and len(ranked[0]) == len(ranked[1])):
        return None
    return ranked[0][0].value


def _judged(
    cell: Cell,
    column: Column,
    key: str,
    winner: Value | None,
    groups: Mapping[Group, list[Cell]],
    may_differ: bool,
) -> Cell:
    if cell.state not in ("same", "differs"):
        return cell
    if winner is not None and any(_plain(one.value) == _plain(winner) for one in groups[_group(cell)]):
        return Cell("same", cell.value, cell.why)
    if may_differ or (key in column.own and _plain(column.own[key]) == _plain(cell.value)):
        return Cell("allowed", cell.value, "it may differ from slot to slot")
    return Cell("outlier" if winner is not None else "differs", cell.value, cell.why)


def _doubled(columns: Sequence[Column]) -> list[tuple[str, Value, tuple[str, ...]]]:
    found = []
    for key in ADDRESSES:
        holders: dict[Value, list[str]] = {}
        for column in columns:
            value = column.side.values.get(key)
            if value is not None and value not in ("", "0.0.0.0"):
                holders.setdefault(value, []).append(column.tag)
        found += [(key, value, tuple(tags)) for value, tags in holders.items() if len(tags) > 1]
    return found
