"""How an observation is judged, and what is read from a file of observations."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from prove_sets import load

from asleft.prove.judge import judge
from asleft.prove.observed import Observed, read_observed
from asleft.prove.sheet import Step
from asleft.record import Refused

CASES = load("judged")["case"]


def step_of(case: dict[str, Any]) -> Step:
    number, _, unit = case["predicts"].partition(" ")
    is_value = "tolerance" in case
    return Step(
        number=1,
        id="one",
        topic="One",
        start="at rest",
        words="do it",
        load="any",
        supply=False,
        value=Decimal(number) if is_value else None,
        unit=unit if is_value else "",
        tolerance=Decimal(case["tolerance"]) if is_value else None,
        says="" if case.get("cannot") else case["predicts"],
        caution="",
        again=False,
        recipe=None,
        cannot=case.get("cannot", ""),
    )


ROWS = [(case, written, result) for case in CASES for written, result in case["written"].items()]


@pytest.mark.parametrize(("case", "written", "result"), ROWS, ids=lambda value: str(value)[:30])
def test_an_observation_is_judged(case: dict[str, Any], written: str, result: str) -> None:
    judged = judge(step_of(case), written)
    assert judged.result == result
    assert judged.because or result in ("pass", "not_done")


CSV = "step,observed,tester,witness,remark\n1,45.0,R. Example,H. Example,steady\n2,,,,\n3,yes,,,\n"
SAME = [
    pytest.param(CSV.encode(), "t.csv", id="csv"),
    pytest.param(CSV.replace(",", ";").encode("utf-8-sig"), "t.csv", id="csv of a spreadsheet"),
    pytest.param(CSV.replace("step", "No.").replace("\n", "\r\n").encode(), "t.csv", id="csv, CR LF"),
    pytest.param(
        b'[steps.1]\nobserved = "45.0"\ntester = "R. Example"\nwitness = "H. Example"\nremark = "steady"\n'
        b'[observed]\n3 = "yes"\n',
        "t.toml",
        id="toml",
    ),
]


@pytest.mark.parametrize(("content", "name"), SAME)
def test_every_form_of_file_gives_the_same_observations(content: bytes, name: str) -> None:
    found = read_observed(content, name)
    assert [(one.number, one.text, one.tester, one.witness, one.remark) for one in found] == [
        (1, "45.0", "R. Example", "H. Example", "steady"),
        (3, "yes", "", "", ""),
    ]


def test_a_number_in_toml_keeps_its_digits() -> None:
    assert read_observed(b"[observed]\n1 = 45.0\n", "t.toml") == (Observed(1, "45.0", line=2),)


FAULTY = [
    (b"number,value\n1,2\n", "t.csv", 1, "no column observed"),
    (b"step,observed,by whom\n1,2,x\n", "t.csv", 1, "'by whom' means nothing"),
    (b"step,observed\nfirst,45\n", "t.csv", 2, "'first' is no step number"),
    (b"step,observed\n1,45\n1,46\n", "t.csv", 3, "step 1 is there twice"),
    (b"step,observed\n1,\n", "t.csv", 0, "nothing is observed"),
    (b"[seen]\n1 = 2\n", "t.toml", 1, "seen means nothing"),
    (b'[steps.1]\nobserved = "1"\nfelt = "good"\n', "t.toml", 3, "felt means nothing"),
    (b"[observed]\n1 = true\n", "t.toml", 2, "a text or a number"),
    (b"[observed\n", "t.toml", 1, "not TOML"),
]


@pytest.mark.parametrize(("content", "name", "line", "words"), FAULTY, ids=[row[3] for row in FAULTY])
def test_a_faulty_file_is_refused_with_its_line(content: bytes, name: str, line: int, words: str) -> None:
    with pytest.raises(Refused) as refused:
        read_observed(content, name)
    assert any(words in str(fault) and fault.line == line for fault in refused.value.faults)
