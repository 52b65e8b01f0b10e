"""A replacement on disk: ``assets/TAG/replacements/NAME.toml``, what was decided, answered and wired.

It stands beside the reading as left, which tells what the unit holds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean
from asleft.record import Fault, Refused
from asleft.vocabulary import vocabulary

FORMAT: Final = 1
_HEAD = ("asset", "model", "unit", "reading", "read")
_WORK = ("at", "by", "reason", "work_order")
PARTS: Mapping[str, tuple[str, ...]] = {
    "decided": ("key", "recorded", "how", "chosen", "by", "why"),
    "asked": ("question", "answer", "not_answered"),
    "wires": ("wire", "old_terminal", "new_terminal", "not_listed"),
    "switches": ("name", "position"),
    "left_out": ("step", "enter", "why"),
}
"""What a row of each part may hold, all of it text."""


@dataclass(frozen=True, slots=True)
class Replacement:
    """``reading`` is the blob id of the record that was put into the unit, ``read`` that record in words;
    ``unit`` the unit's own reading as named. ``parts`` are the tables ``decided``, ``asked``, ``wires``,
    ``switches`` and ``left_out``, each a list of rows of texts."""

    asset: str
    model: str
    unit: str
    reading: str
    read: str
    at: datetime
    by: str
    parts: Mapping[str, tuple[Mapping[str, str], ...]]
    reason: str = ""
    work_order: str = ""


def write_replacement(done: Replacement) -> bytes:
    """The canonical bytes: the same replacement gives the same bytes. Empty texts and tables are left out."""
    import tomli_w

    document: dict[str, Any] = {"format": FORMAT, **{name: getattr(done, name) for name in _HEAD}}
    document["work"] = {name: getattr(done, name) for name in _WORK if getattr(done, name)}
    for name in PARTS:
        if rows := done.parts.get(name):
            document[name] = [{key: text for key, text in row.items() if text} for row in rows]
    return tomli_w.dumps(document).encode("utf-8")


def read_replacement(content: bytes, where: str) -> Replacement:
    """Parse a replacement. Raises ``Refused`` with every fault of the file, each with its line."""
    document = parse(content, where)
    faults = [*_head_faults(document), *_work_faults(document), *_part_faults(document)]
    if faults:
        raise Refused(faults)
    data = document.data
    return Replacement(
        **{name: data[name] for name in _HEAD},
        **data["work"],
        parts={name: tuple(data[name]) for name in PARTS if name in data},
    )


def _head_faults(document: Document) -> Iterator[Fault]:
    yield from document.format_faults(FORMAT)
    known = (*_HEAD, "format", "work", *PARTS)
    for name in document.data.keys() - set(known):
        yield document.fault((name,), f"{name} means nothing here.", did_you_mean(name, known))
    for name in _HEAD:
        if not isinstance(document.data.get(name), str):
            yield document.fault((name,), f"{name} is a text and stands in quotes.", f'Write {name} = "…".')


def _work_faults(document: Document) -> Iterator[Fault]:
    work = document.data.get("work")
    if not isinstance(work, dict):
        yield document.fault(("work",), "who did the work and when is missing.", "Add [work] with at and by.")
        return
    for name in work.keys() - set(_WORK):
        yield document.fault(("work", name), f"{name} means nothing here.", did_you_mean(name, _WORK))
    at = work.get("at")
    if not isinstance(at, datetime) or at.tzinfo is None:
        yield document.fault(("work", "at"), "at is no date and time with a zone.", "")
    for name in ("by", "reason", "work_order"):
        if not isinstance(work.get(name, "" if name != "by" else None), str):
            yield document.fault(("work", name), f"{name} is a text and stands in quotes.", "")


def _part_faults(document: Document) -> Iterator[Fault]:
    for part, known in PARTS.items():
        rows = document.data.get(part, [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            yield document.fault((part,), f"{part} is a list of tables.", f"Write [[{part}]] above each.")
            continue
        lines = _lines(document, part)
        for number, row in enumerate(rows):
            line = lines[number] if number < len(lines) else document.line(part)
            yield from _row_faults(Fault("", "", document.where, line), known, row)


def _row_faults(at: Fault, known: tuple[str, ...], row: Mapping[str, Any]) -> Iterator[Fault]:
    for name, text in row.items():
        if name not in known:
            near = did_you_mean(name, known)
            yield at._replace(what=f"{name} means nothing in a row of this part.", do_next=near)
        elif not isinstance(text, str):
            yield at._replace(what=f"{name} is a text and stands in quotes.")
        elif name == "key" and text not in vocabulary():
            near = did_you_mean(text, vocabulary())
            yield at._replace(what=f"{text} is no setting the trade knows.", do_next=near)


def _lines(document: Document, part: str) -> list[int]:
    """The line of each row; a table's own line names only the first."""
    lines = enumerate(document.text.split("\n"), 1)
    return [number for number, line in lines if line.strip().replace(" ", "") == f"[[{part}]]"]
