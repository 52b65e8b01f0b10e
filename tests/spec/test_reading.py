"""Every fault of a spec is named, with its line; nothing a file can hold makes the reader fall over."""

from __future__ import annotations

import json
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st
from spec_subjects import CASES, COMMON, HEAD, TODAY, cases_of, model_of, spec_of, subject_of
from tests.conftest import examples

from asleft.record import Refused
from asleft.spec import SpecFile, check_spec, judge, read_spec
from asleft.spec.kinds import KINDS, fields_of
from asleft.spec.ready import ready_bytes, ready_names

FAULTS = list(cases_of(CASES / "faults.toml"))
REMARKS = list(cases_of(CASES / "remarks.toml"))


def _file(case: dict[str, Any]) -> SpecFile:
    fields = {name: value for name, value in COMMON.items() if name != case.get("drop")}
    return read_spec(
        (HEAD + tomli_w.dumps({"rule": {"1": {**fields, **case["rule"]}}})).encode(), "test.toml"
    )


@pytest.mark.parametrize("case", [case for _, case in FAULTS], ids=[name for name, _ in FAULTS])
def test_a_fault_is_named(case: dict[str, Any]) -> None:
    faults = _file(case).faults
    assert any(case["says"] in f"{fault.what} {fault.do_next}" for fault in faults), [
        str(one) for one in faults
    ]
    assert all(fault.line >= 7 for fault in faults), "the line of the rule, or of its field"


@pytest.mark.parametrize("case", [case for _, case in REMARKS], ids=[name for name, _ in REMARKS])
def test_what_is_said_of_a_spec_that_can_be_read(case: dict[str, Any]) -> None:
    proof = {"proved_by": "Seen at the machine."}
    file = spec_of({rule: {**proof, **fields} for rule, fields in case["rules"].items()})
    models = (
        [model_of(case.get("lacks", []), case.get("fixed", {}), {})]
        if {"lacks", "fixed"} & case.keys()
        else []
    )
    remarks = check_spec(file, models)
    assert [remark.about for remark in remarks] == ([case["about"]] if case["about"] else [])
    for part in case.get("says", []):
        assert part in remarks[0].words


def test_specs_beside_each_other_can_contradict() -> None:
    rule = {"kind": "exact", "key": "access.setting_lock", "proved_by": "Seen."}
    one = spec_of({"1": {**rule, "value": "locked"}})
    other = read_spec(
        (
            HEAD.replace('"test"', '"other"')
            + tomli_w.dumps({"rule": {"7": {**COMMON, **rule, "value": "open"}}})
        ).encode(),
        "other.toml",
    )
    (remark,) = check_spec(one, beside=[other, one])
    assert "Rule 1 and rule 7 of other contradict each other" in remark.words


@pytest.mark.parametrize("field", ["name", "title", "revision", "owner", "application"])
def test_the_head_is_whole(field: str) -> None:
    lines = [line for line in HEAD.splitlines() if not line.startswith(f"{field} =")]
    faults = read_spec("\n".join(lines).encode(), "test.toml").faults
    assert [fault.what for fault in faults] == [f"{field} is missing."]


@pytest.mark.parametrize("name", ready_names())
def test_a_ready_spec_has_no_faults_and_no_contradictions(name: str) -> None:
    remarks = check_spec(read_spec(ready_bytes(name), name))
    assert {remark.about for remark in remarks} <= {"blank", "untested"}


SCALARS = st.one_of(
    st.booleans(), st.integers(-5, 400), st.sampled_from(["", "?", "8 s", "off", "locked", "ramps.accel_time_1_s"]),
    st.sampled_from(["outputs.relay_n.function", "run closes", "expect running", "receiver", "equal", "_n", "a._n.b"]),
)  # fmt: skip
RAW = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["is_not", "at_least", "access.setting_lock", "x"]), inner, max_size=2
        )
    ),
    max_leaves=6,
)


@settings(max_examples=examples(300, 100), deadline=None)
@given(st.data())
def test_no_rule_makes_reader_or_judge_fall_over(data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(sorted(KINDS)))
    fields = st.sampled_from(sorted({*fields_of(kind), "when", "text", "severity", "application"}))
    rule = {"kind": kind, **data.draw(st.dictionaries(fields, RAW, max_size=5))}
    file = spec_of({"1": rule})
    if not file.faults:
        (finding,) = judge([file.usable()], subject_of({}), {}, (), TODAY)
        assert json.dumps([finding.words, finding.found])


def test_rules_that_are_no_tables_are_named() -> None:
    for text in ("rule = 3", "[rule]\n1 = 3"):
        faults = read_spec((HEAD + text).encode(), "test.toml").faults
        assert any("table" in fault.what for fault in faults)


def test_a_spec_of_a_newer_format_is_refused() -> None:
    file = read_spec(HEAD.replace("format = 1", "format = 2").encode(), "test.toml")
    with pytest.raises(Refused, match="format 2 is newer"):
        file.usable()
