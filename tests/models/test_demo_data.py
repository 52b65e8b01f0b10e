"""The demo's readings and slots say what the demo tells of them. Invented, all of it."""

from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from demo_models import DEMO, model_of

from asleft.files.assets import read_asset
from asleft.files.sets import read_set
from asleft.intake import take
from asleft.models import encode, factory_set
from asleft.record import Asset, Value
from asleft.vocabulary import vocabulary

TAGS = ("E1", "E2", "C1", "C2", "F1", "F2", "F3", "D1")
READINGS = sorted((DEMO / "readings").rglob("*.*"), key=lambda path: path.as_posix())
MARCH, SEPTEMBER = "2026-03-12", "2026-09-02"


@cache
def slot(tag: str) -> Asset:
    return read_asset((DEMO / "assets" / tag / "asset.toml").read_bytes(), tag)


@cache
def reading(path: Path) -> Mapping[str, Value]:
    model = model_of(slot(path.stem.partition("-")[0]).model)
    return take(path.read_bytes(), path.name, model).set.values


def on(day: str, stem: str) -> Mapping[str, Value]:
    (path,) = (DEMO / "readings" / day).glob(f"{stem}.*")
    return reading(path)


def differing(one: Mapping[str, Value], other: Mapping[str, Value]) -> dict[str, tuple[Value, Value]]:
    return {key: (one[key], other[key]) for key in one if one[key] != other[key]}


def settings(changed: Mapping[str, tuple[Value, Value]]) -> dict[str, tuple[Value, Value]]:
    return {key: pair for key, pair in changed.items() if vocabulary()[key].class_ == "setting"}


def test_both_forms_of_file_occur() -> None:
    assert {path.suffix for path in READINGS} == {".csv", ".toml"}
    assert {slot(tag).tag for tag in TAGS} == {path.stem.partition("-")[0] for path in READINGS}


@pytest.mark.parametrize("path", READINGS, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_reading_is_whole_and_its_drive_can_hold_it(path: Path) -> None:
    model = model_of(slot(path.stem.partition("-")[0]).model)
    taken = take(path.read_bytes(), path.name, model)
    assert taken.set.not_read == {}
    assert taken.set.values.keys() >= model.by_key.keys()
    entered = encode(model, {**taken.set.values, **model.fixed})
    assert entered.cannot.keys() == {"access.pin_state", "access.wireless_pin_state"}
    assert taken.set.values["access.pin_state"] == "set"


def test_the_harvest_night_left_five_changes() -> None:
    assert settings(differing(on(MARCH, "E1"), on(SEPTEMBER, "E1-found"))) == {
        "protection.external_fault_reaction": ("fault_coast", "warning"),
        "recovery.auto_reset_attempts": (Decimal(0), Decimal(5)),
        "ramps.accel_time_1_s": (Decimal(8), Decimal("6.5")),
        "outputs.relay_1.off_delay_s": (Decimal("0.2"), Decimal(10)),
        "access.setting_lock": ("locked", "open"),
    }


@pytest.mark.parametrize("stem", ["E1-left", *TAGS[1:]])
def test_nothing_else_strayed_in_half_a_year(stem: str) -> None:
    changed = differing(on(MARCH, stem.removesuffix("-left")), on(SEPTEMBER, stem))
    assert {vocabulary()[key].class_ for key in changed} == {"counter"}


def test_the_first_reading_of_f3_differs_in_its_signal_alone() -> None:
    changed = settings(differing(on(MARCH, "F3-first"), on(MARCH, "F3")))
    assert changed == {"analog_inputs.ai_1.signal": ("0_20_ma", "4_20_ma")}


@pytest.mark.parametrize("tag", ["F2", "F3"])
def test_alike_fans_are_alike(tag: str) -> None:
    changed = differing(on(MARCH, "F1"), on(MARCH, tag))
    assert settings(changed) == {}
    assert {vocabulary()[key].class_ for key in changed} <= {"identity", "tuned", "address", "counter"}


@pytest.mark.parametrize("tag", TAGS)
def test_the_drive_holds_the_plate_and_address_of_its_slot(tag: str) -> None:
    held, plate = on(MARCH, tag), slot(tag).plate
    for field in ("rated_power_kw", "rated_voltage_v", "rated_current_a", "rated_speed_rpm", "power_factor"):
        assert held[f"motor.{field}"] == plate[field]
    assert held["motor.pole_count"] == plate["pole_count"]
    assert held["comms.node_address"] == slot(tag).values["comms.node_address"]


def test_links_run_to_slots_and_inputs_that_are_there() -> None:
    assert {(tag, feed.into) for tag in TAGS for feed in slot(tag).feeds} == {("C1", "E1"), ("C2", "E2")}
    for tag in TAGS:
        for permit in slot(tag).permits:
            held = on(MARCH, permit.to)
            functions = {held[f"digital_inputs.di_{n}.function"] for n in range(1, 7)}
            assert permit.input in functions
            assert on(MARCH, tag)[f"outputs.relay_{permit.relay}.function"] == "running"


def test_the_spare_of_the_same_model_is_no_copy() -> None:
    unit = read_set((DEMO / "units" / "f1-same.toml").read_bytes(), "f1-same.toml")
    assert unit.model == slot("F1").model
    assert unit.values["tuned.identification_state"] == "not_done"
    assert unit.values["drive.serial_number"] != on(MARCH, "F1")["drive.serial_number"]
    factory = factory_set(model_of(unit.model)).values
    strayed = settings(differing(factory, unit.values))
    assert 5 <= len(strayed) <= 10


def test_the_other_spare_stands_at_its_factory_values() -> None:
    unit = read_set((DEMO / "units" / "f2-spare.toml").read_bytes(), "f2-spare.toml")
    model = model_of(unit.model)
    assert model.fixed["drive.rated_current_light_a"] == Decimal(45)
    factory = factory_set(model).values
    assert differing(factory, unit.values) == {}


def test_what_f2_needs_stands_so_on_the_spare() -> None:
    """The sums of the replacement: 33.0 of 45 A, 120 % of 38 A on 45 A, 31 to 34 Hz as centre and half."""
    spare = model_of("skarn-k-18k5")
    entries = encode(spare, on(SEPTEMBER, "F2"))
    shown = {
        key: {entries.entries[native.id].words for native in spare.by_key[key]}
        for key in ("protection.overload_current_a", "control.current_limit_a", "skip_bands.band_1.low_hz")
    }
    assert shown == {
        "protection.overload_current_a": {"73.3 %"},
        "control.current_limit_a": {"101 %"},
        "skip_bands.band_1.low_hz": {"32.5 Hz", "1.5 Hz"},
    }
    stays_open = {key for key in entries.cannot if vocabulary()[key].class_ == "setting"}
    assert stays_open == {
        "protection.signal_loss_reaction",
        "protection.signal_loss_preset_hz",
        "stations.change_restart",
        "ramps.ramp_reference_frequency_hz",
        "access.pin_state",
        "access.wireless_pin_state",
    }
