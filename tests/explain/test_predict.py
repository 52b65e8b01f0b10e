"""Predictions against numbers worked out by hand."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from explain_cases import machines

from asleft.prove.predict import predict
from asleft.prove.predicted import Point, Prediction, SignalRow, Span
from asleft.record import Value


def _of(name: str, changed: dict[str, Value] | None = None) -> Prediction:
    machine = machines()[name]
    return predict(machine.changed(changed) if changed else machine.side, machine.asset)


def _span(prediction: Prediction, name: str) -> Span:
    return next(span for span in prediction.spans if span.name == name)


def _point(prediction: Prediction, name: str) -> Point:
    return next(point for point in prediction.points if point.name == name)


def _signals(prediction: Prediction) -> dict[float | None, SignalRow]:
    (table,) = prediction.signals
    return {row.percent: row for row in table.rows}


def test_the_intake_leg_s_commissioning_numbers() -> None:
    # 8 s × 45/50 = 7.2 s, 12 s × 45/50 = 10.8 s, 2.60 m/s × 45/50 = 2.34 m/s: arithmetic.
    leg = _of("leg")
    assert _span(leg, "rest to working point").seconds == 7.2
    assert _span(leg, "working point to rest").seconds == 10.8
    assert _point(leg, "working point").machine == 2.34
    assert _point(leg, "maximum").machine == 2.6


def test_a_way_is_the_area_under_the_ramp() -> None:
    # 2.34 m/s × 7.2 s / 2 = 8.42 m up, × 10.8 s / 2 = 12.64 m down: arithmetic.
    leg = _of("leg")
    assert _span(leg, "rest to working point").way == 8.4
    assert (_span(leg, "working point to rest").way, _span(leg, "working point to rest").way_unit) == (
        12.6,
        "m",
    )


def test_the_fan_s_signal_table_and_its_broken_wire() -> None:
    # 22 + 28 × mA/16 from 4 mA; a broken wire from rest: 38 Hz after 60 s × 38/50 = 45.6 s: arithmetic.
    rows = _signals(_of("fan"))
    assert [rows[percent].hz for percent in (0, 25, 50, 75, 100)] == [22.0, 29.0, 36.0, 43.0, 50.0]
    assert [rows[percent].signal for percent in (0, 25, 50, 75, 100)] == [4.0, 8.0, 12.0, 16.0, 20.0]
    assert rows[None].hz == 38.0
    assert "from rest 45.6 s" in rows[None].note
    assert "seen below 3.6 mA" in rows[None].note


def test_a_span_from_zero_gives_38_8_at_12_milliamps_and_sees_no_broken_wire() -> None:
    # 22 + 28 × 12/20 = 38.8: arithmetic; 10 mA is the middle of this span: 36.0.
    rows = _signals(_of("fan", {"analog_inputs.ai_1.signal": "0_20_ma"}))
    assert rows[50].signal == 10.0
    assert rows[50].hz == 36.0
    assert rows[None].hz == 22.0
    assert "not seen" in rows[None].note


def test_a_speed_inside_a_skip_band_is_held_at_its_edge() -> None:
    # From below hold low, from above hold high: common practice, no source.
    point = _point(_of("fan", {"presets.preset_1_hz": Decimal("32.00")}), "preset 1")
    assert (point.wanted_hz, point.hz) == (32.0, 31.0)
    assert point.note == "skip band 1: 31.0 Hz from below, 34.0 Hz from above"


def test_a_preset_below_the_minimum_is_held_there() -> None:
    point = _point(_of("leg"), "preset 2")
    assert (point.wanted_hz, point.hz, point.note) == (20.0, 42.0, "held at the minimum")


@pytest.mark.parametrize("way", ["zero_below", "stop_below"])
def test_a_preset_below_the_minimum_rests_where_the_drive_says_so(way: str) -> None:
    point = _point(_of("leg", {"limits.frequency_min_behaviour": way}), "preset 2")
    assert (point.hz, point.note) == (0.0, "below the minimum: at rest")


def test_trip_times_by_class_ten_and_pick_up_110() -> None:
    # τ = 423 s; warm at 150 % 77.9 s; at 110 % never: arithmetic on a first-order model;
    # cold at 150 %: 423 × ln(2.25/(2.25 − 1.21)) = 326.5 s.
    trips = {row.percent: row for row in _of("leg").trips}
    assert (trips[110].cold_s, trips[110].warm_s) == (None, None)
    assert trips[150].warm_s == 77.9
    assert trips[150].cold_s == pytest.approx(326.5, abs=0.6)
    assert trips[600].cold_s is not None
    # Class 10 trips within 10 s at 7.2 ×, so later at 6 ×: memory of IEC 60947-4-1 table.
    assert trips[600].cold_s > 10


def test_the_fan_s_load_at_its_working_point() -> None:
    # 17.2 kW at 2940 rpm: 9549.3 × 17.2 / 2940 = 55.9 N·m, 93 % of 18.5 kW: arithmetic.
    said = {one.subject: one for one in _of("fan").working}
    assert said["power"].value == 17.2
    assert said["torque"].value == 55.9
    assert "93 % of rated torque" in said["torque"].words
    assert said["current"].estimate
    assert said["current"].value is not None
    assert 28 <= said["current"].value <= 33


def test_what_is_not_recorded_is_named() -> None:
    unknown = " ".join(_of("leg").unknown)
    assert "run-down time is not recorded" in unknown
    assert "shaft power at the working point is not recorded" in unknown
    assert _span(_of("leg"), "working point to rest, output off").seconds is None


def test_a_mixed_plate_is_noticed() -> None:
    # 14.8 A × √3 = 25.6 A: amps of the other link; √3 × 400 × 25.6 × 0.82 = 14.5 kW for 7.5 kW: arithmetic.
    machine = machines()["conveyor"]
    asset = machine.asset.__class__(
        tag="X", plate={**machine.asset.plate, "rated_current_a": Decimal("25.6")}
    )
    said = predict(machine.side, asset).plate
    assert "is wrong" in said[0].words
    assert "amps of the other way of linking (14.8 A would fit)" in said[0].words
    assert any(one.words == "The drive has motor rated current 14.8 A, the plate 25.6 A." for one in said)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"start_stop.start_at_power_up": "allow"}, "power returns"),
        ({"recovery.reset_with_run_standing": "resume_if_present"}, "a fault is reset"),
        ({"recovery.auto_reset_attempts": Decimal(3)}, "it resets itself, up to 3 times"),
        ({"start_stop.start_trigger": "edge"}, "nothing that returns starts it"),
    ],
)
def test_what_starts_it_by_itself(changed: dict[str, Value], words: str) -> None:
    assert words in _of("leg", changed).starts[-1].words


def test_a_set_without_a_slot_tells_what_it_can() -> None:
    side = machines()["fan"].side
    found = predict(side)
    assert _signals(found)[50].hz == 36.0
    assert {given.source for given in found.basis} >= {"setting", "motor data"}
    assert not [given for given in found.basis if given.source in ("plate", "machine")]


Run = Callable[..., Any]


def test_the_command_says_the_two_times_first(demo: Run) -> None:
    ran = demo("predict", "E1")
    assert ran.code == 0, ran.err
    first = ran.out.splitlines()[0]
    assert first == "E1: from rest to 45.0 Hz in 7.2 s, from there to rest in 10.8 s."
    assert demo("predict", "E1", "--strict").code == 1
    data = demo("predict", "F2", "--format", "json").data
    assert data["kind"] == "predict"
    assert data["analog_inputs"][0]["rows"][2]["hz"] == 36.0


def test_a_diff_says_effects_with_their_basis(demo: Run) -> None:
    data = demo("diff", "E1@commissioning", "E1@found", "--format", "json").data
    changes = {change["key"]: change for change in data["changes"]}
    effect = changes["outputs.relay_1.off_delay_s"]["effects"][0]
    assert (effect["value"], effect["unit"]) == (167.0, "kg")
    assert {"name": "C1 delivers into E1", "value": "60 t/h", "from": "link"} in effect["basis"]
    assert changes["ramps.accel_time_1_s"]["effects"][0]["value"] == 5.85
    assert data["breaching"] == 4
    first = demo("diff", "E1@commissioning", "E1@found").out.splitlines()[0]
    assert first.startswith("The external contact no longer stops the motor")
    assert first.endswith("5 settings differ in all, 4 breach a rule.")


def test_machine_equations_are_loaded_for_what_changed_alone(tmp_path: Path) -> None:
    for name, pin in (("a", "open"), ("b", "locked")):
        text = f'format = 1\n\n[ramps]\naccel_time_1_s = 8.0\n\n[access]\nsetting_lock = "{pin}"\n'
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    code = (
        "import sys\nfrom asleft.cli.start import main\nfrom asleft.cli.session import Session\n"
        "from pathlib import Path\nimport io\n"
        "ran = main(['diff', './a.toml', './b.toml'],"
        " Session(folder=Path(sys.argv[1]), out=io.StringIO(), err=io.StringIO()))\n"
        "print(ran, sorted(one for one in sys.modules if one.startswith('asleft.machine')))\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=True, cwd=tmp_path
    )
    assert ran.stdout.strip() == "1 []"
