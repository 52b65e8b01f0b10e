"""One signal for each stretch of an analog input that any of the drives tells apart from its neighbours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set
from fractions import Fraction
from itertools import pairwise
from typing import Any

from asleft.behaviour.config import Channel, DriveConfig
from asleft.behaviour.reference import held_at_band, limited

Bands = tuple[tuple[Fraction, Fraction], ...]
"""Ranges of speed in Hz, each open at both ends."""


def analog_levels(
    number: int, configs: Sequence[DriveConfig], bands: Bands | None = None
) -> tuple[Fraction, ...]:
    """One signal for each stretch between the merged break points, both sides of every loss level included.

    Neighbouring stretches that neither drive can tell apart are one; with ``bands`` every stretch is tried,
    those of the bands too.
    """
    points = {p for c in configs for p in break_points(c, number, bands or ()) if p > 0}
    signals = stretches({Fraction(0), *points})
    channels = [c.reference.channels[number] for c in configs if number in c.reference.channels]
    signals += [ch.loss_high + ch.hysteresis for ch in channels if ch.loss_high is not None][:1]
    alike = (
        bands is None and len({(c.reference.channels.get(number), c.limits, c.sleep) for c in configs}) == 1
    )
    if alike:
        signals.append((channels[0].low + channels[0].high) / 2)
    return _told_apart(sorted(set(signals)), number, configs, alike)


def _told_apart(
    signals: list[Fraction], number: int, configs: Sequence[DriveConfig], alike: bool
) -> tuple[Fraction, ...]:
    """One signal of each stretch that looks different.

    Drives that make the same of every signal need not try every speed: a middle and a full one serve, and
    the hysteresis of a loss is either of its neighbours.
    """
    kept: list[Fraction] = []
    last: Any = None
    for signal in signals:
        seen = tuple(_seen(c, number, signal, not alike) for c in configs)
        if alike and _in_hysteresis(configs[0], number, signal):
            continue
        if seen != last:
            kept.append(signal)
            last = seen
        elif alike and kept[-1] > 0:
            kept[-1] = min(kept[-1], signal, key=lambda s: abs(s - _centre(configs[0], number)))
    return (*kept, signals[-1]) if alike and signals[-1] not in kept else tuple(kept)


def _centre(c: DriveConfig, number: int) -> Fraction:
    channel = c.reference.channels[number]
    return (channel.low + channel.high) / 2


def _in_hysteresis(c: DriveConfig, number: int, signal: Fraction) -> bool:
    channel = c.reference.channels.get(number)
    return channel is not None and loss_zone(channel, signal)[1]


def _seen(c: DriveConfig, number: int, signal: Fraction, fully: bool) -> Any:
    """What a drive makes of a signal at rest: loss zones and the speeds it asks for."""
    channel = c.reference.channels.get(number)
    if channel is None:
        return None
    hz = channel.hertz(signal)
    asked = limited(c.limits, hz, "own")
    if not fully:
        slow = hz <= c.sleep.sleep_hz if c.sleep.sleep else False
        share = _against_controller(c, number, channel.share(signal))
        return *loss_zone(channel, signal), asked is None, asked == 0, slow, share
    speeds = rests(c, hz)
    awake = hz > c.sleep.sleep_hz if c.sleep.sleep else True
    share = _against_controller(c, number, channel.share(signal))
    return (*loss_zone(channel, signal), speeds, awake, share)


def stretches(points: Set[Fraction]) -> list[Fraction]:
    """Both ends, and the middle of each stretch between neighbouring points."""
    ordered = sorted(points)
    return [ordered[0], *((a + b) / 2 for a, b in pairwise(ordered)), ordered[-1]]


def marks(c: DriveConfig, bands: Bands = ()) -> set[Fraction]:
    """The speeds in Hz at which what a drive makes of a speed changes its course; the edges of the bands."""
    edges = {edge for band in (*c.limits.bands, *bands) for edge in band}
    return {c.limits.minimum, c.limits.maximum, c.limits.ceiling, c.sleep.sleep_hz, *edges}


def rests(c: DriveConfig, hz: Fraction, kind: str = "own") -> tuple[Fraction, ...]:
    """Where the output rests on a speed asked for, coming from below and from above; () where it stops."""
    asked = limited(c.limits, hz, kind)
    if asked is None:
        return ()
    return tuple(held_at_band(c.limits, asked, now, 0) for now in (Fraction(0), c.limits.maximum * 2))


def asked_speeds(configs: Sequence[DriveConfig], bands: Bands = ()) -> tuple[Fraction, ...]:
    """Speeds to ask for where any can be asked for: what the limits of the drives make different, and one of
    each stretch that rests inside ``bands``.

    Of the stretches the drives make different the lowest, the highest, and one in each skip band serve.
    """
    skipped = sorted({band for c in configs for band in c.limits.bands})
    tried = stretches({Fraction(0), *(mark for c in configs for mark in marks(c, bands))})
    made = {hz: [(rests(c, hz), c.sleep.sleep and hz <= c.sleep.sleep_hz) for c in configs] for hz in tried}
    apart = [hz for hz in tried if any(one != made[hz][0] for one in made[hz])]
    kept = {*apart[:1], *apart[-1:]}
    kept |= {hz for low, high in skipped for hz in [x for x in apart if low < x < high][:1]}
    kept |= {hz for hz in tried if any(inside(ends, bands) for ends, _ in made[hz])}
    return tuple(sorted(kept))


def inside(ends: Iterable[Fraction], bands: Bands) -> bool:
    """Whether any of these speeds lies inside a band."""
    return any(low < hz < high for hz in ends for low, high in bands)


def loss_zone(channel: Channel, signal: Fraction) -> tuple[bool, bool, bool]:
    """Below the loss level, inside its hysteresis, above the high loss level."""
    if not channel.live_zero:
        return False, False, False
    low = signal < channel.loss_low
    between = not low and signal < channel.loss_low + channel.hysteresis
    return low, between, channel.loss_high is not None and signal >= channel.loss_high


def _against_controller(c: DriveConfig, number: int, share: Fraction) -> Any:
    k = c.sleep
    if not k.controller or f"analog_{number}" not in (k.feedback, k.setpoint_source):
        return None
    return share > k.setpoint, share < k.setpoint, share > k.wake_level, share < k.wake_level


def break_points(c: DriveConfig, number: int, bands: Bands = ()) -> set[Fraction]:
    """The signals at which what a drive makes of a channel changes its course, or meets one of the bands."""
    channel = c.reference.channels.get(number)
    if channel is None:
        return set()
    points = {channel.low, channel.high, signal_at(channel, Fraction(0)), signal_at(channel, Fraction(1))}
    if channel.live_zero:
        points |= {channel.loss_low, channel.loss_low + channel.hysteresis}
        if channel.loss_high is not None:
            points.add(channel.loss_high)
    if channel.f_high != channel.f_low:
        for mark in marks(c, bands):
            x = (mark - channel.f_low) / (channel.f_high - channel.f_low)
            if 0 < x < 1:
                points.add(signal_at(channel, x))
    if c.sleep.controller:
        points |= {signal_at(channel, x) for x in (c.sleep.setpoint, c.sleep.wake_level) if 0 <= x <= 1}
    return points


def signal_at(channel: Channel, share: Fraction) -> Fraction:
    """The signal that stands for a share 0…1 of a channel's span."""
    x = 1 - share if channel.inverted else share
    x = channel.low_point + x * (channel.high_point - channel.low_point)
    return channel.low + x * (channel.high - channel.low)
