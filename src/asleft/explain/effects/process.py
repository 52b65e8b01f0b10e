"""The process controller and sleep, in the process's own unit."""

from __future__ import annotations

from asleft.explain import motion
from asleft.explain.facts import Fact, Lacking
from asleft.explain.scene import Scene
from asleft.explain.view import View


def _unit(view: View) -> str:
    unit = view.values.get("process.pid_unit")
    if not isinstance(unit, str) and view.asset is not None:
        unit = view.asset.values.get("process.pid_unit")
    return unit if isinstance(unit, str) else "of the process unit"


def in_unit(scene: Scene) -> Fact | None:
    """A percent of span as a process value."""
    old, new = (
        view.number(scene.key) / 100 * view.number("process.pid_feedback_span") for view in scene.sides
    )
    return scene.fact(old, new, unit=_unit(scene.new))


def setpoint_moves(scene: Scene) -> Fact | None:
    """What the standing set point means on the changed span."""
    old, new = (
        view.number("process.pid_setpoint_pct") / 100 * view.number(scene.key) for view in scene.sides
    )
    share = scene.new.number("process.pid_setpoint_pct")
    return scene.fact(old, new, unit=_unit(scene.new), share=scene.show(share, "%"))


def transmitter(scene: Scene) -> Fact | None:
    """The span against the transmitter's recorded range."""
    span, given = scene.new.number(scene.key), scene.new.machine("transmitter_range")
    name = "span_fits" if span == given else "span_other"
    unit = _unit(scene.new)
    return scene.words(name, span=scene.show(span, unit), range=scene.show(given, unit))


def proportional(scene: Scene) -> Fact | None:
    """Hertz for one percent of error."""
    old, new = (view.number(scene.key) / 100 * _width(view) for view in scene.sides)
    return scene.fact(old, new, unit="Hz")


def _width(view: View) -> float:
    return view.number("process.pid_output_max_hz") - view.number("process.pid_output_min_hz")


def integral(scene: Scene) -> Fact | None:
    """Hertz a second that a lasting error of 10 % adds."""
    old, new = (
        view.number("process.pid_gain") * 0.1 * _width(view) / view.number(scene.key) for view in scene.sides
    )
    return scene.fact(old, new, unit="Hz/s")


def derivative(scene: Scene) -> Fact | None:
    """Hertz for a value that moves 1 % a second."""
    old, new = (
        view.number("process.pid_gain") * view.number(scene.key) * 0.01 * _width(view) for view in scene.sides
    )
    return scene.fact(old, new, unit="Hz")


def filter_share(scene: Scene) -> Fact | None:
    """The filter against the controller's integral time."""
    old, new = (
        view.number(scene.key) / view.number("process.pid_integral_time_s") * 100 for view in scene.sides
    )
    return scene.fact(old, new, unit="%")


def sleeps(scene: Scene) -> Fact | None:
    """Whether the sleep frequency can be reached above the minimum."""
    hz, least = scene.new.number("process.sleep_frequency_hz"), motion.least(scene.new)
    name = "sleep_never" if hz < least else "sleep_reached"
    return scene.words(
        name, hz=scene.show(hz, "Hz"), least=scene.show(least, "Hz"), speed=motion.speed_words(scene.new, hz)
    )


def wakes(scene: Scene) -> Fact | None:
    """Which value wakes it, and what the motor then does by itself."""
    view = scene.new
    level = view.number("process.wake_level_pct")
    side = view.choice("process.wake_when")
    value = level / 100 * view.number("process.pid_feedback_span")
    hz = motion.working_hz(view)
    time = view.number_or("process.wake_delay_s", 0.0) + motion.start_seconds(view, hz)
    name = "wakes" if not view.is_("process.sleep_mode", "off") else "stays_awake"
    return scene.words(
        name,
        value=scene.show(value, _unit(view)),
        side=side,
        hz=scene.show(hz, "Hz"),
        time=scene.show(time, "s"),
    )


def wake_side(scene: Scene) -> Fact | None:
    """The wake level against the set point: on the wrong side it wakes at once, or never."""
    view = scene.new
    wake, point = view.number("process.wake_level_pct"), view.number("process.pid_setpoint_pct")
    below = view.is_("process.wake_when", "below")
    shown = {"wake": scene.show(wake, "%"), "point": scene.show(point, "%")}
    if below == (wake < point):
        return scene.words("wake_clear", **shown)
    return scene.words("wake_at_once", **shown)


def wake_time(scene: Scene) -> Fact | None:
    """Seconds from the wake level to the working point."""
    hz = motion.working_hz(scene.new)
    old, new = (view.number(scene.key) + motion.start_seconds(view, hz) for view in scene.sides)
    return scene.fact(old, new, unit="s", hz=scene.show(hz, "Hz"))


def sleep_time(scene: Scene) -> Fact | None:
    """Seconds from the sleep frequency to rest."""
    hz = scene.new.number("process.sleep_frequency_hz")
    if hz <= 0:
        raise Lacking("the sleep frequency is zero")
    old, new = (
        view.number(scene.key) + motion.ramp_seconds(view, motion.DECEL, hz, 0.0) for view in scene.sides
    )
    return scene.fact(old, new, unit="s", hz=scene.show(hz, "Hz"))


def output_limit(scene: Scene) -> Fact | None:
    """A bound of the controller against the drive's own."""
    view = scene.new
    hz, least, most = view.number(scene.key), motion.least(view), motion.most(view)
    shown = {"hz": scene.show(hz, "Hz"), "least": scene.show(least, "Hz"), "most": scene.show(most, "Hz")}
    if hz < least:
        return scene.words("output_below", **shown)
    return scene.words("output_above", **shown) if hz > most else None


def source_value(scene: Scene) -> Fact | None:
    """The set point that holds once the source is the keypad."""
    if scene.choices[1] not in ("keypad", "fixed"):
        return None
    view = scene.new
    value = view.number("process.pid_setpoint_pct") / 100 * view.number("process.pid_feedback_span")
    return scene.words("source_value", value=scene.show(value, _unit(view)))


def takes_over(scene: Scene) -> Fact | None:
    """Which speeds the controller takes over, or what sets the speed without it."""
    view = scene.new
    if scene.choices[1] == "off":
        source = view.choice("stations.remote_reference_source")
        return scene.words("controller_off_stale" if source == "pid" else "controller_off")
    low, high = (view.number(f"process.pid_output_{end}_hz") for end in ("min", "max"))
    used = view.is_("stations.remote_reference_source", "pid") or view.is_(
        "stations.local_reference_source", "pid"
    )
    name = "controller_on" if used else "controller_unused"
    return scene.words(name, low=scene.show(low, "Hz"), high=scene.show(high, "Hz"))
