"""Numbers of explained changes against values worked out by hand beside them."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from explain_cases import CASES, Case, machines, others, told, typed

from asleft.compare import Side, compare
from asleft.explain import explain
from asleft.vocabulary import vocabulary

ROWS = tomllib.loads((CASES / "numbers.toml").read_text(encoding="utf-8"))


def _case(name: str, row: dict[str, Any]) -> Case:
    values = {key: typed(vocabulary()[key], given) for key, given in row["set"].items()}
    first = {key: typed(vocabulary()[key], given) for key, given in row.get("first", {}).items()}
    return Case(name, row["working"], row["machine"], values, first)


@pytest.mark.parametrize("name", ROWS)
def test_a_change_brings_out_the_number_worked_out_by_hand(name: str) -> None:
    row = ROWS[name]
    changes = [one for one in told(_case(name, row)) if one.change.key == row["key"]]
    facts = [fact for one in changes for fact in one.facts if fact.name == row["fact"]]
    assert [(fact.value, fact.before) for fact in facts] == [(row["value"], row["before"])]
    said = " ".join([*changes[0].effects, *(fact.words for fact in facts)])
    assert all(words in said for words in row["says"]), said


def test_the_same_edit_on_two_motors_gives_two_numbers_and_says_why() -> None:
    edit = {"protection.overload_current_a": typed(vocabulary()["protection.overload_current_a"], "30.0")}
    lines = {}
    for name in ("leg", "conveyor"):
        machine = machines()[name]
        side = machine.changed(edit)
        (one,) = explain(compare(machine.side, side), machine.side, side, machine.asset, others)
        lines[name] = " ".join(one.effects)
    # 30/28.5 = 105 %, 30/14.8 = 203 %: arithmetic on the two plates.
    assert "105 % of the motor's 28.5 A" in lines["leg"]
    assert "203 % of the motor's 14.8 A" in lines["conveyor"]


def test_with_the_maximum_alone_nothing_changes_by_the_analog_path() -> None:
    machine = machines()["fan"]
    side = machine.changed({"limits.frequency_max_hz": typed(vocabulary()["limits.frequency_max_hz"], "52")})
    (one,) = explain(compare(machine.side, side), machine.side, side, machine.asset)
    assert "By analog input 1 nothing changes" in " ".join(one.effects)
    assert not any(fact.name == "speeds.power" for fact in one.facts)


def test_an_overload_of_105_percent_never_trips_and_that_is_said() -> None:
    # 19.35 kW / 18.5 kW = 104.6 %, below a pick-up of 110 %: arithmetic.
    machine = machines()["fan"]
    number = vocabulary()["limits.frequency_max_hz"]
    values = {"limits.frequency_max_hz": "52.00", "analog_inputs.ai_1.freq_at_high_hz": "52.0"}
    side = machine.changed({key: typed(number, text) for key, text in values.items()})
    told_ = explain(compare(machine.side, side), machine.side, side, machine.asset)
    assert (
        "105 % of the motor's 18.5 kW: below the overload pick-up of 110 % it never trips"
        in told_[0].effects[2]
    )


def test_what_is_missing_is_named_once_for_all_changes() -> None:
    machine = machines()["leg"]
    values = {"ramps.accel_time_1_s": "6.5", "ramps.decel_time_1_s": "10.0", "ramps.quick_stop_time_s": "2.0"}
    side = machine.changed({key: typed(vocabulary()[key], text) for key, text in values.items()})
    found = explain(compare(machine.side, side), machine.side, side, machine.asset)
    lines = [line for one in found for line in one.effects if line.startswith("Cannot tell")]
    facts = [fact for one in found for fact in one.facts if fact.cannot]
    assert len(lines) <= 1
    assert {fact.cannot for fact in facts} == {"load inertia at the motor shaft is not recorded"}
    assert len(facts) == 4


def test_a_plate_and_an_assumption_are_told_apart() -> None:
    machine = machines()["fan"]
    side = machine.changed(
        {"control.carrier_frequency_khz": typed(vocabulary()["control.carrier_frequency_khz"], "8.0")}
    )
    (one,) = explain(compare(machine.side, side), machine.side, side, machine.asset)
    sources = {given.name: given.source for fact in one.facts for given in fact.basis}
    assert sources["motor cable length"] == "machine"
    assert sources["plate current"] == "plate"
    assert sources["carrier the unit is rated at"] == "assumed"
    loose = explain(compare(machine.side, side), machine.side, side)
    assert {given.source for fact in loose[0].facts for given in fact.basis} == {
        "setting", "motor data", "assumed"
    }  # fmt: skip


def test_without_a_slot_the_drive_s_own_motor_data_serve() -> None:
    machine = machines()["leg"]
    side = machine.changed(
        {"protection.overload_current_a": typed(vocabulary()["motor.rated_current_a"], "34.2")}
    )
    (one,) = explain(compare(machine.side, side), machine.side, side)
    # 34.2/28.5 = 120 %: arithmetic.
    assert "34.2 A is 120 % of the motor's 28.5 A" in one.effects[1]


def test_a_side_without_values_tells_no_numbers() -> None:
    machine = machines()["leg"]
    key = "ramps.accel_time_1_s"
    old, new = (
        Side(machine.side.set.__class__(values={key: typed(vocabulary()[key], text)}))
        for text in ("8.0", "6.5")
    )
    (one,) = explain(compare(old, new), old, new)
    assert one.effects[0].startswith("The start is steeper")
    assert not [fact for fact in one.facts if fact.value is not None]
