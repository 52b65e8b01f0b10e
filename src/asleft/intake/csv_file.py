"""A reading from CSV: two columns, native id or neutral key, and value."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping

from asleft.files.entry import typed_value
from asleft.files.value import did_you_mean
from asleft.intake.taken import Taken, by_id, from_decoded
from asleft.intake.toml_file import MISSING, misfits
from asleft.models import Model, decode
from asleft.record import Fault, ParameterSet, Refused, Value
from asleft.vocabulary import vocabulary

MOST_ROWS = 20_000
_ID_HEADS = ("id", "parameter", "number", "native id")
_KEY_HEADS = ("key",)
_VALUE_HEADS = ("value", "set value", "reading")


def take(content: bytes, where: str, model: Model | None) -> Taken:
    """The file's reading. Raises ``Refused`` with every row that cannot be read."""
    rows = list(_rows(content, where))
    by_key, columns = _columns(rows, where)
    given = _pairs(rows[1:], columns, where)
    if by_key:
        return _take_keys(given, where, model)
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
    return from_decoded(model, decode(model, displayed, MISSING), "file")


def _rows(content: bytes, where: str) -> Iterator[tuple[int, list[str]]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = content[: problem.start].count(b"\n") + 1
        raise Refused(Fault("the file is not UTF-8 text.", "Save it as CSV in UTF-8.", where, line)) from None
    if "\0" in text:
        raise Refused(Fault("the file is binary.", "Name a CSV file.", where))
    head = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for row in reader:
            if reader.line_num > MOST_ROWS:
                raise Refused(
                    Fault(f"more than {MOST_ROWS} rows.", "Check that it is the right file.", where)
                )
            if any(cell.strip() for cell in row):
                yield reader.line_num, [cell.strip() for cell in row]
    except csv.Error as problem:
        raise Refused(
            Fault(f"this is not CSV: {problem}.", "Mend that line.", where, reader.line_num)
        ) from None


def _columns(rows: list[tuple[int, list[str]]], where: str) -> tuple[bool, tuple[int, int]]:
    heads = [cell.lower() for cell in rows[0][1]] if rows else []
    value = next((place for place, head in enumerate(heads) if head in _VALUE_HEADS), None)
    for names, by_key in ((_KEY_HEADS, True), (_ID_HEADS, False)):
        name = next((place for place, head in enumerate(heads) if head in names), None)
        if name is not None and value is not None:
            return by_key, (name, value)
    raise Refused(
        Fault("the first row does not name the columns.", "It reads id,value or key,value.", where, 1)
    )


def _pairs(
    rows: list[tuple[int, list[str]]], columns: tuple[int, int], where: str
) -> dict[str, tuple[int, str]]:
    found: dict[str, tuple[int, str]] = {}
    faults: list[Fault] = []
    for line, row in rows:
        if len(row) <= max(columns) or not row[columns[0]]:
            faults.append(Fault(f"the row {row} has no id and value.", "Complete or delete it.", where, line))
            continue
        name, text = row[columns[0]], row[columns[1]]
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


def _take_keys(given: Mapping[str, tuple[int, str]], where: str, model: Model | None) -> Taken:
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
        return Taken(ParameterSet(values=values), "file")
    missing = {key: MISSING for key in model.by_key if key not in values}
    whole = ParameterSet(model=model.name, model_version=model.version, values=values, not_read=missing)
    return Taken(whole, "file", tuple(misfits(model, values, where)))
