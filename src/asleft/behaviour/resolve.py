"""Resolves a set and its model's options into a configuration. Defaults: common practice, no source."""

from __future__ import annotations

from fractions import Fraction

from asleft.behaviour.config import (
    BrakeRules,
    Channel,
    CommandRules,
    DriveConfig,
    FaultRules,
    Limits,
    LossRules,
    OutputRules,
    PowerRules,
    Ramps,
    ReferenceRules,
    Relay,
    SleepRules,
    StationRules,
    StopRules,
)
from asleft.behaviour.settings import SettingFault, Settings

INPUTS = 8
"""Contacts the simulation knows, DI1 to DI8."""

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

NEVER_RETRIED = frozenset({"safe_torque_off", "motor_sensor", "earth_fault", "brake_feedback"})
SUPPLY_FAULTS = ("overcurrent", "overvoltage", "undervoltage")


def resolve(s: Settings) -> DriveConfig:
    """The whole drive. Raises SettingFault where a value is of the wrong kind or a span has no width."""
    contacts = _contacts(s)
    limits = _limits(s)
    ramps = _ramps(s, limits)
    return DriveConfig(
        contacts=contacts,
        filter_s=s.number("digital_inputs.di_filter_time_ms", 0) / 1000,
        stations=_stations(s),
        command=_command(s, contacts),
        reference=_reference(s, limits),
        loss=_loss(s, limits),
        limits=limits,
        ramps=ramps,
        stop=_stop(s),
        faults=_faults(s),
        power=_power(s),
        outputs=_outputs(s),
        sleep=_sleep(s, limits),
        brake=_brake(s),
    )


def _contacts(s: Settings) -> dict[str, tuple[tuple[int, bool], ...]]:
    found: dict[str, tuple[tuple[int, bool], ...]] = {}
    for index in range(INPUTS):
        base = f"digital_inputs.di_{index + 1}"
        if not s.has(f"{base}.function"):
            if f"{base}.function" in s.not_read:
                s.unread.add(f"{base}.function")
            continue
        function = s.choice(f"{base}.function", "none")
        inverted = s.choice(f"{base}.sense", "acts_when_closed") == "acts_when_open"
        if function != "none":
            found[function] = (*found.get(function, ()), (index, inverted))
    return found


def _stations(s: Settings) -> StationRules:
    remote = s.choice("stations.remote_command_source", "terminals")
    local = s.choice("stations.local_command_source", "keypad")
    far = s.choice("stations.remote_reference_source", "analog_1")
    near = s.choice("stations.local_reference_source", "keypad")
    return StationRules(
        selection=s.choice("stations.station_selection", "by_input"),
        at_power_up=s.choice("stations.station_at_power_up", "remote"),
        key=s.choice("stations.keypad_station_key", "enabled"),
        command=("none", remote, local, "none"),
        reference=(far, far, near, far),
        change_running=s.option("change_running"),
        change_restart=s.option("change_restart"),
        change_reference=s.option("change_reference"),
        latch_survives=s.option("three_wire_latch_survives_change") == "yes",
    )


def _command(s: Settings, contacts: dict[str, tuple[tuple[int, bool], ...]]) -> CommandRules:
    return CommandRules(
        wiring=s.choice("start_stop.run_wiring", "two_wire_forward_reverse"),
        edge=s.option("start_trigger") == "edge",
        edge_wins=s.option("edge_wins") == "yes",
        both_directions=s.option("both_directions_closed"),
        forbidden=s.option("forbidden_direction"),
        permitted=s.choice("limits.direction_permitted", "both"),
        run_key=s.choice("stations.keypad_run_key", "enabled") == "enabled",
        stop_key_always=s.choice("start_stop.keypad_stop_key", "when_keypad_is_command") == "always",
        stop_key_latches=s.option("keypad_stop_in_remote_latches") == "yes",
        enable_required=s.yes("stations.run_enable_required", "run_enable" in contacts),
        jog_takes_over=s.option("jog_while_running") == "takes_over",
    )


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


def _reference(s: Settings, limits: Limits) -> ReferenceRules:
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


def _loss(s: Settings, limits: Limits) -> LossRules:
    return LossRules(
        reaction=s.choice("protection.signal_loss_reaction", "fault"),
        recovery=s.option("loss_recovers"),
        preset_hz=s.number("protection.signal_loss_preset_hz", str(float(limits.minimum))),
        hold_value=s.option("hold_value"),
        watched_always=s.option("loss_watched") == "always",
        feedback_reaction=s.choice("process.pid_feedback_loss_reaction", "fault"),
        bus_reaction=s.choice("protection.comms_loss_reaction", "fault"),
        bus_recovery=s.choice("protection.comms_loss_recovery", "automatic"),
        bus_delay=s.number("protection.comms_loss_delay_s", 1),
        bus_preset_hz=s.number("protection.comms_loss_preset_hz", str(float(limits.minimum))),
        bus_command_held=s.option("bus_loss_command") == "held",
        keypad_reaction=s.choice("protection.keypad_loss_reaction", "ignore"),
    )


def _limits(s: Settings) -> Limits:
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


def _ramps(s: Settings, limits: Limits) -> Ramps:
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


def _stop(s: Settings) -> StopRules:
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


def _faults(s: Settings) -> FaultRules:
    return FaultRules(
        external=s.choice("protection.external_fault_reaction", "fault_coast"),
        external_watched=s.choice("protection.external_fault_watched", "always"),
        external_delay=s.number("protection.external_fault_start_delay_s", 0),
        reset_source=s.choice("recovery.fault_reset_source", "any"),
        reset_resumes=s.option("reset_with_run_standing") == "resume_if_present",
        attempts=int(s.number("recovery.auto_reset_attempts", 0)),
        delay=s.number("recovery.auto_reset_delay_s", 5),
        window=s.number("recovery.auto_reset_window_s", 600),
        retried=s.names("recovery.auto_reset_faults", SUPPLY_FAULTS) - NEVER_RETRIED,
        restarts=s.yes("recovery.auto_reset_restarts_motor", True),
        hidden_while_retrying=s.option("relay_during_retry") == "hidden",
        sto_shown=s.choice("protection.safe_torque_off_shown_as", "warning"),
        sto_resumes=s.choice("protection.safe_torque_off_recovery", "new_command_needed")
        == "resume_if_present",
        overload=s.choice("protection.overload_reaction", "fault"),
        motor_sensor=s.choice("protection.motor_sensor_reaction", "fault"),
    )


def _power(s: Settings) -> PowerRules:
    return PowerRules(
        start=s.choice("start_stop.start_at_power_up", "inhibit"),
        restores_latch=s.option("as_before_restores_latch") == "yes",
        dip=s.choice("supply.power_dip_ride_through", "off"),
        dip_longest=s.optional("supply.power_dip_max_time_s") or Fraction(1),
        undervoltage=s.choice("supply.undervoltage_reaction", "fault"),
    )


def _outputs(s: Settings) -> OutputRules:
    relays = {}
    for name in ("relay_1", "relay_2", "do_1", "do_2"):
        base = f"outputs.{name}"
        if s.has(f"{base}.function"):
            inverted = s.choice(f"{base}.sense", "energised_when_true") == "energised_when_false"
            on, off = s.optional(f"{base}.on_delay_s"), s.optional(f"{base}.off_delay_s")
            relays[name] = Relay(
                s.choice(f"{base}.function", "none"), inverted, on or Fraction(0), off or Fraction(0)
            )
    return OutputRules(
        relays=relays,
        running_means=s.option("running_means"),
        ready_needs_enable=s.option("ready_includes_enable") == "yes",
        threshold_hz=s.number("outputs.threshold_frequency_1_hz", 0),
        threshold_gap=s.optional("outputs.threshold_frequency_hysteresis_hz") or Fraction(0),
    )


def _sleep(s: Settings, limits: Limits) -> SleepRules:
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


def _brake(s: Settings) -> BrakeRules:
    return BrakeRules(
        on=s.yes("mechanical_brake.control", False),
        release_hz=s.number("mechanical_brake.release_frequency_hz", 0),
        release_delay=s.number("mechanical_brake.release_delay_s", 0),
        apply_hz=s.number("mechanical_brake.apply_frequency_hz", 0),
        apply_delay=s.number("mechanical_brake.apply_delay_s", 0),
    )
