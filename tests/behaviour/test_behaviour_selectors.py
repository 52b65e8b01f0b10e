"""A selector moves its contacts together: what only that shows, and how it is told."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from asleft.behaviour import Drive, Scenario, compare_behaviour, run_scenario, tables_of
from asleft.behaviour.drive import Run
from asleft.behaviour.events import alphabet
from asleft.behaviour.inputs import Event
from asleft.behaviour.narrate import is_start
from asleft.record import Selector, Value

SWITCH = Selector("station", (("local", ("di_7",)), ("off", ()), ("remote", ("di_2",))))
SET: dict[str, Value] = {
    "digital_inputs.di_1.function": "run_forward",
    "digital_inputs.di_2.function": "remote_select",
    "digital_inputs.di_7.function": "local_select",
    "stations.local_command_source": "terminals",
    "stations.local_reference_source": "preset",
    "stations.remote_reference_source": "preset",
    "stations.change_running": "stop",
    "presets.preset_1_hz": Decimal(45),
    "limits.frequency_max_hz": Decimal(50),
    "ramps.accel_time_1_s": Decimal(5),
}
GOES_ON: dict[str, Value] = {**SET, "stations.change_running": "continue"}


def test_contacts_that_move_one_by_one_always_pass_off_and_stop_the_motor() -> None:
    assert not compare_behaviour(Drive.of(SET), Drive.of(GOES_ON), k=0).differences


def test_a_selector_that_is_turned_to_where_it_stands_changes_nothing() -> None:
    drive = Drive.of({**SET, "digital_inputs.di_filter_time_ms": Decimal(10)}, selectors=(SWITCH,))
    turn, wait = "selector station turns to remote", "wait until settled"
    once, twice = (run_scenario(drive, Scenario("turn", (turn, wait) * times)) for times in (1, 2))
    assert twice.steps[-1].at == once.steps[-1].at == Fraction(1, 100)


def test_a_turn_of_the_selector_shows_what_a_change_of_station_does_to_a_running_motor() -> None:
    drives = [Drive.of(values, selectors=(SWITCH,)) for values in (SET, GOES_ON)]
    (found,) = compare_behaviour(*drives, k=0).differences
    assert found.causes == ("stations.change_running",)
    assert found.words == (
        "Selector station turns to local while running: before it stops by its ramp, "
        "now it keeps running at 45.0 Hz."
    )
    assert len(found.witness) == 2, "run closes, and one turn"


def test_a_turn_passes_the_input_filter_as_one() -> None:
    filtered = {**GOES_ON, "digital_inputs.di_filter_time_ms": Decimal(20)}
    run = Run(Drive.of(filtered, selectors=(SWITCH,)))
    for event in (Event("set", 1, 1), Event("set", 0, 1), Event("turn", value=((1, 0), (6, 1)))):
        run.do(event)
        turned = run.at
        run.settle()
    assert (run.outcome.station, run.outcome.output) == ("local", True)
    assert run.at - turned == Fraction(20, 1000)
    assert {point.hz for point in run.curve if point.at >= turned} == {Fraction(45)}, "it never began to stop"


def test_positions_that_move_a_single_contact_are_left_to_the_contact() -> None:
    turns = [e.words for e in alphabet((Drive.of(SET, selectors=(SWITCH,)),)).events if e.kind == "turn"]
    assert turns == ["selector station turns to remote", "selector station turns to local"]
    unused = {key: value for key, value in SET.items() if "di_7" not in key}
    assert not [e for e in alphabet((Drive.of(unused, selectors=(SWITCH,)),)).events if e.kind == "turn"]


def test_the_table_of_who_can_stop_names_the_selector() -> None:
    run_on_key = {
        **SET,
        "digital_inputs.di_2.function": "run_reverse",
        "digital_inputs.di_7.function": "run_forward",
    }
    run_on_key |= {"digital_inputs.di_1.function": "none", "stations.station_selection": "fixed_remote"}
    way = Selector("way", (("forward", ("di_7",)), ("reverse", ("di_2",))))
    (row,) = tables_of(Drive.of(run_on_key, selectors=(way,))).stations
    assert "selector way" in row.reverse


def test_a_scenario_turns_the_selector_as_a_witness_says_it() -> None:
    lines = (
        "remote select closes",
        "run forward closes",
        "wait 10 s",
        "selector station turns to local",
        "wait 10 s",
        "expect output on",
    )
    results = [
        run_scenario(Drive.of(values, selectors=(SWITCH,)), Scenario("turn", lines)).result
        for values in (SET, GOES_ON)
    ]
    assert results == ["breached", "met"]
    undeclared = run_scenario(Drive.of(SET), Scenario("turn", lines))
    assert (undeclared.result, undeclared.because) == (
        "cannot be shown",
        "the slot declares no selector station with a position local",
    )


def test_a_turn_that_only_opens_the_run_contact_is_no_start_command() -> None:
    config = Drive.of(SET).config
    closes, opens = (Event("turn", value=((0, n), (1, n)), old=((0, 1 - n), (1, 1 - n))) for n in (1, 0))
    assert is_start(closes, (config,))
    assert not is_start(opens, (config,))
