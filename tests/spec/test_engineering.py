"""The rules that need no spec find what their cases say, and can each be switched off."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from spec_subjects import CASES, TODAY, cases_of, others_of, subject_of

from asleft.spec import engineering, judge

ALL = list(cases_of(CASES / "engineering.toml"))


@pytest.mark.parametrize("case", [case for _, case in ALL], ids=[name for name, _ in ALL])
def test_an_engineering_rule_finds_what_its_case_says(case: dict[str, Any]) -> None:
    spec = engineering()
    only = replace(spec, rules=tuple(rule for rule in spec.rules if rule.id == case["rule"]))
    (finding,) = judge([only], subject_of(case), others_of(case), (), TODAY)
    assert finding.result == case["result"], finding.words
    assert finding.found == case.get("found", finding.found)
    assert finding.set_to == case.get("set_to", finding.set_to)
    for part in case.get("says", []):
        assert part in finding.words


def test_every_engineering_rule_has_a_breach_among_its_cases() -> None:
    breached = {case["rule"] for _, case in ALL if case["result"] == "breached"}
    assert breached == {rule.id for rule in engineering().rules}


def test_every_engineering_breach_says_what_to_do_and_never_to_change_the_plate() -> None:
    spec = engineering()
    for _, case in ALL:
        if case["result"] == "breached":
            (finding,) = (
                one for one in judge([spec], subject_of(case), {}, (), TODAY) if one.rule == case["rule"]
            )
            assert finding.set_to, case["rule"]
            assert not any(key.startswith(("motor.", "drive.", "plate.")) for key in finding.targets)


def test_every_engineering_rule_names_its_source() -> None:
    assert all(rule.source for rule in engineering().rules)


def test_a_rule_can_be_switched_off() -> None:
    assert engineering(off={"plate"}).rule("plate") is None
    assert len(engineering(off={"plate"}).rules) == len(engineering().rules) - 1
