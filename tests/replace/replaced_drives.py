"""Drives, records and random units for the tests of a replacement."""

from __future__ import annotations

import csv
import random
from collections.abc import Callable
from decimal import Decimal
from functools import cache
from pathlib import Path

from asleft.compare import Side
from asleft.files.assets import read_asset
from asleft.files.sets import read_set
from asleft.models import Model, Native, decode, factory_set, read_model, to_step
from asleft.record import Asset, ParameterSet, Value
from asleft.replace.simulated import EntryRefused, SimulatedUnit

MODELS = Path(__file__).parents[2] / "fixtures" / "demo" / "models"


@cache
def drive(name: str) -> Model:
    """One size of a demo model, by its full name: ``merrow-m4-18k5``."""
    family, _, size = name.rpartition("-")
    return read_model((MODELS / f"{family}.toml").read_bytes(), family).size(size)


def tiny(text: str, name: str = "tiny-a") -> Model:
    """A model written in a test."""
    return read_model(text.encode(), name).size(name.rpartition("-")[2])


def side(model: Model, values: dict[str, Value] | None = None, **head: str) -> Side:
    """Factory values of a model, with some of them changed."""
    factory = factory_set(model)
    whole = ParameterSet(
        model=model.name, values=factory.values, not_read=factory.not_read, native=factory.native, **head
    )
    return Side(whole.with_values(values or {}), model)


def read(unit: SimulatedUnit) -> Side:
    """A whole reading of a simulated unit."""
    decoded = decode(unit.model, unit.displayed, "not shown")
    return Side(
        ParameterSet(
            model=unit.model.name, values=decoded.values, not_read=decoded.not_read, native=decoded.native
        ),
        unit.model,
    )


def random_shown(native: Native, chance: random.Random) -> str:
    """Something this entry can show."""
    if native.form == "bits":
        return str(sum(1 << int(code) for code in native.choices if chance.random() < 0.5))
    if native.choices:
        return chance.choice(list(native.choices))
    if native.is_number and native.low is not None and native.high is not None and native.step:
        steps = int((native.high - native.low) / native.step)
        return str(to_step(native.low + chance.randint(0, steps) * native.step, native.step))
    return native.factory


def random_deriver(chance: random.Random) -> Callable[[Native], str]:
    """A drive whose derived values are anything it can show: the list may not lean on them."""
    return lambda native: random_shown(native, chance)


def random_unit(model: Model, chance: random.Random, edits: int = 120) -> SimulatedUnit:
    """A unit somebody has keyed about in: random entries from factory values, refused ones left out."""
    unit = SimulatedUnit.from_factory(model, random_deriver(chance))
    natives = [native for native in model.natives.values() if not native.read_only and not native.secret]
    for native in chance.choices(natives, k=edits):
        try:
            unit.enter(native.id, random_shown(native, chance))
        except EntryRefused:
            continue
    return unit


FAN: dict[str, Value] = {
    "motor.rated_power_kw": Decimal("18.5"),
    "motor.rated_current_a": Decimal("33.0"),
    "motor.rated_speed_rpm": Decimal(2940),
    "motor.pole_count": "2",
    "motor.power_factor": Decimal("0.88"),
    "control.motor_control_mode": "vf_square",
    "control.current_limit_a": Decimal("45.6"),
    "limits.frequency_min_hz": Decimal("22.00"),
    "limits.frequency_max_hz": Decimal("50.00"),
    "limits.direction_permitted": "forward_only",
    "skip_bands.band_1.low_hz": Decimal("31.0"),
    "skip_bands.band_1.high_hz": Decimal("34.0"),
    "ramps.accel_time_1_s": Decimal("60.0"),
    "ramps.decel_time_1_s": Decimal("90.0"),
    "start_stop.catch_spinning_mode": "always",
    "stations.change_running": "stop",
    "stations.change_restart": "new_command_needed",
    "start_stop.start_trigger": "level",
    "analog_inputs.ai_1.signal": "4_20_ma",
    "analog_inputs.ai_1.freq_at_low_hz": Decimal("22.0"),
    "analog_inputs.ai_1.freq_at_high_hz": Decimal("50.0"),
    "protection.overload_current_a": Decimal("33.0"),
    "protection.signal_loss_reaction": "go_to_preset",
    "protection.signal_loss_preset_hz": Decimal("38.0"),
    "access.setting_lock": "locked",
}
"""An aeration fan of the demo site: 18.5 kW, two poles, 22 to 50 Hz."""

DEMO = MODELS.parent


def demo_record(tag: str, model: str, day: str = "2026-03-12") -> Side:
    """An as-left reading of the demo site, as typed at the keypad."""
    lines = (DEMO / "readings" / day / f"{tag}.csv").read_text(encoding="utf-8").splitlines()
    shown = {cells[0]: cells[1] for cells in csv.reader(lines[1:])}
    decoded = decode(drive(model), shown, "not read")
    found = ParameterSet(
        asset=tag, model=model, values=decoded.values, not_read=decoded.not_read, native=decoded.native
    )
    return Side(found, drive(model))


def demo_unit(name: str) -> Side:
    """A unit on the shelf of the demo site."""
    found = read_set((DEMO / "units" / f"{name}.toml").read_bytes(), name)
    return Side(found, drive(found.model))


def demo_asset(tag: str) -> Asset:
    """A slot of the demo site."""
    return read_asset((DEMO / "assets" / tag / "asset.toml").read_bytes(), tag)
