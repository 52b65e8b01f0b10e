"""A table that names its own columns: native id or neutral key, and value. Read strictly."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from asleft.files.entry import typed_value
from asleft.files.value import did_you_mean
from asleft.intake.tables.grid import Book, Row
from asleft.intake.taken import Taken, by_id, from_decoded
from asleft.intake.toml_file import MISSING, misfits
from asleft.models import Model, decode
from asleft.record import Fault, ParameterSet, Refused, Value
from asleft.vocabulary import vocabulary

_ID_HEADS = ("id", "parameter", "number", "native id")
_KEY_HEADS = ("key",)
_VALUE_HEADS = ("value", "set value", "reading")


def is_plain(book: Book) -> bool:
    """Whether the first row of the only sheet names the columns."""
    rows = book.sheets[0].rows if len(book.sheets) == 1 else ()
    return bool(rows) and _columns(rows[0]) is not None


def take_plain(book: Book, where: str, model: Model | None) -> Taken:
    """The table's reading. Raises ``Refused`` with every row that cannot be read."""
    head, *rows = book.sheets[0].rows
    columns = _columns(head)
    assert columns is not None
    by_key, places = columns
    given = _pairs(rows, places, where)
    if by_key:
        return _take_keys(given, where, model, book.warnings)
    if model is None:
        raise Refused(
            Fault(
                "the rows are native ids, and no drive model is known to read them by.",
                "Say which with --model NAME, or set it for the asset.",
                where,
            )
        )
    displayed, faults = by_id({name: text for name, (_, text) in given.items()}, model)
    if faults:
        lines = {name: line for name, (line, _) in given.items()}
        raise Refused(Fault(f.what, f.do_next, where, lines[f.where]) for f in faults)
    return from_decoded(model, decode(model, displayed, MISSING), "file", book.warnings)


def _columns(head: Row) -> tuple[bool, tuple[int, int]] | None:
    heads = [cell.lower() for cell in head.cells]
    value = next((place for place, name in enumerate(heads) if name in _VALUE_HEADS), None)
    for names, by_key in ((_KEY_HEADS, True), (_ID_HEADS, False)):
        place = next((place for place, name in enumerate(heads) if name in names), None)
        if place is not None and value is not None:
            return by_key, (place, value)
    return None


def _pairs(rows: Sequence[Row], columns: tuple[int, int], where: str) -> dict[str, tuple[int, str]]:
    found: dict[str, tuple[int, str]] = {}
    faults: list[Fault] = []
    for row in rows:
        line, name, text = row.line, row.cell(columns[0]), row.cell(columns[1])
        if len(row.cells) <= max(columns) or not name:
            what = f"the row {', '.join(row.filled)!r} has no id and value."
            faults.append(Fault(what, "Complete or delete it.", where, line))
            continue
        if name in found and found[name][1] != text:
            faults.append(
                Fault(
                    f"{name} stands here again with another value.",
                    "Keep the one the drive shows.",
                    where,
                    line,
                )
            )
        if text:
            found[name] = line, text
    if faults:
        raise Refused(faults)
    return found


def _take_keys(
    given: Mapping[str, tuple[int, str]], where: str, model: Model | None, notes: tuple[Fault, ...]
) -> Taken:
    values: dict[str, Value] = {}
    faults: list[Fault] = []
    poles = given.get("motor.pole_count", (0, ""))[1]
    for key, (line, text) in given.items():
        parameter = vocabulary().get(key)
        if parameter is None:
            faults.append(Fault(f"{key} is no known key.", did_you_mean(key, vocabulary()), where, line))
            continue
        try:
            values[key] = typed_value(parameter, text, int(poles) if poles.isdecimal() else None)
        except ValueError as problem:
            faults.append(Fault(str(problem), "", where, line))
    if faults:
        raise Refused(faults)
    if model is None:
        return Taken(ParameterSet(values=values), "file", notes)
    missing = {key: MISSING for key in model.by_key if key not in values}
    whole = ParameterSet(model=model.name, model_version=model.version, values=values, not_read=missing)
    return Taken(whole, "file", (*notes, *misfits(model, values, where)))
