"""Drift over drives that should be alike, and one change for all of them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from asleft.compare import Side
from asleft.compare.alike import Column, Drift, drift
from asleft.compare.rollout import Planned, Rollout, rollout
from asleft.models import Model, factory_set, read_model
from asleft.record import Asset, ParameterSet, Value
from asleft.replace import put_right

MODELS = Path(__file__).parents[2] / "fixtures" / "demo" / "models"
FAN: dict[str, Value] = {
    "motor.rated_power_kw": Decimal("18.50"),
    "motor.rated_current_a": Decimal("33.0"),
    "motor.pole_count": "2",
    "limits.frequency_min_hz": Decimal("22.00"),
    "limits.frequency_max_hz": Decimal("50.00"),
    "ramps.accel_time_1_s": Decimal("60.0"),
    "ramps.decel_time_1_s": Decimal("90.0"),
    "protection.overload_current_a": Decimal("33.0"),
    "stations.change_restart": "new_command_needed",
    "protection.signal_loss_reaction": "go_to_minimum",
}


@cache
def drive(name: str) -> Model:
    family, _, size = name.rpartition("-")
    return read_model((MODELS / f"{family}.toml").read_bytes(), family).size(size)


@cache
def fan() -> Side:
    model = drive("merrow-m4-18k5")
    found = factory_set(model)
    whole = ParameterSet(
        model=model.name, values=found.values, not_read=found.not_read, native=found.native
    ).with_values(FAN)
    return Side(whole, model)


@cache
def other_make() -> Side:
    """The same fan on a drive of another maker: percent of the drive, ramps to 100 Hz."""
    model = drive("skarn-k-18k5")
    found = factory_set(model)
    spare = Side(ParameterSet(model=model.name, values=found.values, native=found.native), model)
    return Side(put_right(fan(), spare, Asset("A40")).result, model)


def column(number: int, changed: dict[str, Value] | None = None, side: Side | None = None) -> Column:
    side = side or fan()
    values = {"comms.node_address": Decimal(number), **(changed or {})}
    return Column(f"A{number:02}", Side(side.set.with_values(values), side.model), age_days=number)


def without(number: int, key: str) -> Column:
    side = fan()
    values = {name: value for name, value in side.set.values.items() if name != key}
    hidden = replace(side.set, values=values, not_read={**side.set.not_read, key: "hidden at this level"})
    return Column(f"A{number:02}", Side(hidden, side.model))


OUTLIERS: dict[int, dict[str, Value]] = {
    7: {"limits.frequency_max_hz": Decimal("52.00")},
    12: {"ramps.accel_time_1_s": Decimal("30.0")},
    20: {"protection.signal_loss_reaction": "hold_last"},
}


@cache
def forty() -> Drift:
    alike = [column(number, OUTLIERS.get(number)) for number in range(1, 40)]
    return drift([*alike, column(40, side=other_make())])


def test_three_planted_outliers_among_forty_are_found() -> None:
    found = {tag: keys for tag, keys in forty().outliers.items() if tag != "A40"}
    assert found == {f"A{number:02}": tuple(changed) for number, changed in OUTLIERS.items()}


def test_the_other_model_is_compared_in_effect() -> None:
    """120 s to 100 Hz and 73.3 % of 45 A are what the others have."""
    apart = forty().outliers.get("A40", ())
    assert {"ramps.accel_time_1_s", "ramps.decel_time_1_s", "protection.overload_current_a"}.isdisjoint(apart)
    assert "stations.change_restart" in apart
    cells = {row.key: row.cells["A40"] for row in forty().rows}
    assert cells["protection.signal_loss_reaction"].state == "same"


def test_the_majority_is_the_reference_whichever_drive_comes_first() -> None:
    first = [column(number, OUTLIERS.get(number)) for number in (7, 1, 2, 3, 12)]
    for turned in (first, first[::-1], [*first[2:], *first[:2]]):
        found = drift(turned)
        assert found.outliers == {"A07": ("limits.frequency_max_hz",), "A12": ("ramps.accel_time_1_s",)}
        (top,) = [row for row in found.rows if row.key == "limits.frequency_max_hz"]
        assert top.reference == Decimal(50)


def test_a_named_reference_is_measured_by() -> None:
    found = drift([column(1), column(2), column(7, OUTLIERS[7])], reference="A07")
    assert set(found.outliers) == {"A01", "A02"}


def test_a_named_reference_that_was_not_read_measures_nothing() -> None:
    found = drift([without(2, "limits.frequency_max_hz"), column(7, OUTLIERS[7]), column(4)], reference="A02")
    (row,) = [row for row in found.rows if row.key == "limits.frequency_max_hz"]
    assert [cell.state for cell in row.cells.values()] == ["not_read", "cannot_tell", "cannot_tell"]


def test_an_outlier_that_comes_first_does_not_split_the_others() -> None:
    """60 s to 50 Hz and 120 s to 100 Hz are one majority against 30 s."""
    found = drift([column(12, OUTLIERS[12]), column(40, side=other_make()), *(column(n) for n in (1, 2, 3))])
    (row,) = [row for row in found.rows if row.key == "ramps.accel_time_1_s"]
    assert row.outliers == ("A12",)
    assert row.cells["A40"].value == Decimal("120.0")


def test_two_drives_have_no_majority_and_both_are_shown() -> None:
    """Two drives on one pulley: each passes alone, and they do not share the load."""
    sharing = [
        column(1, {"control.droop_pct": Decimal("3.0")}),
        column(2, {"control.droop_pct": Decimal("0.0")}),
    ]
    (row,) = drift(sharing).rows
    assert (row.key, row.reference, row.outliers) == ("control.droop_pct", None, ("A01", "A02"))


def test_what_may_differ_from_slot_to_slot_is_no_drift() -> None:
    presets = [column(n, {"presets.preset_1_hz": Decimal(f"{n + 40}.00")}) for n in (1, 2, 3)]
    assert set(drift(presets).outliers) == {"A01", "A02", "A03"}
    assert drift(presets, allowed=("presets.*",)).is_clean
    own = replace(presets[0], own={"presets.preset_1_hz": Decimal(41)})
    alike = [own, column(2), column(3)]
    (row,) = drift(alike).rows
    assert (row.cells["A01"].state, drift(alike).is_clean) == ("allowed", True)


def test_not_read_is_not_the_same_as_the_others() -> None:
    found = drift([column(1), without(2, "limits.frequency_max_hz"), column(7, OUTLIERS[7]), column(4)])
    (row,) = [row for row in found.rows if row.key == "limits.frequency_max_hz"]
    assert row.cells["A02"].state == "not_read"
    assert row.outliers == ("A07",)
    assert found.unread["A02"] > found.unread["A01"]


def test_a_first_drive_that_was_not_read_leaves_the_majority_to_the_others() -> None:
    found = drift([without(2, "limits.frequency_max_hz"), column(7, OUTLIERS[7]), column(4), column(5)])
    (row,) = [row for row in found.rows if row.key == "limits.frequency_max_hz"]
    assert (row.reference, row.outliers, row.cells["A02"].state) == (Decimal(50), ("A07",), "not_read")


def test_doubled_addresses_are_named() -> None:
    twins = [column(1), column(2, {"comms.node_address": Decimal(1)}), column(3)]
    found = drift(twins)
    assert found.doubled == (("comms.node_address", Decimal(1), ("A01", "A02")),)
    assert not found.is_clean


def test_ages_are_passed_through_and_alike_settings_counted() -> None:
    found = drift([column(1), column(2)])
    assert [column.age_days for column in found.columns] == [1, 2]
    assert found.alike > 200


@pytest.mark.parametrize("reference", ["", "A99"])
def test_one_drive_or_a_foreign_reference_is_refused(reference: str) -> None:
    columns = [column(1)] if not reference else [column(1), column(2)]
    with pytest.raises(ValueError, match="two drives at least"):
        drift(columns, reference)


LOSS = {"protection.signal_loss_preset_hz": Planned(Decimal(38))}


@cache
def rolled() -> Rollout:
    done = {"protection.signal_loss_preset_hz": Decimal("38.0")}
    columns = [column(number, done) for number in range(1, 38)]
    columns += [without(number, "protection.signal_loss_preset_hz") for number in (38, 39)]
    return rollout(LOSS, [*columns, column(40, side=other_make())])


def test_forty_drives_end_in_37_done_2_not_read_1_not_applicable() -> None:
    assert dict(rolled().counts) == {"done": 37, "differs": 0, "not_read": 2, "not_applicable": 1}
    assert rolled().is_done is False


def test_each_drive_has_its_own_value_by_its_own_base() -> None:
    """1.1 of each motor's plate; 60 s to 50 Hz on a drive whose ramps count to 100 Hz."""
    planned = {
        "protection.overload_current_a": Planned(Decimal("1.1"), share_of="motor.rated_current_a"),
        "ramps.accel_time_1_s": Planned(Decimal(40)),
    }
    small = column(1, {"motor.rated_current_a": Decimal("20.0")})
    one, two = rollout(planned, [small, column(40, side=other_make())]).drives
    assert [item.enter for item in one.items] == ["22.0 A", "40.0 s"]
    assert [item.enter for item in two.items] == ["80.7 %", "80.0 s"]
    assert one.state == two.state == "differs"
    assert one.wanted == {
        "protection.overload_current_a": Decimal("22.00"),
        "ramps.accel_time_1_s": Decimal(40),
    }


def test_a_drive_that_shows_the_nearest_it_can_is_done() -> None:
    """80.7 % of 45 A is 36.3 A: no nearer value can be entered."""
    planned = {"protection.overload_current_a": Planned(Decimal("1.1"), share_of="motor.rated_current_a")}
    entered = column(40, {"protection.overload_current_a": Decimal("36.315")}, side=other_make())
    assert rollout(planned, [entered]).drives[0].state == "done"


def test_a_value_the_drive_cannot_hold_is_not_applicable_and_says_why() -> None:
    planned = {"limits.frequency_max_hz": Planned(Decimal(5000))}
    (item,) = rollout(planned, [column(1)]).drives[0].items
    assert (item.state, "the drive takes" in item.why) == ("not_applicable", True)


def test_an_unknown_base_is_not_read() -> None:
    planned = {"protection.overload_current_a": Planned(Decimal("1.1"), share_of="motor.rated_current_a")}
    (item,) = rollout(planned, [without(1, "motor.rated_current_a")]).drives[0].items
    assert (item.state, item.wanted) == ("not_read", None)


def test_a_fixed_setting_is_done_or_not_applicable() -> None:
    fixed = [column(40, side=other_make())]
    right = rollout({"stations.change_restart": Planned("resume_if_present")}, fixed)
    wrong = rollout({"stations.change_restart": Planned("new_command_needed")}, fixed)
    assert (right.drives[0].state, wrong.drives[0].state) == ("done", "not_applicable")
    assert right.is_done
    assert not wrong.is_done, "a change that no drive can have is not done"


def test_nothing_planned_is_refused() -> None:
    with pytest.raises(ValueError, match="one setting at least"):
        rollout({}, [column(1)])
