"""A waiver covers its range, its days, its drive and its rule, and nothing else."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st
from spec_subjects import CASES, cases_of, others_of, spec_of, subject_of
from tests.conftest import examples

from asleft.record import Refused
from asleft.record.findings import Finding, Waiver
from asleft.spec import add_waiver, allowed_as_found, judge, read_waivers, waiver_notes
from asleft.spec.wanted import Range

ALL = list(cases_of(CASES / "waivers.toml"))


def _waivers(case: dict[str, Any]) -> tuple[Waiver, ...]:
    fields = {**case["waiver"], **case.get("change", {})}
    fields.pop(case.get("drop", ""), None)
    content = tomli_w.dumps({"format": 1, "waiver": {"W-01": fields}}).encode()
    return read_waivers(content, "waivers.toml").waivers


@pytest.mark.parametrize("case", [case for _, case in ALL], ids=[name for name, _ in ALL])
def test_a_waiver_covers_what_its_case_says(case: dict[str, Any]) -> None:
    spec, waivers, subject = spec_of({"1": case["rule"]}).usable(), _waivers(case), subject_of(case)
    (finding,) = judge([spec], subject, others_of(case), waivers, case["on"])
    assert finding.result == case["result"], finding.notes
    assert finding.waiver == ("W-01" if finding.result == "waived" else "")
    if "note" in case:
        assert case["note"] in finding.notes
    if "notes" in case:
        assert len(finding.notes) == case["notes"]
    if "about" in case:
        said = waiver_notes(waivers, [finding], {"E1": subject}, case["on"])
        assert [note.about for note in said] == case["about"]
        assert all("W-01" in note.words for note in said)


BREACHED = [(name, case) for name, case in ALL if case["result"] in ("breached", "waived")]


@pytest.mark.parametrize("case", [case for _, case in BREACHED], ids=[name for name, _ in BREACHED])
def test_a_waiver_written_from_what_was_found_covers_it(case: dict[str, Any]) -> None:
    spec, subject, others = (
        spec_of({"1": case["rule"]}).usable(),
        subject_of({**case, "events": {}}),
        others_of(case),
    )
    (finding,) = judge([spec], subject, others, (), case["on"])
    fields = {**case["waiver"], "allowed": allowed_as_found(finding), "from": case["on"], "until": case["on"]}
    content = add_waiver(b"", "waivers.toml", "W-09", fields)
    (waived,) = judge([spec], subject, others, read_waivers(content, "waivers.toml").waivers, case["on"])
    assert (waived.result, waived.waiver) == ("waived", "W-09"), waived.notes


def test_every_flaw_is_named_with_its_line() -> None:
    content = b'format = 1\n\n[waiver.W-01]\nrule = "1"\n'
    faults = read_waivers(content, "waivers.toml").faults
    assert {fault.line for fault in faults} == {3}
    missing = " ".join(fault.what for fault in faults)
    for field in ("reason", "asked_by", "approved_by", "assets", "allowed", "from", "until"):
        assert field in missing


def test_a_file_of_waivers_that_is_none_says_so() -> None:
    (fault,) = read_waivers(b"format = 1\nwaiver = 3\n", "waivers.toml").faults
    assert fault.line == 2 and "waiver is no table" in fault.what
    (bare,) = read_waivers(b"format = 1\n[waiver]\nW-01 = 3\n", "waivers.toml").waivers
    assert bare.flaws


def test_a_file_of_another_format_says_so() -> None:
    faults = read_waivers(b"format = 2\nwaivers = 1\n", "waivers.toml").faults
    assert [fault.what for fault in faults] == [
        "format 2 is newer than this program.",
        "waivers means nothing here.",
    ]


def test_of_two_waivers_the_second_is_said_to_be_used_by_nothing() -> None:
    case = next(cases_of(CASES / "waivers.toml"))[1]
    subject, spec = subject_of(case), spec_of({"1": case["rule"]}).usable()
    both = (*_waivers(case), replace(_waivers(case)[0], id="W-02"))
    found = judge([spec], subject, {}, both, case["on"])
    (note,) = waiver_notes(both, found, {"E1": subject}, case["on"])
    assert note.words == "Waiver W-02 is used by nothing at E1: another waiver covers rule 1."
    unread = judge([spec], subject_of({}), {}, both[:1], case["on"])
    (note,) = waiver_notes(both[:1], unread, {"E1": subject}, case["on"])
    assert note.words == "Waiver W-01 is used by nothing at E1: rule 1 finds no breach."


def test_a_waiver_is_added_only_whole_and_under_a_new_id() -> None:
    fields = dict(next(cases_of(CASES / "waivers.toml"))[1]["waiver"])
    first = add_waiver(b"", "waivers.toml", "W-01", fields)
    both = add_waiver(first, "waivers.toml", "W-02", {**fields, "assets": ["C2"]})
    assert [waiver.id for waiver in read_waivers(both, "waivers.toml").waivers] == ["W-01", "W-02"]
    with pytest.raises(Refused, match="already"):
        add_waiver(first, "waivers.toml", "W-01", fields)
    with pytest.raises(Refused, match="approved_by"):
        add_waiver(first, "waivers.toml", "W-03", {**fields, "approved_by": "A. Asker"})


# Each setting with a rule of its own: at most 10 s. A breach is anything above.
KEYS = ("ramps.decel_time_1_s", "ramps.decel_time_2_s", "ramps.quick_stop_time_s")
FIRST = date(2026, 1, 1)
SPEC = spec_of(
    {str(n): {"kind": "limit", "key": key, "at_most": "10 s"} for n, key in enumerate(KEYS)}
).usable()

days = st.integers(0, 40).map(lambda number: FIRST + timedelta(days=number))
bounds = st.one_of(st.none(), st.integers(5, 25).map(Decimal))
waivers = st.builds(
    Waiver,
    id=st.sampled_from(["W-01", "W-02", "W-03"]),
    rule=st.sampled_from(["0", "1", "2"]),
    spec=st.sampled_from(["", "test", "other"]),
    assets=st.lists(st.sampled_from(["E1", "E2"]), max_size=2).map(tuple),
    allowed=st.dictionaries(st.sampled_from(KEYS), st.builds(Range, bounds, bounds), max_size=3),
    start=st.one_of(st.none(), days),
    until=st.one_of(st.none(), days),
    stays_with_slot=st.booleans(),
    flaws=st.sampled_from([(), (), ("approved_by is missing",)]),
)


def _hidden_rightly(
    finding: Finding, all_waivers: list[Waiver], value: Decimal, on: date, replaced: date
) -> bool:
    """Worked out anew from what a waiver is: rule, drive, days, range, unit."""
    key = KEYS[int(finding.rule)]
    for waiver in all_waivers:
        allowed = waiver.allowed.get(key)
        if not isinstance(allowed, Range) or waiver.flaws or waiver.start is None:
            continue
        within = (allowed.low is None or allowed.low <= value) and (
            allowed.high is None or value <= allowed.high
        )
        in_time = waiver.start <= on and (waiver.until is None or on <= waiver.until)
        same_unit = waiver.stays_with_slot or not waiver.start < replaced <= on
        named = waiver.rule == finding.rule and finding.asset in waiver.assets and waiver.spec in ("", "test")
        if within and in_time and same_unit and named:
            return True
    return False


@settings(max_examples=examples(400, 150), deadline=None)
@given(
    st.lists(waivers, max_size=6),
    st.tuples(*[st.integers(8, 22).map(Decimal)] * 3),
    st.sampled_from(["E1", "E2"]),
    days,
    days,
)
def test_no_combination_of_waivers_hides_a_breach_outside_range_date_drive_or_rule(
    all_waivers: list[Waiver], values: tuple[Decimal, ...], tag: str, on: date, replaced: date
) -> None:
    case = {"values": dict(zip(KEYS, values, strict=True)), "events": {"replacement": replaced}}
    for finding in judge([SPEC], subject_of(case, tag), {}, all_waivers, on):
        value = values[int(finding.rule)]
        if value <= 10:
            assert finding.result == "met"
        elif finding.result != "breached":
            assert finding.result == "waived"
            assert _hidden_rightly(finding, all_waivers, value, on, replaced)


def test_the_property_can_be_waived_at_all() -> None:
    waiver = Waiver("W-01", "0", "", ("E1",), {KEYS[0]: Range(None, Decimal(20))}, start=FIRST, until=FIRST)
    found = judge([SPEC], subject_of({"values": dict.fromkeys(KEYS, Decimal(15))}), {}, [waiver], FIRST)
    assert [finding.result for finding in found] == ["waived", "breached", "breached"]
