"""Speeds: the limits, the presets, and what each signal gives, a broken wire among them."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from asleft.explain import channel, motion
from asleft.explain.figures import figure, rounded
from asleft.explain.view import View
from asleft.prove.asking import Asking, round_or_none
from asleft.prove.predicted import Point, SignalRow, SignalTable

PERCENTS = (0.0, 25.0, 50.0, 75.0, 100.0)


def points(asking: Asking) -> tuple[Point, ...]:
    """Minimum, maximum, working point, each preset that stands, jog, and the speeds after a loss."""
    return tuple(_point(asking, name, hz) for name, hz in _wanted(asking.view))


def _wanted(view: View) -> Iterator[tuple[str, float]]:
    for name, key in (("minimum", "limits.frequency_min_hz"), ("maximum", "limits.frequency_max_hz")):
        if view.has(key):
            yield name, view.number(key)
    if view.asset is not None and "working_frequency_hz" in view.asset.machine:
        yield "working point", view.machine("working_frequency_hz")
    for number, key in enumerate(motion.PRESETS, 1):
        if view.values.get(key):
            yield f"preset {number}", view.number(key)
    if view.values.get("presets.jog_frequency_hz"):
        yield "jog", view.number("presets.jog_frequency_hz")
    for name in ("signal", "comms"):
        key = f"protection.{name}_loss_preset_hz"
        if view.is_(f"protection.{name}_loss_reaction", "go_to_preset") and view.has(key):
            yield {"signal": "signal lost", "comms": "bus lost"}[name], view.number(key)


def _point(asking: Asking, name: str, wanted: float) -> Point:
    hz, note = wanted, ""
    if name not in ("minimum", "maximum", "jog"):
        hz, note = settled(asking, wanted, preset=name.startswith("preset"))
    rpm, machine, unit = _speeds(asking, hz)
    return Point(name, rounded(wanted, "Hz"), rounded(hz, "Hz"), rpm, machine, unit, note)


def settled(asking: Asking, wanted: float, rising: bool = True, preset: bool = False) -> tuple[float, str]:
    """Where a wanted frequency ends by minimum, maximum and skip bands, come to from below or from above."""
    view = asking.view
    held = asking.get("", lambda: motion.held_hz(view, wanted, preset))
    hz = wanted if held is None else held
    note = ""
    if hz != wanted:
        note = "held at the minimum" if hz > wanted else "held at the maximum"
        note = note if hz else "below the minimum: at rest"
    for number, low, high in asking.get("", lambda: motion.skip_bands(view)) or []:
        if low < hz < high:
            return low if rising else high, (
                f"skip band {number}: {figure(low, 'Hz')} from below, {figure(high, 'Hz')} from above"
            )
    return hz, note


def _speeds(asking: Asking, hz: float) -> tuple[float | None, float | None, str]:
    view = asking.view
    rpm = asking.get("speeds in rpm", lambda: motion.rpm(view, hz))
    if not motion.has_machine_speed(view):
        return round_or_none(rpm, "rpm"), None, ""
    speed, unit = motion.machine_speed(view, hz)
    return round_or_none(rpm, "rpm"), rounded(speed, unit), unit


def signal_tables(asking: Asking) -> tuple[SignalTable, ...]:
    """Each analog input that something takes its value from."""
    view = asking.view
    tables = []
    for number in (1, 2):
        uses = channel.uses(view, number)
        if not uses:
            continue
        rows = asking.get(f"what analog input {number} gives", lambda n=number: _rows(asking, n))  # type: ignore[misc]
        if rows:
            unit = view.word_or("machine.machine_speed_unit", "") if motion.has_machine_speed(view) else ""
            tables.append(SignalTable(number, channel.unit(view, number), " and ".join(uses), unit, rows))
    return tuple(tables)


def _rows(asking: Asking, number: int) -> tuple[SignalRow, ...]:
    view = asking.view
    span = channel.scaling(view, number)
    rows = []
    for percent in PERCENTS:
        signal = span.low + percent / 100 * (span.high - span.low)
        hz, note = settled(asking, channel.hz_at(view, number, signal))
        rpm, machine, _ = _speeds(asking, hz)
        unit = channel.unit(view, number)
        rows.append(SignalRow(percent, rounded(signal, unit), rounded(hz, "Hz"), rpm, machine, note))
    return (*rows, _broken(asking, number))


def _broken(asking: Asking, number: int) -> SignalRow:
    """The row of a broken wire: seen or not, and the speed it leads to."""
    view = asking.view
    level = channel.loss_level(view, number)
    if level is None:
        hz, _ = settled(asking, channel.hz_at(view, number, 0.0))
        rpm, machine, _ = _speeds(asking, hz)
        return SignalRow(
            None, None, rounded(hz, "Hz"), rpm, machine, "not seen: followed as a signal of zero"
        )
    seen = f"seen below {figure(level, channel.unit(view, number))} after {_delay(view, number)}"
    reaction = view.choice("protection.signal_loss_reaction")
    target = _target(view, reaction)
    if target is None:
        words = {
            "fault": "trips the drive",
            "stop_ramp": "ramps to rest",
            "hold_last": "keeps the last speed",
            "warning_only": "is only shown",
        }
        ends_at = 0.0 if reaction in ("fault", "stop_ramp") else None
        return SignalRow(None, None, ends_at, ends_at, ends_at, f"{seen}; {words[reaction]}")
    hz, _ = settled(asking, target)
    rpm, machine, _ = _speeds(asking, hz)
    times = asking.get("how long a lost signal takes to its speed", lambda: _loss_times(view, hz))
    note = f"{seen}; {times}" if times else seen
    return SignalRow(None, None, rounded(hz, "Hz"), rpm, machine, note)


def _delay(view: View, number: int) -> str:
    delay = view.values.get(f"analog_inputs.ai_{number}.loss_delay_s")
    return figure(float(delay), "s") if isinstance(delay, Decimal) else "an unknown time"


def _target(view: View, reaction: str) -> float | None:
    if reaction == "go_to_preset":
        return view.number("protection.signal_loss_preset_hz")
    return view.number("limits.frequency_min_hz") if reaction == "go_to_minimum" else None


def _loss_times(view: View, hz: float) -> str:
    """From rest and from the working point to the speed of a lost signal."""
    rest = motion.ramp_seconds(view, motion.ACCEL, 0.0, hz)
    working = motion.working_hz(view)
    key = motion.ACCEL if hz > working else motion.DECEL
    down = motion.ramp_seconds(view, key, working, hz)
    return f"from rest {figure(rest, 's')}, from {figure(working, 'Hz')} {figure(down, 's')}"
