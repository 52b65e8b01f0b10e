"""What a drive does, as resolved from a set and its model: frozen records, frequencies in Hz, times in s."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

Contacts = Mapping[str, tuple[tuple[int, bool], ...]]
"""Input function -> (input index from 0, acts when open) of every terminal that carries it."""


@dataclass(frozen=True, slots=True)
class StationRules:
    """Who is in charge. ``command`` and ``reference`` are indexed by station: off, remote, local, both."""

    selection: str
    at_power_up: str
    key: str
    command: tuple[str, str, str, str]
    reference: tuple[str, str, str, str]
    change_running: str
    change_restart: str
    change_reference: str
    latch_survives: bool


@dataclass(frozen=True, slots=True)
class CommandRules:
    """How a run command is read, and what may start the motor."""

    wiring: str
    edge: bool
    edge_wins: bool
    both_directions: str
    forbidden: str
    permitted: str
    run_key: bool
    stop_key_always: bool
    stop_key_latches: bool
    enable_required: bool
    jog_takes_over: bool

    @property
    def edge_rules(self) -> bool:
        """Whether only a fresh command may start it, whatever a resume setting says."""
        return self.edge and self.edge_wins


@dataclass(frozen=True, slots=True)
class Channel:
    """One analog input: ends and loss levels in mA or V, frequencies in Hz, trim points as shares 0…1."""

    unit: str
    low: Fraction
    high: Fraction
    f_low: Fraction
    f_high: Fraction
    low_point: Fraction
    high_point: Fraction
    inverted: bool
    live_zero: bool
    loss_low: Fraction
    loss_high: Fraction | None
    hysteresis: Fraction
    loss_delay: Fraction
    known: dict[Fraction, Fraction] = field(default_factory=dict, compare=False, repr=False)

    def share(self, signal: Fraction) -> Fraction:
        """The share 0…1 of the span that a signal stands for, after trim points and inversion."""
        x = min(max((signal - self.low) / (self.high - self.low), Fraction(0)), Fraction(1))
        if self.low_point or self.high_point != 1:
            x = min(max((x - self.low_point) / (self.high_point - self.low_point), Fraction(0)), Fraction(1))
        return 1 - x if self.inverted else x

    def hertz(self, signal: Fraction) -> Fraction:
        """The frequency a signal asks for, before limits; worked out once for each signal."""
        hz = self.known.get(signal)
        if hz is None:
            hz = self.known[signal] = self.f_low + self.share(signal) * (self.f_high - self.f_low)
        return hz


@dataclass(frozen=True, slots=True)
class ReferenceRules:
    """Where the speed comes from."""

    channels: Mapping[int, Channel]
    presets: tuple[Fraction, ...]
    preset_binary: bool
    presets_remote_only: bool
    preset_zero: bool
    combination: str
    second: str
    keypad_hz: Fraction
    keypad_kept: str
    up_down_rate: Fraction
    up_down_kept: str
    jog_hz: Fraction
    bus_full_hz: Fraction


@dataclass(frozen=True, slots=True)
class LossRules:
    """What a lost signal, bus or keypad does."""

    reaction: str
    recovery: str
    preset_hz: Fraction
    hold_value: str
    watched_always: bool
    feedback_reaction: str
    bus_reaction: str
    bus_recovery: str
    bus_delay: Fraction
    bus_preset_hz: Fraction
    bus_command_held: bool
    keypad_reaction: str


@dataclass(frozen=True, slots=True)
class Limits:
    """Minimum, maximum, ceiling and skip bands; bands are merged and sorted."""

    minimum: Fraction
    maximum: Fraction
    ceiling: Fraction
    below: str
    scope: str
    bands: tuple[tuple[Fraction, Fraction], ...]
    skip_hold: str


@dataclass(frozen=True, slots=True)
class Ramps:
    """Rates in Hz/s (None: at once), by ramp set; the S-curve in s at (start, end) of each direction."""

    up: tuple[Fraction | None, Fraction | None]
    down: tuple[Fraction | None, Fraction | None]
    quick: Fraction | None
    jog: Fraction | None
    reference: Fraction
    select: str
    switch: Fraction
    s_up: tuple[Fraction, Fraction]
    s_down: tuple[Fraction, Fraction]
    s_inside: bool
    dead_time: Fraction


@dataclass(frozen=True, slots=True)
class StopRules:
    """Starting and stopping."""

    method: str
    enable_loss: str
    quick_inhibits: bool
    restart_at_zero: bool
    start_delay: Fraction
    lockout: Fraction
    start_frequency: Fraction
    start_hold: Fraction
    dc_first: Fraction
    dc_time: Fraction
    dc_below: Fraction
    coast_below: Fraction
    catch: str
    not_found_fault: bool


@dataclass(frozen=True, slots=True)
class FaultRules:
    """External fault, resets, automatic resets, safe torque off."""

    external: str
    external_watched: str
    external_delay: Fraction
    reset_source: str
    reset_resumes: bool
    attempts: int
    delay: Fraction
    window: Fraction
    retried: frozenset[str]
    restarts: bool
    hidden_while_retrying: bool
    sto_shown: str
    sto_resumes: bool
    overload: str
    motor_sensor: str


@dataclass(frozen=True, slots=True)
class PowerRules:
    """Power return and dips."""

    start: str
    restores_latch: bool
    dip: str
    dip_longest: Fraction
    undervoltage: str


@dataclass(frozen=True, slots=True)
class Relay:
    """One relay or transistor output."""

    function: str
    inverted: bool
    on_delay: Fraction
    off_delay: Fraction


@dataclass(frozen=True, slots=True)
class OutputRules:
    """The relays and what their words mean."""

    relays: Mapping[str, Relay]
    running_means: str
    ready_needs_enable: bool
    threshold_hz: Fraction
    threshold_gap: Fraction
    threshold_used: bool


@dataclass(frozen=True, slots=True)
class SleepRules:
    """Process controller and sleep; levels as a share 0…1 of the feedback span."""

    controller: bool
    setpoint_source: str
    setpoint: Fraction
    feedback: str
    raises: bool
    output_min: Fraction
    output_max: Fraction
    sleep: bool
    sleep_hz: Fraction
    sleep_delay: Fraction
    wake_level: Fraction
    wake_below: bool
    wake_delay: Fraction


@dataclass(frozen=True, slots=True)
class BrakeRules:
    """The mechanical brake's sequence."""

    on: bool
    release_hz: Fraction
    release_delay: Fraction
    apply_hz: Fraction
    apply_delay: Fraction


@dataclass(frozen=True, slots=True)
class DriveConfig:
    """One drive, resolved."""

    contacts: Contacts
    filter_s: Fraction
    stations: StationRules
    command: CommandRules
    reference: ReferenceRules
    loss: LossRules
    limits: Limits
    ramps: Ramps
    stop: StopRules
    faults: FaultRules
    power: PowerRules
    outputs: OutputRules
    sleep: SleepRules
    brake: BrakeRules

    def functions_at(self, index: int) -> tuple[tuple[str, bool], ...]:
        """The functions of the terminal at an input index, each with whether it acts when open."""
        return tuple((f, inv) for f, terminals in self.contacts.items() for i, inv in terminals if i == index)
