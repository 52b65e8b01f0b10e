"""Sets on disk: the same set gives the same bytes, and what was written reads back as it was."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some

from asleft.files.sets import read_set, write_set
from asleft.record import OCCASIONS, READING_KINDS, ParameterSet, Reading, Refused
from asleft.vocabulary import Parameter, vocabulary

YEARS = datetime(2000, 1, 1), datetime(2090, 1, 1)  # noqa: DTZ001
TEXT = some.text(
    some.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1, max_size=24
).filter(str.strip)


def values_of(parameter: Parameter) -> Any:
    """A strategy for the values a parameter may hold."""
    if parameter.is_number:
        digits = 0 if parameter.kind == "integer" else 6
        return some.decimals(-(10**6), 10**6, places=digits, allow_nan=False).map(lambda one: abs(one))
    if parameter.kind == "choice":
        return some.sampled_from(list(parameter.choices))
    if parameter.kind == "set":
        chosen = some.sets(some.sampled_from(list(parameter.choices)))
        return chosen.map(lambda names: tuple(name for name in parameter.choices if name in names))
    return some.lists(TEXT, max_size=4).map(tuple) if parameter.kind == "list" else TEXT


@some.composite
def sets(draw: Any) -> ParameterSet:
    """Any set the format can hold, over the whole vocabulary."""
    keys = draw(some.lists(some.sampled_from(list(vocabulary())), unique=True, max_size=60))
    split = draw(some.integers(0, len(keys)))
    at = draw(some.datetimes(*YEARS, timezones=some.just(UTC)))
    reading = Reading(
        draw(some.sampled_from(READING_KINDS)),
        at.replace(tzinfo=timezone(timedelta(hours=draw(some.integers(-12, 12))))),
        draw(TEXT),
        "file",
        draw(some.sampled_from(OCCASIONS)),
        as_shown=tuple(draw(some.lists(TEXT, max_size=2))),
    )
    return ParameterSet(
        asset="E1",
        model="some-model",
        reading=draw(some.none() | some.just(reading)),
        values={key: draw(values_of(vocabulary()[key])) for key in keys[:split]},
        not_read={key: draw(TEXT) for key in keys[split:]},
        native=draw(some.dictionaries(TEXT, TEXT, max_size=5)),
    )


@given(sets())
def test_what_is_written_reads_back_the_same(parameters: ParameterSet) -> None:
    assert read_set(write_set(parameters), "set.toml") == parameters


@given(sets(), some.randoms(use_true_random=False))
def test_the_same_set_gives_the_same_bytes_in_any_order(parameters: ParameterSet, shuffle: Any) -> None:
    def mixed(mapping: Any) -> dict[str, Any]:
        items = list(mapping.items())
        shuffle.shuffle(items)
        return dict(items)

    other = ParameterSet(
        parameters.asset,
        parameters.model,
        reading=parameters.reading,
        values=mixed(parameters.values),
        not_read=mixed(parameters.not_read),
        native=mixed(parameters.native),
    )
    assert write_set(other) == write_set(parameters)


def test_every_key_of_the_vocabulary_stands_at_its_dotted_path() -> None:
    samples: dict[str, Any] = {}
    for key in vocabulary():
        parameter = vocabulary()[key]
        if parameter.is_number:
            samples[key] = Decimal("3") if parameter.kind == "integer" else Decimal("3.50")
        elif parameter.choices:
            first = next(iter(parameter.choices))
            samples[key] = (first,) if parameter.kind == "set" else first
        else:
            samples[key] = ("one", "two") if parameter.kind == "list" else "text"
    again = read_set(write_set(ParameterSet(values=samples)), "set.toml")
    assert again.values == samples
    assert str(again.values["ramps.accel_time_1_s"]) == "3.50"


BAD: list[tuple[bytes, int, str]] = [
    (b"format = 1\n[ramps]\naccel_time_1_s = 8.0\naccel_time_1_s = 9.0\n", 4, "not TOML"),
    (b"format = 1\n[ramps]\naccel_time_1_s = \n", 3, "not TOML"),
    (b"[ramps]\naccel_time_1_s = 8.0\n", 1, "the line format = 1 is missing"),
    (b"format = 2\n", 1, "newer than this program"),
    (b"format = 1\n[ramps]\nacel_time_1_s = 8.0\n", 3, "Did you mean ramps.accel_time_1_s"),
    (b'format = 1\n[ramps]\naccel_time_1_s = "8.0"\n', 3, "is a number in s"),
    (b"format = 1\n[ramps]\naccel_time_1_s = true\n", 3, "is a number in s"),
    (b"format = 1\n[ramps]\naccel_time_1_s = nan\n", 3, "no drive can hold"),
    (b"format = 1\n[ramps]\naccel_time_1_s = inf\n", 3, "no drive can hold"),
    (b"format = 1\n[recovery]\nauto_reset_attempts = 9007199254740993\n", 3, "beyond"),
    (b"format = 1\n[recovery]\nauto_reset_attempts = 1.5\n", 3, "whole number"),
    (b'format = 1\n[access]\nsetting_lock = "lockd"\n', 3, "Did you mean locked"),
    (b"format = 1\n[access]\nsetting_lock = true\n", 3, "choice in quotes"),
    (b'format = 1\n[recovery]\nauto_reset_faults = ["overload", "overload"]\n', 3, "twice"),
    (
        b'format = 1\n[not_read]\n"ramps.accel_time_1_s" = "hidden"\n[ramps]\naccel_time_1_s = 8.0\n',
        3,
        "also stands",
    ),
    (
        b'format = 1\n[reading]\nkind = "as_left"\nat = 2026-03-12T14:05:00\nby = "R"\nhow = "file"\n',
        4,
        "with a zone",
    ),
    (b'format = 1\n[reading]\nkind = "left"\n', 3, "It is one of as_found"),
    (b"\xef\xbb\xbfformat = 1\n", 1, "byte order mark"),
    (b"format = 1\r\n", 1, "Windows line ends"),
    (b"format = 1\n\x00\x01\n", 2, "binary"),
    (b"format = 1\n# \xff\xfe\n", 2, "not UTF-8"),
    (b"format = 1\n<<<<<<< ours\nx = 1\n=======\nx = 2\n>>>>>>> theirs\n", 2, "unfinished merge"),
    (b"format = 1\nx = " + b"[" * 40 + b"]" * 40 + b"\n", 2, "nested"),
    (b"format = 1\n[ramps]\naccel_time_1_s = " + b"9" * 60 + b"\n", 3, "digits"),
    (b"format = 1\n" + b"#" * 2_100_000, 0, "bytes, more than"),
]


@pytest.mark.parametrize(("content", "line", "words"), BAD, ids=[words for _, _, words in BAD])
def test_a_bad_file_is_refused_with_its_line(content: bytes, line: int, words: str) -> None:
    with pytest.raises(Refused) as refused:
        read_set(content, "bad.toml")
    said = [fault for fault in refused.value.faults if words in f"{fault.what} {fault.do_next}"]
    assert said, str(refused.value)
    assert said[0].line == line
    assert said[0].where == "bad.toml"


def test_all_faults_of_a_file_are_told_at_once() -> None:
    content = b'format = 1\n[ramps]\naccel_time_1_s = "x"\ndecel_time_1_s = true\n[acces]\nsetting_lock = "locked"\n'
    with pytest.raises(Refused) as refused:
        read_set(content, "bad.toml")
    assert [fault.line for fault in refused.value.faults] == [3, 4, 6]


@given(some.binary(max_size=200) | some.text(max_size=200).map(lambda text: text.encode()))
def test_no_bytes_at_all_bring_the_reader_down(content: bytes) -> None:
    try:
        read_set(content, "any")
    except Refused as refused:
        assert refused.faults
