"""What a person observed, from a file: CSV as the sheet is printed, or TOML."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean
from asleft.record import Fault, Refused

COLUMNS: Final = ("step", "observed", "tester", "witness", "remark", "id")
PRINTED: Final = ("from", "do", "predicted", "tolerance", "unit", "again", "caution", "result", "note")
"""Columns of the printed sheet that are not read back."""

MOST_ROWS: Final = 2000


@dataclass(frozen=True, slots=True)
class Observed:
    """One observation as written; ``line`` is where it stands, ``id`` names the step where the file does."""

    number: int
    text: str
    tester: str = ""
    witness: str = ""
    remark: str = ""
    id: str = ""
    line: int = 0


def read_observed(content: bytes, where: str) -> tuple[Observed, ...]:
    """Observations in order of the file; empty ones are left out. Raises ``Refused`` with every fault."""
    found = list(_toml(content, where) if _is_toml(content, where) else _csv(content, where))
    faults = [one for one in found if isinstance(one, Fault)]
    given = [one for one in found if isinstance(one, Observed) and one.text.strip()]
    faults += _doubles(given, where)
    if not given and not faults:
        faults.append(Fault("nothing is observed in it.", "Fill in the column observed.", where))
    if faults:
        raise Refused(faults)
    return tuple(given)


def _is_toml(content: bytes, where: str) -> bool:
    """By its name; standard input by its first letter, which no head of columns begins with."""
    return where.endswith(".toml") or (where == "-" and _text(content).lstrip()[:1] in ("[", "#"))


def _doubles(given: list[Observed], where: str) -> Iterator[Fault]:
    seen: set[int] = set()
    for one in given:
        if one.number in seen:
            yield Fault(f"step {one.number} is there twice.", "Keep one of them.", where, one.line)
        seen.add(one.number)


def _csv(content: bytes, where: str) -> Iterator[Observed | Fault]:
    text = _text(content)
    head = text.lstrip().partition("\n")[0]
    separator = max(",;\t", key=head.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    names = [name.strip().casefold() for name in next(rows, [])]
    names = ["step" if name in ("number", "no", "no.") else name for name in names]
    missing = [name for name in ("step", "observed") if name not in names]
    if missing:
        yield Fault(
            f"there is no column {' and no column '.join(missing)}.",
            "Start from the sheet: asleft test sheet TAG --format csv -o FILE",
            where,
            1,
        )
        return
    for name in names:
        if name and name not in (*COLUMNS, *PRINTED):
            yield Fault(f"column {name!r} means nothing here.", did_you_mean(name, COLUMNS), where, 1)
    for count, row in enumerate(rows):
        if count > MOST_ROWS:
            yield Fault("more rows than any sheet has.", "Check that it is the right file.", where)
            return
        if any(cell.strip() for cell in row):
            yield _observed(dict(zip(names, row, strict=False)), where, rows.line_num)


def _text(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _observed(row: Mapping[str, str], where: str, line: int) -> Observed | Fault:
    cells = {name: cell.strip() for name, cell in row.items()}
    number = cells.get("step", "")
    if not (number.isascii() and number.isdecimal()):
        return Fault(f"{number!r} is no step number.", "Write the number of the sheet.", where, line)
    words = {name: cells.get(name, "") for name in ("tester", "witness", "remark", "id")}
    return Observed(int(number), cells.get("observed", ""), line=line, **words)


def _toml(content: bytes, where: str) -> Iterator[Observed | Fault]:
    document = parse(content, where)
    for name, table in document.data.items():
        if name not in ("observed", "steps") or not isinstance(table, dict):
            yield document.fault(
                (name,),
                f"{name} means nothing here.",
                'Write [observed] and below it 12 = "38.8", or [steps.12] with observed = "38.8".',
            )
            continue
        for number, value in table.items():
            yield _entry(document, (name, number), value)


def _entry(document: Document, path: tuple[str, str], value: Any) -> Observed | Fault:
    row = value if isinstance(value, dict) else {"observed": value}
    for name, cell in row.items():
        if name not in COLUMNS:
            return document.fault((*path, name), f"{name} means nothing here.", did_you_mean(name, COLUMNS))
        if isinstance(cell, bool) or not isinstance(cell, (str, int, Decimal)):
            return document.fault((*path, name), f"{name} is a text or a number.", 'Write "yes" in quotes.')
    cells = {name: str(cell) for name, cell in row.items()} | {"step": path[1]}
    return _observed(cells, document.where, document.line(*path))
