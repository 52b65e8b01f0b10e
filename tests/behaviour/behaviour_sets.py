"""Small sets for the comparison tests: the demo's leg, its fan and the fan's spare, and random small ones."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import strategies as st

from asleft.behaviour import Drive
from asleft.record import Selector, Value

LEG: dict[str, Value] = {
    "digital_inputs.di_1.function": "run_forward",
    "digital_inputs.di_2.function": "remote_select",
    "digital_inputs.di_3.function": "run_enable",
    "digital_inputs.di_5.function": "external_fault",
    "digital_inputs.di_5.sense": "acts_when_open",
    "digital_inputs.di_6.function": "fault_reset",
    "stations.remote_reference_source": "preset",
    "presets.preset_1_hz": Decimal(45),
    "limits.frequency_min_hz": Decimal(42),
    "limits.frequency_max_hz": Decimal(50),
    "limits.direction_permitted": "forward_only",
    "ramps.accel_time_1_s": Decimal(8),
    "ramps.decel_time_1_s": Decimal(12),
    "ramps.ramp_reference_frequency_hz": Decimal(50),
    "protection.external_fault_reaction": "fault_coast",
    "protection.external_fault_watched": "after_start_delay",
    "protection.external_fault_start_delay_s": Decimal(7),
    "recovery.auto_reset_attempts": Decimal(0),
    "outputs.relay_1.function": "running",
    "outputs.relay_1.off_delay_s": Decimal("0.2"),
    "access.setting_lock": "locked",
}
"""The intake leg as left at commissioning."""

HARVEST_NIGHT: dict[str, Value] = {
    "protection.external_fault_reaction": "warning",
    "recovery.auto_reset_attempts": Decimal(5),
    "ramps.accel_time_1_s": Decimal("6.5"),
    "outputs.relay_1.off_delay_s": Decimal(10),
    "access.setting_lock": "open",
}
"""What was changed of it one night, and not recorded."""

FAN: dict[str, Value] = {
    "digital_inputs.di_1.function": "run_forward",
    "digital_inputs.di_2.function": "remote_select",
    "digital_inputs.di_3.function": "run_enable",
    "analog_inputs.ai_1.signal": "4_20_ma",
    "analog_inputs.ai_1.freq_at_low_hz": Decimal(22),
    "analog_inputs.ai_1.freq_at_high_hz": Decimal(50),
    "limits.frequency_min_hz": Decimal(22),
    "limits.frequency_max_hz": Decimal(50),
    "ramps.accel_time_1_s": Decimal(60),
    "ramps.decel_time_1_s": Decimal(90),
    "ramps.quick_stop_time_s": Decimal(20),
    "ramps.ramp_reference_frequency_hz": Decimal(50),
    "skip_bands.band_1.low_hz": Decimal(31),
    "skip_bands.band_1.high_hz": Decimal(34),
    "protection.signal_loss_reaction": "go_to_preset",
    "protection.signal_loss_preset_hz": Decimal(38),
    "stations.change_restart": "new_command_needed",
}
"""An aeration fan on its first drive."""

SPARE: dict[str, Value] = {
    **{
        k: v
        for k, v in FAN.items()
        if k not in ("stations.change_restart", "protection.signal_loss_preset_hz")
    },
    "protection.signal_loss_reaction": "go_to_minimum",
    "ramps.accel_time_1_s": Decimal(120),
    "ramps.decel_time_1_s": Decimal(180),
    "ramps.quick_stop_time_s": Decimal(40),
    "ramps.ramp_reference_frequency_hz": Decimal(100),
}
"""The fan on the spare: its ramps count to 100 Hz, it has no loss preset, and it cannot be told how to restart."""

SPARE_OPTIONS = {"change_restart": "resume_if_present", "start_trigger": "level"}

TINY: dict[str, Value] = {
    "digital_inputs.di_1.function": "run_forward",
    "digital_inputs.di_2.function": "remote_select",
    "analog_inputs.ai_1.signal": "4_20_ma",
    "analog_inputs.ai_1.freq_at_high_hz": Decimal(50),
    "outputs.relay_1.function": "running",
}

VARIED: dict[str, tuple[Value, ...]] = {
    "digital_inputs.di_2.function": (
        "remote_select",
        "run_enable",
        "external_fault",
        "quick_stop",
        "preset_bit_0",
    ),
    "digital_inputs.di_3.function": ("none", "local_select", "run_reverse"),
    "digital_inputs.di_2.sense": ("acts_when_closed", "acts_when_open"),
    "analog_inputs.ai_1.signal": ("4_20_ma", "0_20_ma"),
    "analog_inputs.ai_1.freq_at_high_hz": (Decimal(50), Decimal(40)),
    "limits.frequency_min_hz": (Decimal(0), Decimal(10)),
    "limits.frequency_min_behaviour": ("clamp", "stop_below"),
    "presets.preset_1_hz": (Decimal(15), Decimal(33)),
    "protection.external_fault_reaction": ("fault_coast", "warning", "fault_ramp"),
    "protection.signal_loss_reaction": ("fault", "hold_last", "go_to_preset", "stop_ramp", "warning_only"),
    "protection.signal_loss_recovery": ("automatic", "latched", "new_command_needed"),
    "recovery.auto_reset_attempts": (Decimal(0), Decimal(1)),
    "recovery.reset_with_run_standing": ("new_command_needed", "resume_if_present"),
    "stations.change_restart": ("new_command_needed", "resume_if_present"),
    "stations.change_running": ("stop", "continue"),
    "stations.local_command_source": ("keypad", "terminals", "none"),
    "start_stop.start_at_power_up": ("inhibit", "allow", "as_before"),
    "start_stop.start_trigger": ("level", "edge"),
    "start_stop.stop_method": ("ramp", "coast"),
    "supply.power_dip_ride_through": ("off", "coast_and_catch", "ride_on_inertia"),
    "skip_bands.band_1.low_hz": (Decimal(20), Decimal(30)),
    "skip_bands.band_1.high_hz": (Decimal(25), Decimal(30)),
}

SELECTOR = Selector("station", (("local", ("di_3",)), ("off", ()), ("remote", ("di_2",))))
"""A switch on the two inputs of the small sets; where one of them is unused it is a contact like any other."""


@st.composite
def tiny_pairs(draw: st.DrawFn) -> tuple[Drive, Drive]:
    """Two small sets that differ in one to three entries, or in none."""
    first = dict(TINY)
    for key in draw(st.lists(st.sampled_from(sorted(VARIED)), max_size=6, unique=True)):
        first[key] = draw(st.sampled_from(VARIED[key]))
    second = dict(first)
    for key in draw(st.lists(st.sampled_from(sorted(VARIED)), min_size=1, max_size=3, unique=True)):
        second[key] = draw(st.sampled_from(VARIED[key]))
    selectors = (SELECTOR,) if draw(st.booleans()) else ()
    return Drive.of(first, selectors=selectors), Drive.of(second, selectors=selectors)
