"""A planted fault is named, with its line, and nothing else is."""

import tomllib
from collections import Counter
from decimal import Decimal
from typing import Any

import pytest
from demo_models import CASES, FAMILIES, file_of, planted

from asleft.models import read_model
from asleft.models.check import check
from asleft.vocabulary import vocabulary

PLANTED = tomllib.loads((CASES / "planted.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("family", FAMILIES)
def test_a_sound_model_has_no_faults(family: str) -> None:
    assert check(file_of(family)) == ()


@pytest.mark.parametrize("case", PLANTED.values(), ids=PLANTED)
def test_a_planted_fault_is_named_with_its_line(case: dict[str, Any]) -> None:
    text = planted(case["file"], case["table"], case.get("was", ""), case["now"])
    faults = check(read_model(text.encode(), "planted.toml"))
    assert len(faults) == len(case["says"]), "\n".join(map(str, faults))
    lines = text.split("\n")
    for fault, says, at in zip(faults, case["says"], case["at"], strict=True):
        assert says in fault.what
        assert at in lines[fault.line - 1], f"{fault} names {lines[fault.line - 1]!r}"
        assert fault.where == "planted.toml"


def test_a_rule_may_ask_for_a_finer_display() -> None:
    (fault,) = check(file_of("skarn-k"), {"control.current_limit_a": Decimal("0.1")})
    assert "41161 (Peak current): one step is" in fault.what
    assert "control.current_limit_a is judged to 0.1 A" in fault.what


def test_faults_of_form_are_answered_alone() -> None:
    text = planted("merrow-m4", "parameters.3610sub1", 'step = "0.1"', 'step = "a tenth"')
    file = read_model(text.encode(), "planted.toml")
    assert [fault.what for fault in check(file)] == ["'a tenth' is no number in quotes."]


@pytest.mark.parametrize("family", FAMILIES)
def test_a_demo_model_is_as_long_as_a_real_list(family: str) -> None:
    file = file_of(family)
    model = file.size(file.sizes[0])
    assert len(model.natives) >= 140
    groups = Counter(key.partition(".")[0] for key in model.by_key)
    lacking = {group.name for group in vocabulary().groups} - groups.keys()
    assert lacking <= {"mechanical_brake"}
    assert sum(native.locked_running for native in model.natives.values()) > 30
    assert any(native.sets for native in model.natives.values())
    assert any(native.after for native in model.natives.values())
    assert all(native.register for native in model.natives.values())
