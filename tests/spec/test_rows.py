"""Each rule of the ready specs says met, breached, cannot tell and not applicable where it should."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

import pytest
from spec_subjects import CASES, TODAY, others_of, subject_of

from asleft.files.toml import parse
from asleft.spec import judge
from asleft.spec.reader import read_spec
from asleft.spec.ready import ready, ready_bytes, ready_names
from asleft.spec.rules import Spec

RESULTS = ("met", "breached", "cannot_tell", "not_applicable")
EXAMPLES = 52
"""Rules of the trade the ready specs are made from, numbered from 1; a letter is a part of one."""


def _rows(name: str) -> Mapping[str, Any]:
    text = (CASES / "rows" / f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text, parse_float=Decimal)


def _cases() -> Iterator[tuple[str, str, Mapping[str, Any], str, Mapping[str, Any]]]:
    for name in ready_names():
        data = _rows(name)
        for rule, row in data["row"].items():
            for result in RESULTS:
                given = row[result] if isinstance(row[result], list) else [row[result]]
                for case in given:
                    base = data.get("base", {}) if case.get("base") else {}
                    values = {**base, **case.get("values", {})}
                    full = {"model": bool(base), **case, "values": values}
                    yield name, rule, row.get("fill", {}), result, full


def _filled(name: str, rule: str, fill: Mapping[str, Any]) -> Spec:
    """The ready spec with one rule alone, its blanks filled in as a site would."""
    import tomli_w

    data = dict(parse(ready_bytes(name), name).data)
    data["rule"] = {rule: {**data["rule"][rule], **fill}}
    return read_spec(tomli_w.dumps(data).encode(), name).usable()


ALL = list(_cases())


@pytest.mark.parametrize(
    ("name", "rule", "fill", "result", "case"),
    ALL,
    ids=[f"{name} {rule} {result}" for name, rule, _, result, _ in ALL],
)
def test_a_row_comes_out_as_its_case_says(
    name: str, rule: str, fill: Mapping[str, Any], result: str, case: Mapping[str, Any]
) -> None:
    (finding,) = judge([_filled(name, rule, fill)], subject_of(case), others_of(case), (), TODAY)
    assert finding.result == result, finding.words
    if result == "breached":
        assert finding.words.endswith(finding.because) and finding.found
        assert finding.set_to, "what to do"


def test_every_rule_of_every_ready_spec_has_its_row_of_cases() -> None:
    for name in ready_names():
        assert [rule.id for rule in ready(name).spec.rules] == list(_rows(name)["row"])


def test_the_ready_specs_hold_every_example_rule() -> None:
    ids = [rule.id for name in ready_names() for rule in ready(name).spec.rules]
    numbers = {int(rule.rstrip("abcdefgh")) for rule in ids if rule[0].isdigit()}
    assert numbers == set(range(1, EXAMPLES + 1))


@pytest.mark.parametrize("name", ready_names())
def test_a_blank_is_said_and_judges_nothing(name: str) -> None:
    spec = ready(name).usable()
    findings = judge([spec], subject_of({}), {}, (), TODAY)
    for rule, finding in zip(spec.rules, findings, strict=True):
        if rule.blanks:
            assert finding.result == "cannot_tell"
            assert "left to fill in" in finding.words
