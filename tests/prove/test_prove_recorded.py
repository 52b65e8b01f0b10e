"""A functional test as it is recorded, explained, shown, and what it says of the set as last left."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from prove_sets import inputs_of

from asleft.files import tests as on_disk
from asleft.files.tests import RESULTS, FunctionalTest, read_test, write_test
from asleft.jobs import tested, testing
from asleft.record import Refused

WHO = ("--by", "R. Example", "--at", "2026-09-03T10:00")


def observed(site: Path, tag: str, **other: str) -> Path:
    """A file in which every step of a sheet is as predicted but those named by id, with "_" for "."."""
    rows = ["step,observed"]
    for step in testing.sheet(tag, inputs_of(site)).sheet.steps:
        plain = step.id.replace(".", "_").replace("-", "_")
        text = "" if step.value is None else str(step.value)
        rows.append(f"{step.number},{other.get(plain, text or 'yes')}")
    path = site.parent / "observed.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def passed(site: Path, tag: str) -> bool | None:
    record = inputs_of(site).record
    assert record is not None
    return tested.tests_passed(record, tag)


SPAN = "38.8 Hz at 12 mA is what a 0–20 mA setting gives (signal of analog input 1; recorded: 4 to 20 mA)."
EXPLAINED = [
    # The invented scenario of the demo: F3 gives 38.8 Hz at 12 mA, 22 + 28 x 12/20.
    pytest.param("F3", {"analog-1.50": "38.8"}, "analog-1.50", (SPAN,), id="another span"),
    pytest.param(
        "F3",
        {"analog-1.0": "27.6", "analog-1.50": "38,8 Hz", "analog-1.100": "50.0"},
        "analog-1.50",
        (SPAN,),
        id="another span, seen at three signals",
    ),
    pytest.param(
        "F3", {"remote.start": "36.0", "analog-1.50": "38.8"}, "analog-1.50", (), id="against what passed"
    ),
    pytest.param("F3", {"analog-1.50": "37.3"}, "analog-1.50", (), id="nothing known gives it"),
    # 6.5 s to 50 Hz was found in September: 6.5 x 45/50 = 5.85 s. A ramp reference of 60 Hz would give 6.0 s
    # up, and 9.0 s down.
    pytest.param(
        "E1",
        {"remote.start-time": "5.8", "remote.stop-time": "10.8"},
        "remote.start-time",
        ("5.8 s is what acceleration time 1 at 6.5 s gives (recorded: 8.0 s).",),
        id="an earlier ramp",
    ),
    pytest.param(
        "E1",
        {"external-fault.running": "no: keeps running at 45.0 Hz, warning external fault"},
        "external-fault.running",
        (
            "That it keeps running at 45.0 Hz, warning external fault is what reaction to an external fault "
            '"warning only" gives (recorded: fault, coasting).',
        ),
        id="another reaction, in words",
    ),
]


@pytest.mark.parametrize(("tag", "seen", "failed", "words"), EXPLAINED)
def test_what_another_known_setting_would_give_is_said(
    built_demo: Path,
    demo: Any,
    tmp_path: Path,
    tag: str,
    seen: dict[str, str],
    failed: str,
    words: tuple[str],
) -> None:
    numbers = {step.id: step.number for step in testing.sheet(tag, inputs_of(built_demo)).sheet.steps}
    rows = [f'{numbers[id]} = "{text}"' for id, text in seen.items()]
    file = tmp_path / "seen.toml"
    file.write_text("\n".join(["[observed]", *rows]) + "\n", encoding="utf-8")
    ran = demo("test", "record", tag, "--from", str(file), *WHO, "--dry-run", "--format", "json")
    assert ran.code == 1
    explained = {step["id"]: tuple(step["explained"]) for step in ran.data["steps"]}
    assert explained[failed] == words
    text = demo("test", "record", tag, "--from", str(file), *WHO, "--dry-run").out.splitlines()
    assert text[1].startswith("Look first: " if words else "No single known setting explains it")


def test_a_test_is_recorded_with_its_reading_and_once(own_demo: Path, in_own_demo: Any) -> None:
    assert passed(own_demo, "E1") is None
    file = observed(own_demo, "E1")
    first = in_own_demo("test", "record", "E1", "--from", str(file), *WHO, "--format", "json")
    again = in_own_demo("test", "record", "E1", "--from", str(file), *WHO, "--format", "json")
    record = inputs_of(own_demo).record
    assert record is not None
    assert first.code == 0
    assert first.data["reading"] == record.series("E1", "as_left")[-1].blob
    assert first.data["path"] == "assets/E1/tests/2026-09-03-1000.toml"
    assert (first.data["test"], again.data["test"]) == ("first", "retest")
    assert len(tested.tests_of(record, "E1")) == 2
    assert passed(own_demo, "E1") is True
    left, found = (record.series("E1", kind)[-1].set for kind in ("as_left", "as_found"))
    assert tested.test_facts(record, "E1", left) == {"tests.passed": "yes"}
    assert tested.test_facts(record, "E1", found) == tested.test_facts(record, "F1", left) == {}
    assert in_own_demo("verify").code == 0
    assert "is passed" in in_own_demo("test", "show", "E1").out.splitlines()[0]


@pytest.mark.parametrize(
    ("other", "result"),
    [
        ({"local_stop": "no, it coasts"}, False),
        ({"local_stop": "it hummed"}, False),
        ({"local_stop": " "}, False),
        ({"supply_dip": "left out: no switch"}, True),
        ({"current_normal": "25.1 A"}, True),
        ({"remote_direction": "no"}, False),
        ({"remote_direction": " "}, False),
    ],
)
def test_every_step_counts(own_demo: Path, in_own_demo: Any, other: dict[str, str], result: bool) -> None:
    file = observed(own_demo, "E1", **other)
    in_own_demo("test", "record", "E1", "--from", str(file), *WHO)
    assert passed(own_demo, "E1") is result


def test_a_failed_step_is_put_right_by_a_retest_of_it_alone(own_demo: Path, in_own_demo: Any) -> None:
    in_own_demo("test", "record", "E1", "--from", str(observed(own_demo, "E1", remote_stop="no")), *WHO)
    assert passed(own_demo, "E1") is False
    retest = own_demo.parent / "retest.toml"
    retest.write_text('[observed]\n4 = "yes"\n', encoding="utf-8")
    ran = in_own_demo(
        "test", "record", "E1", "--from", str(retest), "--by", "R. Example", "--at", "2026-09-04T08:00"
    )
    assert ran.code == 0
    assert passed(own_demo, "E1") is True


def left_again(site: Path, in_own_demo: Any, was: str, now: str) -> None:
    text = (site / "assets" / "E1" / "as_left.toml").read_text(encoding="utf-8")
    assert was in text
    body = text.replace(was, now, 1)
    head, _, rest = body.partition("[reading]")
    (site.parent / "e1.toml").write_text(head + "[" + rest.split("\n[", 1)[1], encoding="utf-8")
    ran = in_own_demo(
        "snapshot", "E1", "--from", str(site.parent / "e1.toml"), "--reading", "as-left",
        "--occasion", "change", "--by", "R. Example", "--at", "2026-09-05T09:00",
    )  # fmt: skip
    assert ran.code == 0, ran.err


@pytest.mark.parametrize(
    ("was", "now", "result"),
    [
        ("run_time_h = 905", "run_time_h = 906", True),
        ("accel_time_1_s = 8.0", "accel_time_1_s = 9.0", False),
        ('serial_number = "M4-25-01587"', 'serial_number = "M4-26-00001"', False),
    ],
    ids=["a counter moves", "a ramp is changed", "another unit"],
)
def test_what_is_proved_stays_so_until_its_prediction_changes(
    own_demo: Path, in_own_demo: Any, was: str, now: str, result: bool
) -> None:
    in_own_demo("test", "record", "E1", "--from", str(observed(own_demo, "E1")), *WHO)
    left_again(own_demo, in_own_demo, was, now)
    assert passed(own_demo, "E1") is result


def test_a_sheet_printed_of_another_set_is_refused(own_demo: Path, in_own_demo: Any) -> None:
    printed = in_own_demo("test", "sheet", "F2", "--format", "csv").out
    lines = printed.splitlines()
    filled = own_demo.parent / "f2.csv"
    filled.write_text(
        "\n".join([lines[0], *(line.replace(",,,,,", ",yes,,,,", 1) for line in lines[1:])]) + "\n"
    )
    ran = in_own_demo("test", "record", "E1", "--from", str(filled), *WHO)
    assert ran.code == 2
    assert "was analog-1.0 on the sheet that was printed" in ran.err


def test_a_test_belongs_to_a_recorded_reading(in_own_demo: Any, own_demo: Path) -> None:
    file = observed(own_demo, "E1")
    ran = in_own_demo("test", "record", "E1@factory", "--from", str(file), *WHO)
    assert ran.code == 2
    assert "is no recorded reading" in ran.err


def test_the_sheet_speaks_first_of_what_matters(demo: Any) -> None:
    lines = demo("test", "sheet", "E1").out.splitlines()
    assert lines[0] == "E1 functional test: 57 steps, 2 of them without a prediction."
    assert "asleft test record E1 --from FILE" in lines[1]
    text = "\n".join(lines)
    assert "[STARTS BY ITSELF, AGAIN]" in text
    assert "Not simulated, so nothing is said of them: " in text
    again = demo("test", "sheet", "E1", "--again", "--format", "json").data
    assert again["only_again"] is True
    assert 0 < len(again["steps"]) < 57
    assert all(step["again_after_replacement"] for step in again["steps"])


TEXT = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=12)


@given(TEXT, TEXT, st.sampled_from(RESULTS), st.decimals(0, 100, places=2), st.booleans())
def test_a_test_reads_back_as_it_was_written(
    words: str, seen: str, result: str, value: Any, again: bool
) -> None:
    from datetime import UTC, datetime

    step = on_disk.Tested(7, "a.b", words, "do it", words, value, "Hz", value, seen, result, again=again)
    test = FunctionalTest(
        "E1", "00", words, "first", datetime(2026, 9, 3, tzinfo=UTC), "R", (step,), witness=seen
    )
    assert read_test(write_test(test), "t.toml") == test
    assert write_test(read_test(write_test(test), "t.toml")) == write_test(test)


WHOLE = """format = 1
asset = "E1"
reading = "00"
read = "as left"

[test]
kind = "first"
at = 2026-09-03T10:00:00+02:00
by = "R. Example"

[steps.1]
id = "remote.start"
do = "close it"
predicted_hz = 45.0
tolerance_hz = 0.1
observed = "45.0"
result = "pass"
"""
FAULTY = [
    ("format = 1", "format = 2", 1, "format 2 is newer"),
    ("format = 1", "format = 1\nodd = 1", 2, "odd means nothing here"),
    ('asset = "E1"', "asset = 1", 2, "asset is a text"),
    ("2026-09-03T10:00:00+02:00", '"today"', 8, "no date and time"),
    ('kind = "first"', 'kind = "second"', 7, "kind is 'second'"),
    ('by = "R. Example"', "by = 1", 9, "by is a text"),
    ('by = "R. Example"', 'bye = "R. Example"', 9, "bye means nothing"),
    ("[steps.1]", "[steps.one]", 11, "a table with its number"),
    ('result = "pass"', 'result = "perhaps"', 17, "result is 'perhaps'"),
    ("predicted_hz = 45.0", 'predicted_hz = "45"', 14, "is a number"),
    ("tolerance_hz = 0.1\n", "", 11, "go together"),
    ('id = "remote.start"\n', "", 11, "does not say id"),
    ('observed = "45.0"', "observed = 45.0", 16, "observed is a text"),
    ('observed = "45.0"', "again = 1", 16, "again is true or false"),
    ('observed = "45.0"', 'explained = "x"', 16, "explained is a list"),
]


@pytest.mark.parametrize(("was", "now", "line", "words"), FAULTY, ids=[row[3] for row in FAULTY])
def test_a_faulty_record_of_a_test_is_refused_with_its_line(
    was: str, now: str, line: int, words: str
) -> None:
    assert read_test(WHOLE.encode(), "t.toml").steps[0].result == "pass"
    with pytest.raises(Refused) as refused:
        read_test(WHOLE.replace(was, now, 1).encode(), "t.toml")
    assert [(fault.line, words in fault.what) for fault in refused.value.faults] == [(line, True)]
