"""An analog input as set, and what it makes of a signal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.explain.facts import Lacking
from asleft.explain.motion import held_hz
from asleft.explain.view import View

if TYPE_CHECKING:
    from asleft.machine.signals import Scaling

LIVE = ("4_20_ma", "2_10_v")


def scaling(view: View, number: int) -> Scaling:
    """How an input turns its signal into hertz."""
    from asleft.machine.signals import SPANS, Scaling

    stem = f"analog_inputs.ai_{number}"
    signal = view.choice(f"{stem}.signal")
    if signal not in SPANS:
        raise Lacking(f"a signal of kind {signal.replace('_', ' ')} is not reckoned with here")
    low, high = SPANS[signal]
    return Scaling(
        low,
        high,
        view.number(f"{stem}.freq_at_low_hz"),
        view.number(f"{stem}.freq_at_high_hz"),
        view.number_or(f"{stem}.low_point_pct", 0.0),
        view.number_or(f"{stem}.high_point_pct", 100.0),
        view.is_(f"{stem}.invert", "inverted"),
    )


def is_current(view: View, number: int) -> bool:
    """Whether the input takes milliamps."""
    return view.choice(f"analog_inputs.ai_{number}.signal").endswith("_ma")


def unit(view: View, number: int) -> str:
    """Unit of the signal: mA or V."""
    return "mA" if is_current(view, number) else "V"


def hz_at(view: View, number: int, signal: float, held: bool = True) -> float:
    """Frequency the drive runs at for a signal, in mA or V, minimum and maximum counted."""
    from asleft.machine.signals import reference_hz

    hz = reference_hz(scaling(view, number), signal)
    if held and view.has("limits.frequency_max_hz") and view.has("limits.frequency_min_hz"):
        return held_hz(view, hz)
    return hz


def loss_level(view: View, number: int) -> float | None:
    """The signal below which it counts as lost; None where no loss is seen: the span has no live zero."""
    stem = f"analog_inputs.ai_{number}"
    if not view.is_(f"{stem}.signal", *LIVE):
        return None
    level = view.number(f"{stem}.loss_level_pct") / 100 * scaling(view, number).high
    return level if level > 0 else None


def uses(view: View, number: int) -> list[str]:
    """What an input serves today: speed in remote or local, the controller's value or set point."""
    name = f"analog_{number}"
    found = []
    for key, words in (
        ("stations.remote_reference_source", "speed in remote"),
        ("stations.local_reference_source", "speed in local"),
        ("reference.second_reference_source", "the second speed"),
        ("process.pid_feedback_source", "the controller's measured value"),
        ("process.pid_setpoint_source", "the controller's set point"),
        ("control.torque_limit_source", "the torque limit"),
    ):
        dormant = key.startswith("process.") and not view.is_("process.pid_mode", "speed_from_pid", "trim")
        if view.is_(key, name) and not dormant:
            view.note(words, name, "", "setting")
            found.append(words)
    return found
