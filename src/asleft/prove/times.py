"""Starts and stops between the usual points."""

from __future__ import annotations

from collections.abc import Iterator

from asleft.explain import electric, motion
from asleft.explain.figures import figure, rounded
from asleft.explain.view import View
from asleft.prove.asking import Asking, round_or_none
from asleft.prove.predicted import Span

_HELD = "whether the drive holds these stops without a resistor"


def spans(asking: Asking) -> tuple[Span, ...]:
    """From rest to minimum, working point and maximum, back again, quickly, and by running down."""
    return (*_ramps(asking), *_quick(asking), *_run_down(asking))


def _targets(asking: Asking) -> list[tuple[str, float]]:
    view = asking.view
    named = [("minimum", lambda: motion.least(view)), ("maximum", lambda: motion.most(view))]
    if motion.has_working_point(view):
        named.insert(1, ("working point", lambda: motion.working_hz(view)))
    found: dict[float, str] = {}
    for name, make in named:
        hz = asking.get(f"the {name}", make)
        if hz:
            found.setdefault(hz, name)
    return [(name, hz) for hz, name in found.items()]


def _ramps(asking: Asking) -> Iterator[Span]:
    targets = _targets(asking)
    for name, hz in targets:
        yield _span(asking, f"rest to {name}", motion.ACCEL, 0.0, hz)
    for name, hz in reversed(targets):
        yield _stop(asking, name, hz)


def _span(asking: Asking, name: str, key: str, from_hz: float, to_hz: float, note: str = "") -> Span:
    view = asking.view
    seconds = asking.get("the times of the ramps", lambda: motion.ramp_seconds(view, key, from_hz, to_hz))
    way = asking.get("", lambda: motion.way(view, key, from_hz, to_hz))
    length, unit = way if way is not None else (None, "")
    return Span(
        name,
        rounded(from_hz, "Hz"),
        rounded(to_hz, "Hz"),
        round_or_none(seconds, "s"),
        round_or_none(length, unit),
        unit,
        note,
    )


def _stop(asking: Asking, name: str, hz: float) -> Span:
    """A stop by the method that is set."""
    view = asking.view
    if view.is_("start_stop.stop_method", "coast"):
        return _coast(asking, f"{name} to rest, running down", hz)
    quick = view.is_("start_stop.stop_method", "quick_ramp")
    key = "ramps.quick_stop_time_s" if quick else motion.DECEL
    note = asking.get(_HELD, lambda: _held(view, key, hz)) or ""
    return _span(asking, f"{name} to rest", key, hz, 0.0, note)


def _held(view: View, key: str, hz: float) -> str:
    """What the drive can hold of a stop without a resistor."""
    if view.is_("braking.chopper", "on", "on_while_running"):
        return ""
    least = electric.least_stop(view, hz)
    if motion.ramp_seconds(view, key, hz, 0.0) >= electric.SURE_SHARE * least:
        return ""
    held = view.is_("ramps.overvoltage_ramp_hold", "on")
    ends = "the ramp hold stretches it" if held else "shorter trips the drive"
    return f"without a resistor {figure(least, 's', 2)} at best, an estimate: {ends}"


def _quick(asking: Asking) -> Iterator[Span]:
    key = "ramps.quick_stop_time_s"
    if not asking.view.has(key) or asking.view.is_("start_stop.stop_method", "quick_ramp"):
        return
    for name, hz in _targets(asking)[-1:]:
        note = asking.get(_HELD, lambda hz=hz: _held(asking.view, key, hz)) or ""  # type: ignore[misc]
        yield _span(asking, f"{name} to rest, quick stop", key, hz, 0.0, note)


def _run_down(asking: Asking) -> Iterator[Span]:
    if asking.view.is_("start_stop.stop_method", "coast"):
        return
    hz = asking.get("", lambda: motion.working_hz(asking.view))
    if hz:
        name = "working point" if motion.has_working_point(asking.view) else "maximum"
        yield _coast(asking, f"{name} to rest, output off", hz)


def _coast(asking: Asking, name: str, hz: float) -> Span:
    what = "how long the machine runs down with the output off"
    seconds = asking.get(what, lambda: asking.view.machine("run_down_time_s"))
    note = "as recorded" if seconds is not None else "not recorded"
    return Span(name, rounded(hz, "Hz"), 0.0, round_or_none(seconds, "s"), None, "", note)
