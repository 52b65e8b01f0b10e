"""Every entry of a record has one row, whatever drive it goes to."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from replaced_drives import FAN, drive, random_unit, read, side, tiny

from asleft.compare import Side
from asleft.record import Asset, ParameterSet, Value
from asleft.replace import OUTCOMES, LedgerRow, PutRight, entries_of, put_right
from asleft.replace.ledger import Books

DRIVES = ("merrow-m4-5k5", "merrow-m4-18k5", "skarn-k-18k5", "skarn-k-22k")


@settings(max_examples=30, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 2**32),
    old=st.sampled_from(DRIVES),
    new=st.sampled_from(DRIVES),
    hidden=st.floats(0, 0.3),
)
def test_the_ledger_has_the_records_total(seed: int, old: str, new: str, hidden: float) -> None:
    chance = random.Random(seed)
    whole = read(random_unit(drive(old), chance)).set
    unread = {key for key in whole.values if chance.random() < hidden}
    record = replace(
        whole,
        values={key: value for key, value in whole.values.items() if key not in unread},
        not_read={**whole.not_read, **dict.fromkeys(unread, "hidden")},
    )
    listed = put_right(Side(record, drive(old)), side(drive(new)), Asset("X1"))
    assert sorted(row.key for row in listed.ledger) == sorted(entries_of(record))
    assert {row.outcome for row in listed.ledger} <= set(OUTCOMES)
    for row in listed.ledger:
        assert row.why
        assert row.outcome != "rounded" or row.error
        assert row.outcome != "converted" or row.sum
        assert (row.outcome == "not_read") == (row.key in record.not_read)
    decided = {row.key for row in (*listed.ledger, *listed.implied) if row.outcome == "decide"}
    along = {key for found in listed.decide for key in found.along}
    assert decided == {found.key for found in listed.decide} | along


def fan(new: str, changed: dict[str, Value] | None = None) -> PutRight:
    return put_right(side(drive("merrow-m4-18k5"), {**FAN, **(changed or {})}), side(drive(new)), Asset("F2"))


def row(listed: PutRight, key: str) -> LedgerRow:
    (found,) = [row for row in (*listed.ledger, *listed.implied) if row.key == key]
    return found


@pytest.mark.parametrize(
    ("key", "outcome"),
    [
        ("limits.frequency_max_hz", "copied"),
        ("tuned.identification_run", "not_copied"),
        ("reference.keypad_reference_hz", "not_copied"),
        ("access.application_preset", "not_copied"),
        ("access.pin_state", "not_copied"),
        ("comms.node_address", "slot"),
        ("5000sub5", "copied"),
    ],
)
def test_the_same_type_gets_a_plain_copy_of_what_may_be_copied(key: str, outcome: str) -> None:
    assert row(fan("merrow-m4-18k5"), key).outcome == outcome


def test_another_size_gets_its_own_per_cent() -> None:
    """45.6 A is 120 % of 38 A, and another share of the larger unit."""
    listed = fan("merrow-m4-22k")
    limit = row(listed, "control.current_limit_a")
    assert limit.outcome in ("converted", "rounded")
    light = drive("merrow-m4-22k").fixed["drive.rated_current_light_a"]
    assert isinstance(light, Decimal)
    shown = round(Decimal("45.6") / light * 100)
    assert f"÷ {light} A" in limit.sum
    assert limit.sum.endswith(f"= {shown} %")
    assert row(listed, "5000sub5").outcome == "copied"


AMPS = """
format = 1
name = "tiny"
title = "Tiny"
firmware = ["1.0", "1.9"]
[sizes.a]
"drive.rated_current_light_a" = 18.0
[parameters.1]
text = "Overload"
menu = "Guard"
key = "protection.overload_current_a"
form = "percent"
base = "drive_light"
range = ["0", "200"]
step = "1"
"""


@pytest.mark.parametrize(
    ("recorded", "outcome", "error"),
    [
        ("9.0", "converted", ""),
        ("3.8", "converted", "0.02 A less than recorded"),
        ("9.1", "rounded", "0.08 A more than recorded"),
    ],
)
def test_rounding_counts_from_half_a_step_of_the_record(recorded: str, outcome: str, error: str) -> None:
    """1 % of 18 A is 0.18 A; the record is in steps of 0.1 A. Worked by hand: 9.1 A is 50.6 %, 51 % is 9.18 A."""
    old = side(drive("merrow-m4-18k5"), {"protection.overload_current_a": Decimal(recorded)})
    spare = Side(ParameterSet(model="tiny-a"), tiny(AMPS, "tiny-a"))
    found = row(put_right(old, spare, Asset("X1")), "protection.overload_current_a")
    assert (found.outcome, found.error) == (outcome, error)


SIGNAL = """
format = 1
name = "tiny"
title = "Tiny"
firmware = ["1.0", "1.9"]
[sizes.a]
[parameters.1]
text = "Signal"
menu = "In"
key = "analog_inputs.ai_1.signal"
choices = { "0" = ["0-10", "0_10_v"], "1" = ["2-10", "2_10_v"] }
[parameters.2]
text = "Lost below"
menu = "In"
key = "analog_inputs.ai_1.loss_level_pct"
range = ["0.0", "5.0"]
step = "0.1"
"""


def test_a_decision_that_a_way_out_of_another_wakes_stands_by_itself() -> None:
    old = side(drive("merrow-m4-18k5"), {**FAN, "analog_inputs.ai_1.loss_level_pct": Decimal("18.0")})
    spare = Side(ParameterSet(model="tiny-a"), tiny(SIGNAL, "tiny-a"))
    keys = [found.key for found in put_right(old, spare, Asset("X1")).decide]
    assert {"analog_inputs.ai_1.signal", "analog_inputs.ai_1.loss_level_pct"} <= set(keys)


def test_what_the_old_model_fixed_is_carried_over_where_the_new_one_can_be_set() -> None:
    listed = fan("skarn-k-18k5")
    assert row(listed, "outputs.ao_1.signal").natives == ("41502",)
    assert "outputs.ao_1.signal" not in {row.key for row in listed.ledger}


def test_a_function_that_is_off_and_absent_needs_no_decision() -> None:
    listed = put_right(
        side(drive("skarn-k-18k5"), {"mechanical_brake.control": "off"}),
        side(drive("merrow-m4-18k5")),
        Asset("X1"),
    )
    brake = {row.outcome for row in listed.ledger if row.key.startswith("mechanical_brake.")}
    assert brake == {"not_copied"}


def test_a_brake_that_is_used_and_absent_is_a_decision() -> None:
    listed = put_right(
        side(drive("skarn-k-18k5"), {"mechanical_brake.control": "on"}),
        side(drive("merrow-m4-18k5")),
        Asset("X1"),
    )
    (found,) = [found for found in listed.decide if found.key == "mechanical_brake.control"]
    assert found.consequence
    assert "brake" in found.reason


def test_a_value_beyond_the_units_range_is_a_decision_with_its_reason() -> None:
    listed = fan("skarn-k-18k5", {"motor.rated_voltage_v": Decimal(500)})
    (found,) = [found for found in listed.decide if found.key == "motor.rated_voltage_v"]
    assert found.reason == "500 V would be needed, but the drive takes 200 to 480 V"
    (corner,) = [found for found in listed.decide if found.key == "control.vf_corner_voltage_v"]
    assert corner.reason == "it is shown in % of the motor's rated voltage, which is not known"


def test_firmware_that_differs_is_a_caution() -> None:
    old, new = side(drive("merrow-m4-18k5"), firmware="2.0"), side(drive("merrow-m4-18k5"), firmware="2.9")
    assert any("firmware 2.0" in caution for caution in put_right(old, new, Asset("X1")).cautions)
    assert not any("firmware" in caution for caution in put_right(new, new, Asset("X1")).cautions)


def test_swapped_phases_are_a_caution() -> None:
    swapped = side(drive("merrow-m4-18k5"), {"limits.output_phase_order": "swapped"})
    assert any("rotation" in caution for caution in put_right(swapped, swapped, Asset("X1")).cautions)


def test_a_unit_that_already_holds_the_record_is_right() -> None:
    same = side(drive("merrow-m4-18k5"), FAN)
    assert put_right(same, same, Asset("F2")).is_right


def test_an_entry_cannot_be_booked_twice() -> None:
    books = Books()
    books.enter(LedgerRow("a", "copied", "why"))
    with pytest.raises(ValueError, match="already stands"):
        books.enter(LedgerRow("a", "copied", "why"))


def test_what_acts_in_the_unit_and_nobody_asked_for_is_listed() -> None:
    """A spare that was keyed for another machine: the old model has no holding brake at all."""
    keyed = side(drive("skarn-k-18k5"), {"mechanical_brake.control": "on"})
    listed = put_right(side(drive("merrow-m4-18k5"), FAN), keyed, Asset("F2"))
    found = {one.key: one for one in listed.unasked}
    assert found["mechanical_brake.control"].factory is False
    assert found["mechanical_brake.control"].why
    assert "mechanical_brake.release_frequency_hz" in found
    fresh = {one.key for one in fan("skarn-k-18k5").unasked}
    assert fresh.isdisjoint({"mechanical_brake.control", "mechanical_brake.release_frequency_hz"})


def test_what_the_record_did_not_read_and_the_unit_holds_is_listed() -> None:
    whole = side(drive("merrow-m4-18k5"), FAN).set
    values = {key: value for key, value in whole.values.items() if key != "limits.frequency_max_hz"}
    record = replace(whole, values=values, not_read={"limits.frequency_max_hz": "hidden"})
    listed = put_right(Side(record, drive("merrow-m4-18k5")), side(drive("merrow-m4-18k5")), Asset("F2"))
    assert [(one.key, one.shows, one.why) for one in listed.unasked] == [
        ("limits.frequency_max_hz", "50.00 Hz", "hidden")
    ]


def test_firmware_beyond_the_models_list_is_a_caution() -> None:
    old = side(drive("merrow-m4-18k5"), firmware="2.4")
    new = side(drive("skarn-k-18k5"), firmware="9.0")
    told = [text for text in put_right(old, new, Asset("X1")).cautions if "is true for firmware" in text]
    assert len(told) == 1
    assert "5.1 to 5.4" in told[0]
