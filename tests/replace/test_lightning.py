"""The fan drive that lightning killed, and the spare of another maker and size.

The right-hand figures are worked by hand from the plates: 33.0 A / 45 A, 1.2 × 38 A / 45 A, and ramps that
count to 100 Hz instead of 50.
"""

from __future__ import annotations

from decimal import Decimal
from functools import cache

import pytest
from replaced_drives import demo_asset, demo_record, demo_unit

from asleft.compare import Side
from asleft.record.findings import Finding
from asleft.replace import LedgerRow, PutRight, entries_of, put_right

OLD, SPARE = "merrow-m4-18k5", "f2-spare"


@cache
def listed() -> PutRight:
    return put_right(demo_record("F2", OLD), demo_unit(SPARE), demo_asset("F2"))


def row(key: str) -> LedgerRow:
    (found,) = [row for row in listed().ledger if row.key == key]
    return found


def entered(key: str) -> set[str]:
    return {step.enter for step in listed().entries if key in step.keys}


STORY = [
    ("protection.overload_current_a", "33.0", {"73.3 %"}),
    ("control.current_limit_a", "45.6", {"101 %"}),
    ("ramps.accel_time_1_s", "60.0", {"120.0 s"}),
    ("ramps.decel_time_1_s", "90.0", {"180.0 s"}),
    ("skip_bands.band_1.low_hz", "31.0", {"32.5 Hz", "1.5 Hz"}),
    ("skip_bands.band_1.high_hz", "34.0", {"32.5 Hz", "1.5 Hz"}),
]


@pytest.mark.parametrize(("key", "recorded", "shown"), STORY)
def test_each_value_is_converted_to_what_the_spare_shows(key: str, recorded: str, shown: set[str]) -> None:
    assert row(key).value == Decimal(recorded)
    assert entered(key) == shown


def test_the_sums_are_shown() -> None:
    assert "33.0 A ÷ 45.0 A (the drive's light-duty current) × 100 = 73.3 %" in row(STORY[0][0]).sum
    assert "60.0 s to 50 Hz × 100 ÷ 50 = 120.0 s to 100 Hz" in row("ramps.accel_time_1_s").sum
    assert "(31.0 Hz + 34.0 Hz) ÷ 2 = 32.5 Hz" in row("skip_bands.band_1.low_hz").sum


def test_the_current_limit_is_rounded_and_the_error_said() -> None:
    """101 % of 45 A is 45.45 A; the record itself is 120 % of 38 A in steps of 1 %, so 0.38 A."""
    assert row("control.current_limit_a").outcome == "converted"
    assert row("control.current_limit_a").error == "0.15 A less than recorded"


def test_copied_blindly_the_numbers_mean_something_else() -> None:
    blind = demo_unit(SPARE).set
    assert blind.values["protection.overload_current_a"] == Decimal(45)
    heat = (Decimal(45) / Decimal(33)) ** 2
    assert round(heat, 2) == Decimal("1.86")


def test_two_things_are_left_to_decide_with_their_consequence() -> None:
    decisions = {found.key: found for found in listed().decide}
    assert set(decisions) == {"protection.signal_loss_reaction", "stations.change_restart"}
    loss, restart = decisions["protection.signal_loss_reaction"], decisions["stations.change_restart"]
    assert loss.along == ("protection.signal_loss_preset_hz",)
    assert "go_to_minimum" in [option.value for option in loss.options]
    assert restart.holds == "resume_if_present"
    assert restart.consequence == (
        "Turning the selector can now start the motor, where the new station already says run."
    )
    assert "three-wire" in restart.remedy


def test_tuned_values_are_identified_again_and_the_address_is_the_slots() -> None:
    assert {
        row.outcome for row in listed().ledger if row.key.startswith("tuned.") and "run" not in row.key
    } == {"identify"}
    assert row("comms.node_address").outcome == "slot"
    assert entered("comms.node_address") == {"32"}


def test_every_entry_of_the_record_has_one_row() -> None:
    record = demo_record("F2", OLD).set
    assert sorted(row.key for row in listed().ledger) == sorted(entries_of(record))


def test_rules_say_what_each_way_out_breaches() -> None:
    def rules(values: dict[str, object]) -> list[Finding]:
        reaction, minimum = values.get("protection.signal_loss_reaction"), "go_to_minimum"
        key = ("protection.signal_loss_reaction",)
        return [
            Finding("14", "s", "F2", "met" if reaction == minimum else "breached", "high", keys=key),
            Finding("51", "s", "F2", "breached", "medium", keys=key),
            Finding("39", "s", "F2", "breached", "danger", keys=("stations.change_restart",)),
        ]

    answer = put_right(demo_record("F2", OLD), demo_unit(SPARE), demo_asset("F2"), rules)  # type: ignore[arg-type]
    decisions = {found.key: found for found in answer.decide}
    ways = {way.value: way for way in decisions["protection.signal_loss_reaction"].options}
    assert (ways["go_to_minimum"].met, ways["go_to_minimum"].breached) == (("14",), ("51",))
    assert ways["hold_last"].breached == ("14", "51")
    assert decisions["stations.change_restart"].breached == ("39",)


def test_the_result_is_what_the_list_ends_in() -> None:
    held = Side(listed().result, demo_unit(SPARE).model).values
    assert held["protection.overload_current_a"] == Decimal(33)
    assert held["ramps.accel_time_1_s"] == Decimal(120)
    assert held["skip_bands.band_1.high_hz"] == Decimal(34)
