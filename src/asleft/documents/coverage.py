"""How far the simulation follows a set, in lines and for machines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from asleft.documents.blocks import count
from asleft.explain import capital
from asleft.record import Value
from asleft.vocabulary import vocabulary

if TYPE_CHECKING:
    from asleft.behaviour import Coverage


def coverage_lines(coverage: Coverage, values: Mapping[str, Value]) -> Iterator[str]:
    """What is followed, with which limits, and what nothing is said of; entries that lie dormant in this
    set (a controller that is off) are counted and not named."""
    yield (
        f"Followed: {count(len(coverage.modelled), 'entry', 'entries')}, {len(coverage.limited)} more with "
        f"limits; not simulated: {len(coverage.not_modelled)}; without effect: {len(coverage.no_effect)}."
    )
    if coverage.not_read:
        yield f"Not read, and they count: {_labels(coverage.not_read)}."
    if coverage.not_understood:
        yield f"Not understood: {', '.join(coverage.not_understood)}."
    missing = [key for key in coverage.not_modelled if not _dormant(key, values)]
    if missing:
        yield f"Not simulated, so nothing is said of them: {_labels(missing)}."
    limited = {key: note for key, note in coverage.limited.items() if not _dormant(key, values)}
    for note, keys in _by_note(limited).items():
        yield f"{keys}: {note.replace('_', ' ')}."
    if coverage.assumed:
        told = (f"{_label(key)}: {taken.replace('_', ' ')}" for key, taken in coverage.assumed.items())
        yield f"Taken for granted, as the drive has no such entry: {'; '.join(told)}."


def _dormant(key: str, values: Mapping[str, Value]) -> bool:
    """Whether an entry does nothing in this set: by its row, or because it stands at off or zero."""
    row = vocabulary().get(key)
    if row is None:
        return False
    idle = any(str(values.get(one.key)) in one.values for one in row.dormant)
    stands = values.get(key)
    return idle or stands in ("off", "none", "ignore") or (row.is_number and stands == 0)


def _by_note(limited: Mapping[str, str]) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for key, note in limited.items():
        found.setdefault(note, []).append(key)
    return {note: _short(keys) for note, keys in found.items()}


def _short(keys: list[str]) -> str:
    return capital(_label(keys[0])) + (f" and {len(keys) - 1} more" if len(keys) > 1 else "")


def _labels(keys: Iterable[str]) -> str:
    return ", ".join(_label(key) for key in keys)


def _label(key: str) -> str:
    row = vocabulary().get(key)
    return row.label if row else key.replace("_", " ")


def coverage_data(coverage: Coverage) -> dict[str, Any]:
    """The same for machines, in full."""
    return {
        "modelled": len(coverage.modelled),
        "limited": dict(coverage.limited),
        "no_effect": len(coverage.no_effect),
        "not_modelled": list(coverage.not_modelled),
        "not_understood": list(coverage.not_understood),
        "not_read": list(coverage.not_read),
        "assumed": dict(coverage.assumed),
    }
