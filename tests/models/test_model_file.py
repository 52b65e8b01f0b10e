"""A model file that is not in form is refused by name and line, and never breaks the reader."""

import tomllib
from typing import Any

import pytest
from demo_models import CASES, file_of, planted, text_of
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.models import read_model
from asleft.models.check import check
from asleft.record import Refused

MISSHAPEN = tomllib.loads((CASES / "misshapen.toml").read_text(encoding="utf-8"))


def text_for(case: dict[str, Any]) -> str:
    if "whole" in case:
        return text_of("merrow-m4").replace(case["whole"], case["now"], 1)
    return planted("merrow-m4", case["table"], case.get("was", ""), case["now"])


@pytest.mark.parametrize("case", MISSHAPEN.values(), ids=MISSHAPEN)
def test_what_is_out_of_form_is_named_with_its_line(case: dict[str, Any]) -> None:
    text = text_for(case)
    file = read_model(text.encode(), "list.toml")
    assert len(file.faults) == len(case["says"]), "\n".join(map(str, file.faults))
    for fault, says, at in zip(file.faults, case["says"], case["at"], strict=True):
        assert says in fault.what
        assert at in text.split("\n")[fault.line - 1]
    with pytest.raises(Refused) as refused:
        file.size("5k5")
    assert refused.value.faults == file.faults


def test_what_is_no_toml_is_refused_at_once() -> None:
    with pytest.raises(Refused, match="this is not TOML"):
        read_model(b"format = 1\nname =\n", "list.toml")


@pytest.mark.parametrize("missing", ["name", "title", "firmware", "sizes", "parameters"])
def test_each_part_that_every_file_has_is_asked_for(missing: str) -> None:
    parts = {
        "name": 'name = "small"',
        "title": 'title = "Small"',
        "firmware": 'firmware = ["1.0"]',
        "sizes": "[sizes.one]",
        "parameters": '[parameters.1]\ntext = "Words"\nmenu = "A"',
    }
    text = "format = 1\n" + "\n".join(part for name, part in parts.items() if name != missing)
    (fault,) = read_model(text.encode(), "small.toml").faults
    assert fault.what == f"{missing} is missing."


def test_a_size_there_is_not_is_refused_with_those_there_are() -> None:
    with pytest.raises(Refused, match=r"merrow-m4 has no size '30k'.*15k, 18k5, 22k"):
        file_of("merrow-m4").size("30k")


# Values a hand or a broken export may leave behind an equals sign.
NUMBERS = ("3", "-1", "0.5", '"-5"', '"1e40"', "2026-03-12")
OTHERS = ("true", '""', '"x"', "[]", '["x"]', "[[]]", "{}", '{ a = "b" }', '{ "0" = ["x"] }')
ODD = st.sampled_from((*NUMBERS, *OTHERS))
WORDS = sorted(
    {line.split(" = ")[0] for line in text_of("skarn-k").split("\n") if " = " in line and line[0].isalpha()}
)


@settings(deadline=None, derandomize=True, max_examples=150)
@given(st.lists(st.tuples(st.sampled_from(WORDS), ODD), max_size=6, unique_by=lambda pair: pair[0]))
def test_an_odd_file_is_answered_with_faults_and_never_breaks_the_check(
    fields: list[tuple[str, str]],
) -> None:
    row = "\n".join(f"{name} = {value}" for name, value in fields)
    text = (
        'format = 1\nname = "odd"\ntitle = "Odd"\nfirmware = ["1"]\n[sizes.one]\n'
        f'[parameters.1]\n{row}\n[parameters.2]\ntext = "a"\nmenu = "b"\n'
    )
    faults = check(read_model(text.encode(), "odd.toml"))
    assert faults
    assert all(fault.what and fault.where == "odd.toml" for fault in faults)
