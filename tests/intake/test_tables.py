"""Tables of any layout: the same reading, whatever a spreadsheet program made of it."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from tests.conftest import run_in
from tests.intake.bus_units import demo_set

from asleft.intake import Taken, take
from asleft.intake.tables import READING_ROLES, guess, parse_layout, read_book, take_table
from asleft.intake.tables.layout import letter, place_of
from asleft.intake.tables.numbers import decimal_mark, written
from asleft.jobs.simulating import _shown as shown_by_set
from asleft.models import CannotEnter, Native, displayed_words
from asleft.record import Refused

Rows = list[list[str]]


@cache
def _shown() -> dict[str, str]:
    """What the demo's drive shows, by native id, codes aside."""
    model, parameters = demo_set("E1")
    found = {}
    for native in model.natives.values():
        try:
            text = shown_by_set(model, native, parameters)
        except CannotEnter:
            continue
        if text and not native.secret:
            found[native.id] = text
    return found


def _natives() -> Iterable[Native]:
    model, _ = demo_set("E1")
    return (model.natives[id_] for id_ in _shown())


def _rows(value: Callable[[Native, str], str], head: Sequence[str] = ("No.", "Name", "Setting")) -> Rows:
    return [list(head), *([n.id, n.text, value(n, _shown()[n.id])] for n in _natives())]


def _comma(native: Native, text: str) -> str:
    return text.replace(".", ",") if native.is_number else text


def _grouped(mark: str, decimal: str) -> Callable[[Native, str], str]:
    def value(native: Native, text: str) -> str:
        if not native.is_number:
            return text
        return f"{Decimal(text):,}".replace(",", "_").replace(".", decimal).replace("_", mark)

    return value


def _with_unit(native: Native, text: str) -> str:
    return displayed_words(native, text) if native.is_number else text


def _choice_text(native: Native, text: str) -> str:
    choice = native.choices.get(text) if native.form != "bits" else None
    return choice.text if choice is not None else text


def _code_and_text(native: Native, text: str) -> str:
    choice = native.choices.get(text) if native.form != "bits" else None
    return f"[{text}] {choice.text}" if choice is not None else text


def _text(rows: Rows, delimiter: str = ";") -> str:
    file = io.StringIO()
    csv.writer(file, delimiter=delimiter, lineterminator="\r\n").writerows(rows)
    return file.getvalue()


def _unit_column() -> Rows:
    return [
        ["Par.", "Unit", "Actual value", "Default", "Min"],
        *([n.id, n.unit, _shown()[n.id], n.factory, "" if n.low is None else str(n.low)] for n in _natives()),
    ]


def _with_titles() -> Rows:
    rows: Rows = [["Export of 12 March"], ["", ""], ["No.", "Name", "Setting"]]
    menu = ""
    for native in _natives():
        if native.menu != menu:
            menu = native.menu
            rows.append([menu])
        rows.append([native.id, native.text, _shown()[native.id]])
    return rows


def _lower(rows: Rows) -> Rows:
    return [rows[0], *([row[0].lower(), *row[1:]] for row in rows[1:])]


CSVS: dict[str, bytes] = {
    "semicolons and decimal comma": _text(_rows(_comma)).encode("utf-8"),
    "tabs": _text(_rows(lambda n, t: t), "\t").encode("utf-8"),
    "commas": _text(_rows(lambda n, t: t), ",").encode("utf-8"),
    "thousands by point": _text(_rows(_grouped(".", ","))).encode("utf-8"),
    "thousands by comma": _text(_rows(_grouped(",", "."))).encode("utf-8"),
    "thousands by apostrophe": _text(_rows(_grouped("'", "."))).encode("utf-8"),
    "thousands by narrow blank": _text(_rows(_grouped("\u202f", ","))).encode("utf-8"),
    "unit in the value": _text(_rows(_with_unit)).encode("utf-8"),
    "unit in a column": _text(_unit_column()).encode("utf-8"),
    "choices by text": _text(_rows(_choice_text)).encode("utf-8"),
    "choices by code and text": _text(_rows(_code_and_text)).encode("utf-8"),
    "titles between": _text(_with_titles()).encode("utf-8"),
    "ids in small letters": _text(_lower(_rows(lambda n, t: t))).encode("utf-8"),
    "byte order mark": _text(_rows(_comma)).encode("utf-8-sig"),
    "sixteen bits": _text(_rows(_comma), "\t").encode("utf-16"),
    "western european": _text([["Nr.", "Bezeichnung", "Wert"], *_rows(_with_unit)[1:]]).encode(
        "cp1252", "replace"
    ),
    "bars": _text(_rows(lambda n, t: t), "|").encode("utf-8"),
}


def _read(content: bytes, where: str = "export.csv", columns: str = "") -> Taken:
    model, _ = demo_set("E1")
    book = read_book(content, where)
    found = guess(book.sheets, model)
    assert found is not None
    if not columns:
        assert found.sure, found.words
        return take_table(book, found.layout, where, model)
    layout = parse_layout(columns, book.sheets, READING_ROLES, where)
    return take_table(book, replace(layout, first=found.layout.first), where, model)


def _is_whole(taken: Taken) -> None:
    """Every value of the demo's reading, with its digits; codes were left out of the file."""
    _, parameters = demo_set("E1")
    lacking = {key for key in parameters.values if key not in taken.set.values}
    wrong = {
        key: taken.set.values[key]
        for key in taken.set.values
        if taken.set.values[key] != parameters.values[key]
    }
    assert wrong == {}
    model, _ = demo_set("E1")
    given = {key for id_ in _shown() for key in model.natives[id_].keys}
    assert not lacking & given
    assert all(taken.set.not_read.get(key) for key in lacking)
    assert dict(taken.set.native) == dict(parameters.native)


@pytest.mark.parametrize("name", CSVS)
def test_a_table_of_another_layout_is_the_same_reading(name: str) -> None:
    _is_whole(_read(CSVS[name]))


def _workbook(build: Callable[[Workbook], None]) -> bytes:
    book = Workbook()
    build(book)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _number_cells(sheet: Any, start: int, columns: tuple[int, int]) -> None:
    for line, native in enumerate(_natives(), start=start):
        text = _shown()[native.id]
        sheet.cell(line, columns[0], native.id)
        cell = sheet.cell(line, columns[1], float(text) if native.is_number else text)
        if native.is_number and native.step is not None:
            cell.number_format = (
                "0" if native.step >= 1 else str(native.step).replace("1", "0").replace("5", "0")
            )


def _merged_heads(book: Workbook) -> None:
    sheet = book.active
    assert sheet is not None
    sheet.append(["Unit E1", None, None, None])
    sheet.append(["Parameter", None, "Reading", None])
    sheet.append(["No.", "Name", "Value", "Note"])
    sheet.merge_cells("A1:D1")
    sheet.merge_cells("A2:B2")
    sheet.merge_cells("C2:D2")
    _number_cells(sheet, 4, (1, 3))


def _several_sheets(book: Workbook) -> None:
    first = book.active
    assert first is not None
    first.title = "Notes"
    first.append(["Read by R. Example", "with the usual lead"])
    natives = list(_natives())
    for number in range(2):
        sheet = book.create_sheet(f"Part {number + 1}")
        sheet.append(["No.", "Name", "Setting"])
        for native in natives[number::2]:
            sheet.append([native.id, native.text, _shown()[native.id]])


XLSX = {
    "numbers with formats under merged heads": _merged_heads,
    "several sheets": _several_sheets,
}


@pytest.mark.parametrize("name", XLSX)
def test_a_workbook_is_the_same_reading(name: str) -> None:
    taken = _read(_workbook(XLSX[name]), "export.xlsx")
    _is_whole(taken)
    if name == "several sheets":
        assert "the sheet 'Notes' was not read" in str(taken.warnings[0])


def test_a_per_cent_format_is_read_as_shown() -> None:
    def build(book: Workbook) -> None:
        assert book.active is not None
        book.active.append(["No.", "Setting"])
        book.active.cell(2, 1, "X")
        book.active.cell(2, 2, 0.125).number_format = "0.0%"

    book = read_book(_workbook(build), "x.xlsx")
    assert book.sheets[0].rows[1].cells == ("X", "12.5 %")


def test_rows_that_cannot_be_read_are_listed_and_their_entries_not_read() -> None:
    model, _ = demo_set("E1")
    accel = next(n for n in model.natives.values() if n.keys == ("ramps.accel_time_1_s",))
    stop = next(n for n in model.natives.values() if n.keys == ("start_stop.stop_method",))
    rows = _rows(lambda n, t: {accel.id: "8,x s", stop.id: "sideways"}.get(n.id, t))
    rows += [["", "nobody's", "12"], ["9999", "Elsewhere", "5"], ["9998", "Password", "4711"]]
    taken = _read(_text(rows).encode())
    told = [str(fault) for fault in taken.warnings]
    assert "'8,x s' is none" in " ".join(told) and "no choice 'sideways'" in " ".join(told)
    assert any("nobody's" in line and f"line {len(rows) - 2}" in line for line in told)
    assert "could not be read" in taken.set.not_read["ramps.accel_time_1_s"]
    assert "could not be read" in taken.set.not_read["start_stop.stop_method"]
    assert taken.set.native["9999"] == "5" and "4711" not in str(taken)


def test_an_entry_given_twice_with_two_values_is_not_read() -> None:
    model, _ = demo_set("E1")
    accel = next(n for n in model.natives.values() if n.keys == ("ramps.accel_time_1_s",))
    rows = [*_rows(lambda n, t: t), [accel.id, accel.text, "77.0"], [accel.id, accel.text, "77.0"]]
    taken = _read(_text(rows).encode())
    assert "ramps.accel_time_1_s" not in taken.set.values
    assert "another value" in " ".join(map(str, taken.warnings))


def test_two_columns_that_could_be_the_value_are_not_decided() -> None:
    model, _ = demo_set("E1")
    rows = [["No.", "A", "B"], *([n.id, _shown()[n.id], n.factory or "0"] for n in _natives())]
    found = guess(read_book(_text(rows).encode(), "x.csv").sheets, model)
    assert found is not None and not found.sure
    with pytest.raises(Refused, match="that is not clear"):
        take(_text(rows).encode(), "x.csv", model)


def test_a_guess_is_shown_and_not_taken_without_a_word() -> None:
    model, _ = demo_set("E1")
    with pytest.raises(Refused, match="say --columns id=A,value=C,name=B,decimal=comma,from=2"):
        take(CSVS["semicolons and decimal comma"], "x.csv", model)


@pytest.mark.parametrize(
    ("columns", "says"),
    [
        ("id=A,wert=C", "there is no role 'wert'"),
        ("id=A,value", "is not ROLE=COLUMN"),
        ("id=A,value=Nothing like it", "no column is called 'Nothing like it'"),
        ("id=A,value=C,decimal=dot", "decimal is comma or point"),
        ("id=A,value=C,from=top", "from is the number of a row"),
        ("value=C", "where id .or key. and value are"),
    ],
)
def test_columns_that_cannot_be_are_told(columns: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        _read(CSVS["tabs"], columns=columns)


@pytest.mark.parametrize("columns", ["id=A,value=C", "id=No.,value=setting", "value=C, id=a"])
def test_columns_are_named_by_letter_or_heading(columns: str) -> None:
    _is_whole(_read(CSVS["tabs"], columns=columns))


@pytest.mark.parametrize(
    ("text", "decimal", "meant"),
    [
        ("8", "", ("8",)),
        ("8,5", "", ("8.5",)),
        ("8.5 s", "", ("8.5 s",)),
        ("8,5s", "", ("8.5 s",)),
        ("-0,5", "", ("-0.5",)),
        ("−0,5", "", ("-0.5",)),
        ("1.234,5", "", ("1234.5",)),
        ("1,234.5", "", ("1234.5",)),
        ("1,234", "", ("1.234", "1234")),
        ("1,234", ",", ("1.234",)),
        ("1,234", ".", ("1234",)),
        ("0,234", "", ("0.234",)),
        ("1 234", "", ("1234",)),
        ("1'234.50", "", ("1234.50",)),
        ("1.234.567", "", ("1234567",)),
        ("1.23.4", "", ()),
        ("12,34,567", "", ()),
        ("1.234,5", ".", ()),
        ("50 Hz", "", ("50 Hz",)),
        ("50 60", "", ()),
        ("off", "", ()),
        ("", "", ()),
        (",5", "", (".5",)),
    ],
)
def test_a_number_means_one_thing_or_both_are_given(text: str, decimal: str, meant: tuple[str, ...]) -> None:
    assert written(text, decimal) == meant


def test_the_decimal_mark_is_told_by_the_clear_ones() -> None:
    assert decimal_mark(["8,5", "1,500", "12"]) == ","
    assert decimal_mark(["1,500", "12"]) == ""
    assert decimal_mark(["8,5", "8.5"]) == ""
    assert decimal_mark(["1.234,5"]) == ","


@pytest.mark.parametrize(("place", "name"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ")])
def test_columns_are_lettered_as_spreadsheets_do(place: int, name: str) -> None:
    assert letter(place) == name and place_of(name) == place


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"PK\x03\x04rubbish", "cannot be read"),
        (b"a;b\n\x00;1\n", "binary"),
        (b'a,b\n"x,1\n', "not CSV"),
    ],
)
def test_what_is_no_table_is_told(content: bytes, says: str) -> None:
    with pytest.raises(Refused, match=says):
        read_book(content, "x.csv")


READ = ("--reading", "as-found", "--occasion", "service", "--by", "R. Example")


def test_the_site_remembers_how_a_table_is_laid_out(own_demo: Path) -> None:
    export = own_demo.parent / "export.csv"
    export.write_bytes(CSVS["semicolons and decimal comma"])
    before = (own_demo / "site.toml").read_text(encoding="utf-8")
    line = ("snapshot", "E1", "--from", "../export.csv", *READ)
    first = run_in(own_demo, *line)
    assert first.code == 2 and "--columns id=A,value=C" in first.err
    second = run_in(own_demo, *line, "--columns", "id=A,value=C", "--dry-run")
    assert second.code == 0 and (own_demo / "site.toml").read_text(encoding="utf-8") == before
    third = run_in(own_demo, *line, "--columns", "id=A,value=C")
    assert third.code == 0 and "remembers the columns" in third.err
    after = (own_demo / "site.toml").read_text(encoding="utf-8")
    assert after.startswith(before) and '"no | name | setting" = "id=A,value=C"' in after
    again = run_in(own_demo, *line, "--reason", "once more")
    assert again.code == 0, again.err
    assert run_in(own_demo, "verify").code == 0


KEYS = """Unit E1;;
Neutral key;Actual value;Unit
ramps.accel_time_1_s;8,0;
ramps.decel_time_1_s;12000;ms
start_stop.stop_method;ramp;
motor.pole_count;4;
limits.frequency_max_hz;1.500;rpm
limits.frequency_min_hz;lots;
control.current_limit_a;;
ramps.nothing_of_the_kind;5;
"""


@pytest.mark.parametrize("with_model", [True, False])
def test_a_table_of_neutral_keys_in_any_layout(with_model: bool) -> None:
    """1500 rpm of a 4-pole motor are 50 Hz by f = n·p/120."""
    model = demo_set("E1")[0] if with_model else None
    book = read_book(KEYS.encode("utf-8"), "keys.csv")
    found = guess(book.sheets, model)
    assert found is not None and found.sure, found
    taken = take_table(book, found.layout, "keys.csv", model)
    values = {key: str(value) for key, value in taken.set.values.items()}
    assert values == {
        "ramps.accel_time_1_s": "8.0",
        "ramps.decel_time_1_s": "12.0",
        "start_stop.stop_method": "ramp",
        "motor.pole_count": "4",
        "limits.frequency_max_hz": "50.00",
    }
    told = " ".join(map(str, taken.warnings))
    assert "'lots' is none" in told and "ramps.nothing_of_the_kind" in told
    assert "could not be read" in taken.set.not_read["limits.frequency_min_hz"]
    assert "gives no value" in taken.set.not_read["control.current_limit_a"]


def test_a_number_that_means_two_things_is_not_read() -> None:
    rows = "Neutral key;Actual value\nramps.accel_time_1_s;1,500\nstart_stop.stop_method;ramp\n"
    book = read_book(rows.encode("utf-8"), "keys.csv")
    found = guess(book.sheets, None)
    assert found is not None
    taken = take_table(book, found.layout, "keys.csv", None)
    assert "reads as 1.500 or as 1500" in " ".join(map(str, taken.warnings))
    assert taken.set.values.keys() == {"start_stop.stop_method"}


def test_a_code_in_a_table_reaches_no_file(own_demo: Path) -> None:
    model, _ = demo_set("E1")
    code = next(n for n in model.natives.values() if n.keys == ("access.pin_state",))
    rows = [*_rows(lambda n, t: t), [code.id, code.text, "48151"], ["77", "Access code 2", "62342"]]
    (own_demo.parent / "codes.csv").write_text(_text(rows), encoding="utf-8")
    done = run_in(
        own_demo, "snapshot", "E1", "--from", "../codes.csv", *READ, "--columns", "id=A,value=C,name=B"
    )
    assert done.code == 0, done.err
    written = (own_demo / "assets/E1/as_found.toml").read_text(encoding="utf-8")
    for digits in ("48151", "62342"):
        assert digits not in written + done.out + done.err
