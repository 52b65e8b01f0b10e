"""Proposals on the lists with answers: few wrong, most right, and what is unsure is asked."""

from __future__ import annotations

from decimal import Decimal

import pytest
from tests.intake.mapping_share import LISTS, judged, main, shares

from asleft.intake.listing import ListRow, propose
from asleft.intake.listing.from_table import choices_in
from asleft.intake.listing.score import choice_for, fit
from asleft.vocabulary import vocabulary

WRONG, RIGHT = 0.03, 0.6


@pytest.mark.parametrize("name", LISTS)
def test_few_proposals_are_wrong_and_most_are_right(name: str) -> None:
    found = judged(name)
    share = shares([verdict for verdict, _, _ in found])
    wrong = [(p.row.text, p.key, answer) for verdict, p, answer in found if verdict == "wrong"]
    assert share["wrong"] < WRONG, wrong
    assert share["right"] > RIGHT


def test_every_answer_is_a_key() -> None:
    answers = {answer for name in LISTS for _, _, answer in judged(name)}
    assert answers - {""} <= set(vocabulary())


def test_the_command_prints_the_shares(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == [*LISTS, "together"]
    assert all("right " in line and "wrong " in line and "asked " in line for line in lines)


def _number(text: str, unit: str, low: str = "0.1", high: str = "600") -> ListRow:
    return ListRow("1", text, unit=unit, low=Decimal(low), high=Decimal(high), step=Decimal("0.1"))


@pytest.mark.parametrize(
    ("row", "key"),
    [
        (_number("Acceleration time 1", "Hz"), "ramps.accel_time_1_s"),  # the unit rules it out
        (_number("Acceleration time 2", "s"), "ramps.accel_time_1_s"),  # another number
        (_number("Stop method", "s"), "start_stop.stop_method"),  # a number is no choice
        (ListRow("1", "Minimum frequency", choices={"0": "a"}), "limits.frequency_min_hz"),
    ],
)
def test_unit_number_and_kind_rule_a_key_out(row: ListRow, key: str) -> None:
    assert fit(row, key) is None


@pytest.mark.parametrize(
    ("unit", "key", "form"),
    [
        ("s", "ramps.accel_time_1_s", "number"),
        ("ms", "ramps.accel_time_1_s", "number"),
        ("rpm", "limits.frequency_max_hz", "rpm"),
        ("%", "control.current_limit_a", "percent"),
        ("%", "process.pid_gain", "proportional_band"),
        ("1/min", "process.pid_integral_time_s", "repeats_per_minute"),
    ],
)
def test_the_unit_tells_the_form(unit: str, key: str, form: str) -> None:
    found = fit(_number(vocabulary()[key].label, unit), key)
    assert found is not None and found.form == form


def test_per_cent_of_what_is_asked() -> None:
    (proposal,) = propose([_number("Motor current limit", "%")])
    assert not proposal.sure and "what 100 % is" in proposal.why


def test_a_key_the_row_cannot_give_is_not_taken_on_a_person_s_word() -> None:
    (proposal,) = propose([_number("Some time", "s")], {"1": "limits.frequency_max_hz"})
    assert not proposal.sure and "cannot give" in proposal.why


def test_a_key_a_person_names_needs_no_likeness() -> None:
    (proposal,) = propose([_number("Zwölf", "s")], {"1": "ramps.accel_time_1_s"})
    assert proposal.sure and proposal.fits[0].form == "number"


def test_two_rows_for_one_key_are_asked() -> None:
    rows = [
        ListRow("1", "Acceleration time 1", unit="s", low=Decimal(0), high=Decimal(60)),
        ListRow("2", "Accel time 1", unit="s", low=Decimal(0), high=Decimal(60)),
    ]
    assert [proposal.sure for proposal in propose(rows)] == [False, False]
    decided = propose(rows, {"1": "ramps.accel_time_1_s", "2": ""})
    assert [(p.key, p.sure) for p in decided] == [("ramps.accel_time_1_s", True), ("", True)]


@pytest.mark.parametrize(
    ("text", "choices"),
    [
        ("0=coast|1=ramp", {"0": "coast", "1": "ramp"}),
        ("0: coast; 1: ramp", {"0": "coast", "1": "ramp"}),
        ("[0] = coast\n[1] = ramp, then DC", {"0": "coast", "1": "ramp, then DC"}),
        ("0.1 to 600", {}),
        ("", {}),
    ],
)
def test_choices_are_taken_from_a_cell(text: str, choices: dict[str, str]) -> None:
    assert choices_in(text) == choices


@pytest.mark.parametrize(
    ("key", "text", "name"),
    [
        ("protection.external_fault_reaction", "trip, runs out", "fault_coast"),
        ("protection.external_fault_reaction", "trip", ""),  # coasting or on the ramp: not said
        ("protection.overload_reaction", "alarm", "warning"),
        ("protection.overload_reaction", "nothing", "off"),
        ("start_stop.run_wiring", "two-wire 1", ""),
        ("control.motor_control_mode", "V/F control", ""),
        ("control.motor_control_mode", "quadratic V/f characteristic", "vf_square"),
        ("start_stop.stop_method", "ramp then DC injection", "ramp_then_dc"),
        ("start_stop.stop_method", "sideways", ""),
    ],
)
def test_a_choice_means_one_thing_or_is_left_open(key: str, text: str, name: str) -> None:
    row = ListRow("1", "x", choices={"0": text})
    assert choice_for(row, "0", vocabulary()[key]) == name
