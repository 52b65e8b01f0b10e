"""Each kind of rule holds, is breached, cannot be told and does not apply, as its case file says."""

from __future__ import annotations

from typing import Any

import pytest
from spec_subjects import CASES, TODAY, cases_of, others_of, rule_of, spec_of, subject_of

from asleft.spec import judge, read_aloud
from asleft.spec.kinds import KINDS

ALL = [case for kind in KINDS for case in cases_of(CASES / f"{kind}.toml")]
HELD = ("found", "required", "set_to", "words", "keys")


@pytest.mark.parametrize("case", [case for _, case in ALL], ids=[name for name, _ in ALL])
def test_a_rule_says_what_its_case_says(case: dict[str, Any]) -> None:
    spec = spec_of({"1": case["rule"]}, case.get("spec_application", "any")).usable()
    on = case.get("on", TODAY)
    (finding,) = judge([spec], subject_of(case), others_of(case), (), on)
    assert finding.result == case["result"], finding.words
    for name in HELD:
        if name in case:
            said = getattr(finding, name)
            assert (list(said) if name == "keys" else said) == case[name]
    for part in case.get("says", []):
        assert part in finding.words


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_case_of_each_result(kind: str) -> None:
    results = {case["result"] for _, case in cases_of(CASES / f"{kind}.toml")}
    assert {"met", "breached", "cannot_tell", "not_applicable"} <= results


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_read_aloud(kind: str) -> None:
    for _, case in cases_of(CASES / f"{kind}.toml"):
        said = read_aloud(rule_of(case["rule"]))
        assert said.startswith("Rule 1: ") and said.endswith("What a breach can do.")
        if "aloud" in case:
            assert said == f"Rule 1: {case['aloud']}. What a breach can do."
