"""Which speed is asked for: selection, scaling, losses, limits, skip bands. All in Hz, never signed."""

from __future__ import annotations

from fractions import Fraction

from asleft.behaviour.config import Limits
from asleft.behaviour.inputs import ANALOG, BUS_HZ
from asleft.behaviour.state import HEALTHY, ZERO, Bench

STOPS = None
"""A demand of None: the loss reaction is to stop."""

PRESET_BITS = ("preset_bit_0", "preset_bit_1", "preset_bit_2")


def preset_step(d: Bench) -> int:
    """The step the preset inputs choose, 0 where none is active."""
    if d.c.reference.presets_remote_only and d.s.station == 2:
        return 0
    active = [d.on(bit) for bit in PRESET_BITS if d.carried(bit)]
    if d.c.reference.preset_binary:
        return sum(1 << n for n, bit in enumerate(active) if bit)
    return next((n + 1 for n in reversed(range(len(active))) if active[n]), 0)


def sources(d: Bench) -> tuple[str, ...]:
    """The sources in use: the preset step, or the station's own source with its second one."""
    if preset_step(d) or (d.c.reference.preset_zero and any(d.carried(b) for b in PRESET_BITS)):
        return ("preset",)
    return own_sources(d)


def own_sources(d: Bench) -> tuple[str, ...]:
    """The station's own source, with the second reference where the two are combined."""
    r = d.c.reference
    first = d.c.stations.reference[d.s.station]
    if r.second == "none" or r.combination == "first_only":
        return (first,)
    if r.combination == "by_input":
        return (r.second,) if d.on("reference_2") else (first,)
    return (first, r.second)


def channels_in_use(d: Bench) -> set[int]:
    """The analog inputs that count now, as reference, set point or feedback."""
    names = set(sources(d))
    if "pid" in names or d.c.sleep.controller:
        names |= {d.c.sleep.feedback, d.c.sleep.setpoint_source}
    return {n for n in d.c.reference.channels if f"analog_{n}" in names}


def demand(d: Bench) -> tuple[Fraction | None, str]:
    """The speed asked for before limits, and where it comes from; None where a loss says to stop."""
    if d.s.jogging:
        return d.c.reference.jog_hz, "jog"
    step = preset_step(d)
    if step:
        return d.c.reference.presets[step - 1], "preset"
    if d.c.reference.preset_zero and any(d.carried(bit) for bit in PRESET_BITS):
        return ZERO, "preset"
    return _own(d)


def _own(d: Bench) -> tuple[Fraction | None, str]:
    names = own_sources(d)
    held = _after_loss(d, names)
    if held != (ZERO, ""):
        return held
    values = [_source(d, name) for name in names]
    kind = "pid" if "pid" in names else "own"
    if len(values) == 1:
        return values[0], kind
    a, b = values
    combined = {
        "sum": a + b,
        "difference": a - b,
        "smaller": min(a, b),
        "larger": max(a, b),
    }[d.c.reference.combination]
    return max(combined, ZERO), kind


def _after_loss(d: Bench, names: tuple[str, ...]) -> tuple[Fraction | None, str]:
    """What a loss in use makes of the reference; (0, "") where it changes nothing."""
    if "comms" in names and d.s.bus:
        return _reaction(d, d.c.loss.bus_reaction, d.s.bus_hold, d.c.loss.bus_preset_hz)
    for n, condition in enumerate(d.s.lost, 1):
        if condition == HEALTHY:
            continue
        if f"analog_{n}" in names:
            return _reaction(d, d.c.loss.reaction, d.s.hold, d.c.loss.preset_hz)
        if "pid" in names and f"analog_{n}" in (d.c.sleep.feedback, d.c.sleep.setpoint_source):
            return _reaction(d, d.c.loss.feedback_reaction, d.s.hold, d.c.loss.preset_hz)
    return ZERO, ""


def _reaction(
    d: Bench, reaction: str, hold: Fraction | None, preset: Fraction
) -> tuple[Fraction | None, str]:
    if reaction in ("stop_ramp", "coast"):
        return STOPS, "loss"
    if reaction == "hold_last" and hold is not None:
        return hold, "loss"
    if reaction == "go_to_preset":
        return preset, "loss"
    if reaction == "go_to_minimum":
        return d.c.limits.minimum, "loss"
    return ZERO, ""


def _source(d: Bench, name: str) -> Fraction:
    r = d.c.reference
    if name == "keypad":
        return d.s.kp_hz
    if name == "preset":
        return r.presets[0]
    if name == "up_down":
        return d.s.ud_hz
    if name == "comms":
        return Fraction(d.x[BUS_HZ])
    if name == "pid":
        return _controller(d)
    index = int(name.removeprefix("analog_")) if name.startswith("analog_") else 0
    channel = r.channels.get(index)
    return ZERO if channel is None else channel.hertz(d.x[ANALOG[index]])


def feedback(d: Bench) -> Fraction | None:
    """The process value as a share of its span; None where it does not come by an analog input."""
    return _share(d, d.c.sleep.feedback)


def _share(d: Bench, name: str) -> Fraction | None:
    index = int(name[-1]) if name.startswith("analog_") else 0
    channel = d.c.reference.channels.get(index)
    return None if channel is None else channel.share(d.x[ANALOG[index]])


def _controller(d: Bench) -> Fraction:
    """Where an integrating controller ends while its signals stand: at a limit, or as it is at no error."""
    k = d.c.sleep
    wanted = _share(d, k.setpoint_source)
    actual = feedback(d)
    error = (k.setpoint if wanted is None else wanted) - (ZERO if actual is None else actual)
    if error == 0:
        return min(max(abs(d.s.f), k.output_min), k.output_max)
    return k.output_max if (error > 0) == k.raises else k.output_min


def obeys_minimum(limits: Limits, kind: str) -> bool:
    """Whether a reference of this kind obeys the minimum, by the model's clamp scope."""
    free = {
        "all": (),
        "not_jog": ("jog",),
        "not_jog_or_presets": ("jog", "preset"),
        "own_reference_only": ("jog", "preset", "pid"),
    }[limits.scope]
    return kind not in free


def limited(limits: Limits, hz: Fraction, kind: str) -> Fraction | None:
    """After minimum and maximum; None where it stops below the minimum."""
    if hz < limits.minimum and obeys_minimum(limits, kind):
        if limits.below == "stop_below":
            return None
        hz = ZERO if limits.below == "zero_below" else limits.minimum
    return min(hz, limits.maximum, limits.ceiling)


def held_at_band(limits: Limits, hz: Fraction, now: Fraction, side: int) -> Fraction:
    """The speed after the skip bands, coming from ``now``; ``side`` says where from when inside a band."""
    for low, high in limits.bands:
        if not low < hz < high:
            continue
        if limits.skip_hold == "by_approach":
            below = now <= low or (now < high and side != 2)
        else:
            below = limits.skip_hold == "lower"
        edge, other = (low, high) if below else (high, low)
        return edge if limits.minimum <= edge <= min(limits.maximum, limits.ceiling) else other
    return hz


def band_side(limits: Limits, f: Fraction, aim: Fraction, side: int) -> int:
    """Where a speed inside a band came from: 1 below, 2 above, 0 outside every band."""
    for low, high in limits.bands:
        if low < abs(f) < high:
            return side or (1 if abs(aim) >= abs(f) else 2)
    return 0
