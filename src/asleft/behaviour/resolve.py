"""Resolves a set and its model's options into a configuration. Defaults: common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from asleft.behaviour.config import (
    CommandRules,
    DriveConfig,
    FaultRules,
    Limits,
    LossRules,
    OutputRules,
    PowerRules,
    Relay,
    StationRules,
)
from asleft.behaviour.resolve_motion import brake_of, limits_of, ramps_of, reference_of, sleep_of, stop_of
from asleft.behaviour.settings import Settings

INPUTS = 8
"""Contacts the simulation knows, DI1 to DI8."""


NEVER_RETRIED = frozenset({"safe_torque_off", "motor_sensor", "earth_fault", "brake_feedback"})


SUPPLY_FAULTS = ("overcurrent", "overvoltage", "undervoltage")


def resolve(s: Settings) -> DriveConfig:
    """The whole drive. Raises SettingFault where a value is of the wrong kind or a span has no width."""
    contacts = _contacts(s)
    limits = limits_of(s)
    ramps = ramps_of(s, limits)
    return DriveConfig(
        contacts=contacts,
        filter_s=s.number("digital_inputs.di_filter_time_ms", 0) / 1000,
        stations=_stations(s, contacts),
        command=_command(s, contacts),
        reference=reference_of(s, limits),
        loss=_loss(s, limits),
        limits=limits,
        ramps=ramps,
        stop=stop_of(s),
        faults=_faults(s),
        power=_power(s),
        outputs=_outputs(s),
        sleep=sleep_of(s, limits),
        brake=brake_of(s),
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


def _stations(s: Settings, contacts: Mapping[str, Any]) -> StationRules:
    """The stations. The one at power-up is "remote" where the selection decides it anew in any case."""
    remote = s.choice("stations.remote_command_source", "terminals")
    local = s.choice("stations.local_command_source", "keypad")
    far = s.choice("stations.remote_reference_source", "analog_1")
    near = s.choice("stations.local_reference_source", "keypad")
    selection = s.choice("stations.station_selection", "by_input")
    at_power_up = s.choice("stations.station_at_power_up", "remote")
    by_contact = "local_select" in contacts or "remote_select" in contacts
    kept = selection == "by_keypad_key" or (selection == "by_input" and not by_contact)
    return StationRules(
        selection=selection,
        at_power_up=at_power_up if kept else "remote",
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
        threshold_used=any(r.function == "above_frequency_1" for r in relays.values()),
    )
