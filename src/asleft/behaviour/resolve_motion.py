"""Resolves what moves the shaft: references, limits, ramps, stops, brake, sleep."""

from __future__ import annotations

from fractions import Fraction

from asleft.behaviour.config import (
    BrakeRules,
    Channel,
    Limits,
    Ramps,
    ReferenceRules,
    SleepRules,
    StopRules,
)
from asleft.behaviour.settings import SettingFault, Settings

SPANS = {
    "0_10_v": ("V", 0, 10),
    "2_10_v": ("V", 2, 10),
    "potentiometer": ("V", 0, 10),
    "bipolar_10_v": ("V", 0, 10),
    "pulse": ("V", 0, 10),
    "0_20_ma": ("mA", 0, 20),
    "4_20_ma": ("mA", 4, 20),
}
"""Signal kind -> unit, low and high end. IEC 60381-1 and -2 (memory); 2–10 V common practice."""


def _channel(s: Settings, index: int, limits: Limits) -> Channel | None:
    base = f"analog_inputs.ai_{index}"
    if not s.has(f"{base}.signal") and f"{base}.signal" not in s.not_read:
        return None
    kind = s.choice(f"{base}.signal", "4_20_ma")
    if kind not in SPANS:
        raise SettingFault(f"{base}.signal is {kind}, which is no known kind of signal")
    unit, low, high = SPANS[kind]
    low_point = s.number(f"{base}.low_point_pct", 0) / 100
    high_point = s.number(f"{base}.high_point_pct", 100) / 100
    if low_point >= high_point:
        raise SettingFault(f"{base}: the low point must lie below the high point")
    top = s.optional(f"{base}.loss_high_level_pct")
    return Channel(
        unit=unit,
        low=Fraction(low),
        high=Fraction(high),
        f_low=s.number(f"{base}.freq_at_low_hz", 0),
        f_high=s.number(f"{base}.freq_at_high_hz", str(float(limits.maximum))),
        low_point=low_point,
        high_point=high_point,
        inverted=s.choice(f"{base}.invert", "normal") == "inverted",
        live_zero=low > 0,
        loss_low=s.number(f"{base}.loss_level_pct", 18) / 100 * high if low else Fraction(0),
        loss_high=None if top is None else top / 100 * high,
        hysteresis=Fraction(high, 100),
        loss_delay=s.number(f"{base}.loss_delay_s", 0),
    )


def reference_of(s: Settings, limits: Limits) -> ReferenceRules:
    channels = {i: c for i in (1, 2) if (c := _channel(s, i, limits)) is not None}
    presets = [s.optional(f"presets.preset_{n}_hz") for n in range(1, 8)]
    return ReferenceRules(
        channels=channels,
        presets=tuple(p or Fraction(0) for p in presets),
        preset_binary=s.choice("presets.preset_encoding", "binary") == "binary",
        presets_remote_only=s.option("presets_scope") == "remote_only",
        preset_zero=s.option("preset_zero") == "preset_0",
        combination=s.choice("reference.reference_combination", "first_only"),
        second=s.choice("reference.second_reference_source", "none"),
        keypad_hz=s.number("reference.keypad_reference_hz", 0),
        keypad_kept=s.choice("reference.keypad_reference_kept", "kept"),
        up_down_rate=s.number("reference.up_down_rate_hz_per_s", 1),
        up_down_kept=s.choice("reference.up_down_kept", "kept"),
        jog_hz=s.number("presets.jog_frequency_hz", 5),
        bus_full_hz=s.number("reference.comms_reference_scale_hz", str(float(limits.maximum))),
    )


def limits_of(s: Settings) -> Limits:
    low = s.number("limits.frequency_min_hz", 0)
    high = s.number("limits.frequency_max_hz", 50)
    bands = []
    for n in (1, 2, 3):
        a, b = s.optional(f"skip_bands.band_{n}.low_hz"), s.optional(f"skip_bands.band_{n}.high_hz")
        if a is not None and b is not None and a < b:
            bands.append((a, b))
    return Limits(
        minimum=low,
        maximum=high,
        ceiling=s.number("limits.frequency_ceiling_hz", str(float(2 * high))),
        below=s.option("below_min"),
        scope=s.option("clamp_scope"),
        bands=merged_bands(bands),
        skip_hold=s.option("skip_hold"),
    )


def merged_bands(bands: list[tuple[Fraction, Fraction]]) -> tuple[tuple[Fraction, Fraction], ...]:
    """Overlapping bands as one, lowest first."""
    merged: list[tuple[Fraction, Fraction]] = []
    for low, high in sorted(bands):
        if merged and low < merged[-1][1]:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return tuple(merged)


def _ramp_reference(s: Settings, limits: Limits) -> Fraction:
    basis = s.option("ramp_basis")
    own = s.optional("ramps.ramp_reference_frequency_hz")
    if own is not None:
        return own
    if basis == "motor_rated_frequency":
        return s.number("motor.rated_frequency_hz", 50)
    if basis == "frequency_max":
        return limits.maximum
    return Fraction(50) if basis == "hz_per_s" else s.number("ramps.ramp_reference_frequency_hz", 50)


def ramps_of(s: Settings, limits: Limits) -> Ramps:
    reference = _ramp_reference(s, limits)

    def rate(key: str, default: int | str) -> Fraction | None:
        seconds = s.number(key, default)
        return reference / seconds if seconds else None

    def second(key: str, first: Fraction | None) -> Fraction | None:
        seconds = s.optional(key)
        return first if seconds is None else reference / seconds if seconds else None

    def pair(name: str) -> tuple[Fraction, Fraction]:
        return tuple(s.optional(f"ramps.s_curve_{name}_{end}_s") or Fraction(0) for end in ("start", "end"))  # type: ignore[return-value]

    up, down = rate("ramps.accel_time_1_s", 10), rate("ramps.decel_time_1_s", 10)
    return Ramps(
        up=(up, second("ramps.accel_time_2_s", up)),
        down=(down, second("ramps.decel_time_2_s", down)),
        quick=rate("ramps.quick_stop_time_s", 2),
        jog=second("presets.jog_ramp_time_s", None) if s.has("presets.jog_ramp_time_s") else up,
        reference=reference,
        select=s.choice("ramps.ramp_set_select", "set_1"),
        switch=s.optional("ramps.ramp_switch_frequency_hz") or Fraction(0),
        s_up=pair("accel"),
        s_down=pair("decel"),
        s_inside=s.option("s_mode") == "percent_inside",
        dead_time=s.optional("ramps.reversal_dead_time_s") or Fraction(0),
    )


def stop_of(s: Settings) -> StopRules:
    dc_first = s.choice("start_stop.start_method", "from_start_frequency") == "dc_hold_first"
    return StopRules(
        method=s.choice("start_stop.stop_method", "ramp"),
        enable_loss=s.choice("start_stop.enable_loss_reaction", "coast"),
        quick_inhibits=s.option("quick_stop_end") == "stay_inhibited",
        restart_at_zero=s.option("restart_while_stopping") == "after_zero",
        start_delay=s.number("start_stop.start_delay_s", 0),
        lockout=s.number("start_stop.restart_lockout_time_s", 0),
        start_frequency=s.number("start_stop.start_frequency_hz", 0),
        start_hold=s.optional("start_stop.start_frequency_hold_s") or Fraction(0),
        dc_first=s.number("start_stop.dc_brake_time_at_start_s", 0) if dc_first else Fraction(0),
        dc_time=s.number("start_stop.dc_brake_time_at_stop_s", 0),
        dc_below=s.number("start_stop.dc_brake_start_frequency_hz", 0),
        coast_below=s.optional("start_stop.coast_below_frequency_hz") or Fraction(0),
        catch=s.choice("start_stop.catch_spinning_mode", "off"),
        not_found_fault=s.option("catch_not_found") == "fault",
    )


def sleep_of(s: Settings, limits: Limits) -> SleepRules:
    return SleepRules(
        controller=s.choice("process.pid_mode", "off") == "speed_from_pid",
        setpoint_source=s.choice("process.pid_setpoint_source", "fixed"),
        setpoint=s.number("process.pid_setpoint_pct", 50) / 100,
        feedback=s.choice("process.pid_feedback_source", "analog_2"),
        raises=s.choice("process.pid_direction", "more_speed_raises_value") == "more_speed_raises_value",
        output_min=s.number("process.pid_output_min_hz", str(float(limits.minimum))),
        output_max=s.number("process.pid_output_max_hz", str(float(limits.maximum))),
        sleep=s.yes("process.sleep_mode", False),
        sleep_hz=s.number("process.sleep_frequency_hz", 0),
        sleep_delay=s.number("process.sleep_delay_s", 0),
        wake_level=s.number("process.wake_level_pct", 0) / 100,
        wake_below=s.choice("process.wake_when", "below") == "below",
        wake_delay=s.number("process.wake_delay_s", 0),
    )


def brake_of(s: Settings) -> BrakeRules:
    return BrakeRules(
        on=s.yes("mechanical_brake.control", False),
        release_hz=s.number("mechanical_brake.release_frequency_hz", 0),
        release_delay=s.number("mechanical_brake.release_delay_s", 0),
        apply_hz=s.number("mechanical_brake.apply_frequency_hz", 0),
        apply_delay=s.number("mechanical_brake.apply_delay_s", 0),
    )
