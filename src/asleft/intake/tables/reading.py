"""A reading from a table of any layout: every row is read, kept, or listed with the reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from asleft.files.entry import typed_value
from asleft.intake.secrets import WITHHELD, names_a_code
from asleft.intake.tables.cells import cell_displayed
from asleft.intake.tables.grid import Book, Row, Sheet
from asleft.intake.tables.layout import Layout
from asleft.intake.tables.match import Finder, finder
from asleft.intake.tables.numbers import written
from asleft.intake.taken import Taken, from_decoded
from asleft.intake.toml_file import MISSING, misfits
from asleft.models import Model, decode
from asleft.record import Fault, ParameterSet, Refused, Value
from asleft.vocabulary import vocabulary

_FEW = 12


@dataclass
class _Found:
    """Cells by id or key with their line, what was rejected, and rows that hold no entry."""

    shown: dict[str, str] = field(default_factory=dict)
    cells: dict[str, tuple[str, str]] = field(default_factory=dict)
    reasons: dict[str, str] = field(default_factory=dict)
    rejected: list[Fault] = field(default_factory=list)
    titles: list[int] = field(default_factory=list)


def take_table(book: Book, layout: Layout, where: str, model: Model | None) -> Taken:
    """Read by a layout. Rows that cannot be read are warnings, and their entries are not read.

    Raises ``Refused`` where the layout names no columns to read by, or not one row could be read.
    """
    by_key = layout.place("key") is not None
    if layout.place("value") is None or (layout.place("id") is None and not by_key):
        what = "the columns do not say where id (or key) and value are."
        raise Refused(Fault(what, "Write --columns id=A,value=C", where))
    if not by_key and model is None:
        what = "the rows are native ids, and no drive model is known to read them by."
        raise Refused(Fault(what, "Say which with --model NAME, or set it for the asset.", where))
    find = finder(vocabulary() if by_key or model is None else model.natives)
    found = _Found()
    notes = [*book.warnings]
    for sheet in book.sheets:
        if layout.sheet not in ("", sheet.name) or not _belongs(sheet, layout, find):
            if sheet.rows and sheet.name:
                notes.append(Fault(f"the sheet {sheet.name!r} was not read: it names no entry.", "", where))
            continue
        _sheet(sheet, layout, find, where, model, found)
    if not found.shown:
        raise Refused(found.rejected or [Fault("not one row could be read.", "Check --columns.", where)])
    notes += [*_titles(found, where), *found.rejected]
    return _by_key(found, where, model, notes) if by_key or model is None else _by_id(found, model, notes)


def _belongs(sheet: Sheet, layout: Layout, find: Finder) -> bool:
    place = layout.place("key") if layout.place("id") is None else layout.place("id")
    return any(find(row.cell(place)) for row in sheet.rows)


def _sheet(
    sheet: Sheet, layout: Layout, find: Finder, where: str, model: Model | None, found: _Found
) -> None:
    named = f"{where}, sheet {sheet.name}" if sheet.name else where
    first = layout.first if sheet.rows and not _before(sheet, layout, find) else 1
    for row in sheet.rows:
        if row.line < first:
            continue
        _row(row, layout, find, named, model, found)


def _before(sheet: Sheet, layout: Layout, find: Finder) -> bool:
    """Whether entries stand above the first row of the layout, as on another sheet of the same kind."""
    place = layout.place("key") if layout.place("id") is None else layout.place("id")
    return any(find(row.cell(place)) for row in sheet.rows if row.line < layout.first)


def _row(row: Row, layout: Layout, find: Finder, where: str, model: Model | None, found: _Found) -> None:
    written_id = row.cell(layout.place("key") if layout.place("id") is None else layout.place("id"))
    text = row.cell(layout.place("value"))
    id_ = find(written_id)
    if id_ is None and (not written_id or not text or layout.place("key") is not None):
        _no_entry(row, written_id, text, where, found)
    elif not text:
        found.reasons.setdefault(id_ or written_id, f"line {row.line} of the file gives no value")
    else:
        _value(row, id_ or written_id, text, layout, where, model, found)


def _no_entry(row: Row, written_id: str, text: str, where: str, found: _Found) -> None:
    if text and len(row.filled) > 1:
        what = f"the row reads {' | '.join(row.filled)!r} and names no known entry."
        found.rejected.append(Fault(what, "Its value is not recorded.", where, row.line))
    else:
        found.titles.append(row.line)


def _value(
    row: Row, id_: str, text: str, layout: Layout, where: str, model: Model | None, found: _Found
) -> None:
    native = model.natives.get(id_) if model is not None and layout.place("key") is None else None
    unit = row.cell(layout.place("unit"))
    try:
        if native is not None:
            shown = cell_displayed(native, text, unit, layout.decimal)
        elif layout.place("key") is not None:
            shown = _typed_text(id_, text, unit, layout.decimal)
        else:
            shown = WITHHELD if names_a_code(row.cell(layout.place("name"))) else f"{text} {unit}".rstrip()
        if id_ in found.shown and found.shown[id_] != shown:
            raise ValueError(f"{id_} stands here again with another value.")
    except ValueError as problem:
        found.shown.pop(id_, None)
        found.reasons[id_] = f"line {row.line} of the file could not be read"
        secret = native is not None and native.secret
        what = "a code could not be read." if secret else str(problem)
        found.rejected.append(
            Fault(what, "It is not recorded: check the value at the drive.", where, row.line)
        )
        return
    if id_ not in found.reasons:
        found.shown[id_] = shown


def _typed_text(key: str, text: str, unit: str, decimal: str) -> str:
    """A text for a neutral key, a number with a point. Raises ``ValueError``."""
    parameter = vocabulary()[key]
    if not parameter.is_number:
        return text
    meant = written(text, decimal)
    if len(meant) != 1:
        both = f"{text!r} reads as {' or as '.join(meant)}: say decimal=comma or decimal=point."
        raise ValueError(both if meant else f"{key} is a number in {parameter.unit}, and {text!r} is none.")
    return meant[0] if " " in meant[0] or not unit else f"{meant[0]} {unit}"


def _titles(found: _Found, where: str) -> Iterator[Fault]:
    if found.titles:
        lines = ", ".join(map(str, found.titles[:_FEW])) + (" …" if len(found.titles) > _FEW else "")
        many = len(found.titles) > 1
        yield Fault(f"line{'s' if many else ''} {lines} hold{'' if many else 's'} no entry.", "", where)


def _by_id(found: _Found, model: Model, notes: Sequence[Fault]) -> Taken:
    decoded = decode(model, found.shown, MISSING)
    reasons = {
        key: next(
            (found.reasons[native.id] for native in model.by_key[key] if native.id in found.reasons), why
        )
        for key, why in decoded.not_read.items()
    }
    return from_decoded(model, replace(decoded, not_read=reasons), "file", tuple(notes))


def _by_key(found: _Found, where: str, model: Model | None, notes: list[Fault]) -> Taken:
    values: dict[str, Value] = {}
    poles = found.shown.get("motor.pole_count", "")
    for key, text in found.shown.items():
        try:
            values[key] = typed_value(vocabulary()[key], text, int(poles) if poles.isdecimal() else None)
        except ValueError as problem:
            found.reasons[key] = "the file's value could not be read"
            notes.append(Fault(str(problem), "It is not recorded: check the value at the drive.", where))
    if model is None:
        return Taken(
            ParameterSet(values=values, not_read=_of_vocabulary(found.reasons, values)), "file", tuple(notes)
        )
    missing = {key: found.reasons.get(key, MISSING) for key in model.by_key if key not in values}
    whole = ParameterSet(model=model.name, model_version=model.version, values=values, not_read=missing)
    return Taken(whole, "file", (*notes, *misfits(model, values, where)))


def _of_vocabulary(reasons: Mapping[str, str], values: Mapping[str, Value]) -> dict[str, str]:
    return {key: why for key, why in reasons.items() if key in vocabulary() and key not in values}
