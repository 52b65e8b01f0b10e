"""Each reason for a place in the list, on a drive just large enough to show it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from replaced_drives import tiny

from asleft.compare import Side
from asleft.models import Model, decode
from asleft.record import Asset, ParameterSet, Refused, Value
from asleft.record.findings import Finding
from asleft.replace import PutRight, Step, put_right
from asleft.replace.simulated import EntryRefused, SimulatedUnit

HEAD = 'format = 1\nname = "tiny"\ntitle = "Tiny"\nfirmware = ["1.0", "1.9"]\n[sizes.a]\n'


def number(native_id: str, key: str, **more: object) -> str:
    rows = {
        "text": f"T{native_id}",
        "menu": "M",
        "key": key,
        "range": ["0.0", "900.0"],
        "step": "0.1",
        **more,
    }
    return f"[parameters.{native_id}]\n" + "".join(
        f"{name} = {toml(value)}\n" for name, value in rows.items()
    )


def choice(native_id: str, key: str, names: list[str], **more: object) -> str:
    choices = ", ".join(f'"{code}" = ["{name}", "{name}"]' for code, name in enumerate(names))
    rows = {"text": f"T{native_id}", "menu": "M", "key": key, **more}
    body = "".join(f"{name} = {toml(value)}\n" for name, value in rows.items())
    return f"[parameters.{native_id}]\n{body}choices = {{ {choices} }}\n"


def toml(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f'"{name}" = "{text}"' for name, text in value.items()) + " }"
    if isinstance(value, bool):
        return str(value).lower()
    return str(value).replace("'", '"') if isinstance(value, list) else f'"{value}"'


def drive(*parameters: str) -> Model:
    return tiny(HEAD + "".join(parameters), "tiny-a")


def stands(model: Model, shown: dict[str, str]) -> Side:
    decoded = decode(model, shown, "not read")
    return Side(
        ParameterSet(
            model=model.name, values=decoded.values, not_read=decoded.not_read, native=decoded.native
        ),
        model,
    )


def listed(model: Model, now: dict[str, str], wanted: dict[str, str]) -> PutRight:
    return put_right(stands(model, wanted), stands(model, now), Asset("X1"))


def order(found: PutRight) -> list[tuple[str, str]]:
    return [(step.native, step.displayed) for step in found.entries]


def step(found: PutRight, native_id: str) -> Step:
    return [step for step in found.entries if step.native == native_id][-1]


MIN, MAX = number("1", "limits.frequency_min_hz"), number("2", "limits.frequency_max_hz")
PRESET = number("3", "presets.preset_1_hz")


def test_an_upper_limit_is_raised_before_the_value_that_needs_it() -> None:
    found = listed(drive(MIN, MAX), {"1": "10.0", "2": "20.0"}, {"1": "30.0", "2": "50.0"})
    assert order(found) == [("2", "50.0"), ("1", "30.0")]
    assert step(found, "1").why == "2 T2 is its limit and is moved first"
    assert step(found, "1").needs == (step(found, "2").number,)


def test_a_value_is_lowered_before_its_limit_even_from_a_later_stage() -> None:
    found = listed(drive(MAX, PRESET), {"2": "60.0", "3": "55.0"}, {"2": "50.0", "3": "45.0"})
    assert order(found) == [("3", "45.0"), ("2", "50.0")]
    assert step(found, "2").why == "3 T3 would lie beyond this limit and is moved first"
    assert step(found, "3").why == "it would lie beyond 2 T2"


def test_without_a_limit_in_the_way_the_stage_decides() -> None:
    found = listed(drive(PRESET, MAX), {"2": "60.0", "3": "20.0"}, {"2": "50.0", "3": "45.0"})
    assert order(found) == [("2", "50.0"), ("3", "45.0")]
    assert [step.stage for step in found.entries] == [6, 10]


def test_two_entries_that_wait_for_each_other_move_one_aside_for_now() -> None:
    """A reset left 60 Hz above a limit of 50; 55 is refused by the limit, 57 by the value."""
    found = listed(drive(MAX, PRESET), {"2": "50.0", "3": "60.0"}, {"2": "57.0", "3": "55.0"})
    assert order(found) == [("2", "60.0"), ("3", "55.0"), ("2", "57.0")]
    assert [step.kind for step in found.entries] == ["for_now", "entry", "entry"]


def test_a_set_point_of_the_day_is_lowered_where_it_stands_in_the_way() -> None:
    day = number("4", "reference.keypad_reference_hz")
    found = listed(drive(MAX, day), {"2": "60.0", "4": "58.0"}, {"2": "50.0", "4": "10.0"})
    assert order(found) == [("4", "50.0"), ("2", "50.0")]


PLATE = number("5", "motor.rated_current_a", sets={"6": "derived", "7": "factory", "8": "12.0"})
OVERLOAD = number("6", "protection.overload_current_a", factory="1.0")
STALL = number("7", "protection.stall_current_a", factory="20.0")
LEVEL = number("8", "outputs.threshold_current_1_a")
SOME = {"5": "33.0", "6": "33.0", "7": "20.0", "8": "30.0"}


def test_what_an_entry_resets_is_entered_after_it_and_only_if_it_then_differs() -> None:
    """Derived: nobody knows, so it is entered. Back to factory: it is right by itself. To 12: it is wrong."""
    found = listed(drive(OVERLOAD, STALL, LEVEL, PLATE), {**SOME, "5": "40.0", "7": "25.0"}, SOME)
    assert order(found) == [("5", "33.0"), ("6", "33.0"), ("8", "30.0")]
    assert step(found, "6").now == "set by itself, read it"
    assert step(found, "8").now == "12.0 A"
    assert step(found, "8").why == "after 5 T5, which resets it"


def test_an_entry_that_stays_resets_nothing() -> None:
    assert listed(drive(OVERLOAD, STALL, LEVEL, PLATE), SOME, SOME).entries == ()
    found = listed(drive(OVERLOAD, STALL, LEVEL, PLATE), {**SOME, "6": "30.0"}, SOME)
    assert order(found) == [("6", "33.0")]


def test_the_base_of_a_percentage_comes_before_it() -> None:
    share = number("6", "protection.overload_current_a", form="percent", base="motor_current")
    torque = number("9", "motor.rated_current_a", menu="Z")
    found = listed(drive(share, torque), {"6": "90.0", "9": "40.0"}, {"6": "100.0", "9": "33.0"})
    assert order(found) == [("9", "33.0"), ("6", "100.0")]
    assert step(found, "6").why == "its 100 % is 9 T9"


def test_what_the_model_wants_first_comes_first() -> None:
    late = number("3", "ramps.accel_time_1_s", after=["4"])
    found = listed(
        drive(late, number("4", "presets.preset_1_hz")), {"3": "1.0", "4": "1.0"}, {"3": "2.0", "4": "2.0"}
    )
    assert order(found) == [("4", "2.0"), ("3", "2.0")]
    assert step(found, "3").why == "this drive takes it only after 4 T4"
    assert step(found, "4").why == "this drive takes 3 T3 only after it"


def test_an_entry_brought_forward_for_one_that_needs_none_keeps_its_own_reason() -> None:
    late = number("3", "ramps.accel_time_1_s", after=["4"])
    found = listed(
        drive(late, number("4", "presets.preset_1_hz")), {"3": "2.0", "4": "1.0"}, {"3": "2.0", "4": "2.0"}
    )
    assert "only after" not in step(found, "4").why


LOCK = choice("9", "access.setting_lock", ["open", "locked"])


def test_the_lock_is_opened_first_and_closed_last() -> None:
    found = listed(drive(LOCK, MAX), {"9": "1", "2": "60.0"}, {"9": "1", "2": "50.0"})
    assert order(found) == [("9", "0"), ("2", "50.0"), ("9", "1")]
    assert found.entries[0].why == "the lock blocks the rest"
    assert listed(drive(LOCK, MAX), {"9": "1", "2": "50.0"}, {"9": "1", "2": "50.0"}).entries == ()


MENUS = choice("8", "access.settings_shown", ["few", "all"], access="basic")
EXPERT = choice("7", "access.keypad_copy_lock", ["open", "locked"], access="expert")


@pytest.mark.parametrize(
    ("now", "wanted", "entries"),
    [
        ({"8": "0", "7": "0"}, {"8": "1", "7": "1"}, [("8", "1"), ("7", "1")]),
        ({"8": "0", "7": "0"}, {"8": "0", "7": "1"}, [("8", "1"), ("7", "1"), ("8", "0")]),
        ({"8": "1", "7": "0"}, {"8": "0", "7": "1"}, [("7", "1"), ("8", "0")]),
        ({"8": "0", "7": "1"}, {"8": "0", "7": "1"}, []),
    ],
)
def test_hidden_menus_are_shown_before_what_they_hide(
    now: dict[str, str], wanted: dict[str, str], entries: list[tuple[str, str]]
) -> None:
    # An entry above the access level that is shown cannot be found: common practice, no source.
    head = HEAD.replace("[sizes.a]", 'levels = ["basic", "expert"]\n[sizes.a]')
    found = listed(tiny(head + MENUS + EXPERT, "tiny-a"), now, wanted)
    assert order(found) == entries


def test_a_run_input_comes_last_of_its_stage_after_its_wires_are_proved() -> None:
    run = choice("1", "digital_inputs.di_1.function", ["none", "run_forward"])
    reset = choice("2", "digital_inputs.di_2.function", ["none", "fault_reset"])
    found = listed(drive(run, reset), {"1": "0", "2": "0"}, {"1": "1", "2": "1"})
    assert order(found) == [("2", "1"), ("1", "1")]
    (proof,) = [step for step in found.steps if "Prove the wires" in step.text]
    assert step(found, "2").number < proof.number < step(found, "1").number
    assert step(found, "1").turns
    assert step(found, "1").stopped


def test_what_the_unit_does_not_tell_is_read_first() -> None:
    found = listed(drive(MIN, MAX), {"1": "10.0"}, {"1": "10.0", "2": "50.0"})
    (one,) = found.entries
    assert (one.kind, one.now, one.enter) == ("read", "not read", "50.0 Hz")
    assert "missing is not default" in one.why
    assert any("entries not read are read" in step.text for step in found.steps)


def test_what_cannot_be_reached_is_a_decision() -> None:
    """The record does not know preset 1, which stands above the limit it wants."""
    wanted = stands(drive(MAX, PRESET), {"2": "50.0"})
    found = put_right(wanted, stands(drive(MAX, PRESET), {"2": "70.0", "3": "60.0"}), Asset("X1"))
    assert found.entries == ()
    (open_one,) = found.decide
    assert open_one.key == "limits.frequency_max_hz"
    assert open_one.reason == "preset speed 1 stands at 60.0 Hz and cannot be moved first"
    assert {row.key: row.outcome for row in found.ledger}["limits.frequency_max_hz"] == "decide"


def test_a_limit_the_record_itself_breaks_is_no_limit_of_this_drive() -> None:
    found = listed(drive(MAX, PRESET), {"2": "70.0", "3": "60.0"}, {"2": "50.0", "3": "60.0"})
    assert order(found) == [("2", "50.0")]
    assert found.decide == ()


FAN_SET = choice(
    "1", "access.application_preset", ["none", "fan"], sets={"2": "10.0", "3": "20.0", "4": "30.0"}
)
THREE = [
    number("2", "presets.preset_1_hz"),
    number("3", "presets.preset_2_hz"),
    number("4", "presets.preset_3_hz"),
]


def test_the_preset_is_entered_where_it_saves_entries() -> None:
    model = drive(FAN_SET, *THREE)
    wanted = {"1": "1", "2": "10.0", "3": "20.0", "4": "35.0"}
    found = listed(model, {"1": "0", "2": "1.0", "3": "1.0", "4": "1.0"}, wanted)
    assert order(found) == [("1", "1"), ("4", "35.0")]
    (row,) = [row for row in found.ledger if row.key == "access.application_preset"]
    assert (row.outcome, row.why) == ("copied", "action: entered because it saves 1 entry")


def test_the_preset_is_left_alone_where_it_saves_nothing_or_overwrites_what_nobody_knows() -> None:
    model = drive(FAN_SET, *THREE)
    wanted = {"1": "1", "2": "10.0", "3": "20.0", "4": "35.0"}
    close = listed(model, {**wanted, "1": "0", "2": "1.0"}, wanted)
    assert order(close) == [("2", "10.0")]
    unknown = {"1": "1", "2": "10.0", "3": "20.0"}
    assert order(listed(model, {"1": "0", "2": "1.0", "3": "1.0", "4": "35.0"}, unknown))[0][0] != "1"


def test_low_risk_may_wait_until_morning_and_nothing_else() -> None:
    resting = choice("1", "access.keypad_resting_value", ["frequency", "speed"])
    found = listed(drive(resting, MAX), {"1": "0", "2": "60.0"}, {"1": "1", "2": "50.0"})
    assert [step.native for step in found.tomorrow] == ["1"]
    assert {step.native for step in found.tonight} == {"", "2"}
    assert len(found.tonight) + len(found.tomorrow) == len(found.steps)


RESTING = ["frequency", "speed"]


def test_what_tonight_needs_or_what_resets_others_does_not_wait() -> None:
    now, wanted = {"1": "0", "3": "1.0"}, {"1": "1", "3": "2.0"}
    resting = choice("1", "access.keypad_resting_value", RESTING)
    free = drive(resting, number("3", "recovery.auto_reset_delay_s"))
    assert [step.native for step in listed(free, now, wanted).tomorrow] == ["1"]
    needed = drive(resting, number("3", "recovery.auto_reset_delay_s", after=["1"]))
    assert listed(needed, now, wanted).tomorrow == ()
    resetting = drive(
        choice("1", "access.keypad_resting_value", RESTING, sets={"3": "1.0"}),
        number("3", "access.display_speed_factor"),
    )
    assert "1" not in [step.native for step in listed(resetting, now, wanted).tomorrow]


def test_a_rule_of_weight_lets_nothing_of_its_settings_wait() -> None:
    model = drive(choice("1", "access.keypad_resting_value", RESTING))
    for severity, late in (("high", []), ("low", ["1"])):
        rule = Finding("7", "s", "X1", "met", severity, keys=("access.keypad_resting_value",))
        found = put_right(stands(model, {"1": "1"}), stands(model, {"1": "0"}), Asset("X1"), lambda _: [rule])  # noqa: B023
        assert [step.native for step in found.tomorrow] == late


def test_a_unit_without_a_model_file_is_refused() -> None:
    wanted = stands(drive(MAX), {"2": "50.0"})
    with pytest.raises(Refused, match="no model file"):
        put_right(wanted, Side(ParameterSet(model="unheard-of")), Asset("X1"))


def test_the_address_comes_from_the_slot() -> None:
    model = drive(number("1", "comms.node_address", range=["1", "247"], step="1"))
    asset = Asset("X1", values={"comms.node_address": Decimal(32)})
    found = put_right(stands(model, {"1": "7"}), stands(model, {"1": "1"}), asset)
    assert [step.displayed for step in found.entries] == ["32"]


def test_without_a_slot_value_the_record_of_the_slot_has_the_address() -> None:
    model = drive(number("1", "comms.node_address", range=["1", "247"], step="1"))
    assert order(listed(model, {"1": "1"}, {"1": "7"})) == [("1", "7")]


UNIT: dict[str, str] = {"2": "60.0", "3": "55.0", "9": "0"}


@pytest.mark.parametrize(
    ("native_id", "displayed", "running", "locked", "why"),
    [
        ("2", "50.0", False, False, "limits.frequency_max_hz 50.0"),
        ("3", "61.0", False, False, "limits.frequency_max_hz 60.0"),
        ("3", "950.0", False, False, "the drive takes 0.0 to 900.0"),
        ("2", "70.0", True, False, "the motor runs"),
        ("3", "40.0", False, True, "the settings are locked"),
        ("9", "5", False, False, "it has no choice 5"),
        ("77", "1", False, False, "is not in the list"),
    ],
)
def test_the_simulated_drive_refuses_what_a_drive_refuses(
    native_id: str, displayed: str, running: bool, locked: bool, why: str
) -> None:
    unit = SimulatedUnit(drive(MAX, PRESET, LOCK), {**UNIT, "9": str(int(locked))}, running=running)
    before = dict(unit.displayed)
    with pytest.raises(EntryRefused, match=why):
        unit.enter(native_id, displayed)
    assert unit.displayed == before


def test_what_was_not_stored_is_gone_with_the_supply() -> None:
    unit = SimulatedUnit.from_factory(drive(number("3", "presets.preset_1_hz", factory="5.0")))
    unit.enter("3", "40.0")
    unit.power_cycle()
    assert unit.displayed["3"] == "5.0"
    unit.enter("3", "40.0")
    unit.store()
    unit.power_cycle()
    assert unit.displayed["3"] == "40.0"


def test_values_of_the_record_stay_as_recorded() -> None:
    wanted = stands(drive(MAX), {"2": "50.0"})
    before: dict[str, Value] = dict(wanted.set.values)
    put_right(wanted, stands(drive(MAX), {"2": "60.0"}), Asset("X1"))
    assert wanted.set.values == before
