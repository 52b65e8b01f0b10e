"""What an analog input makes of its signal, before and after."""

from __future__ import annotations

from asleft.explain import channel, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View


def _number(scene: Scene) -> int:
    return scene.change.parameter.number or 1


def _sender(scene: Scene) -> tuple[float, float, str]:
    """The span of the sender as it was wired: that of the old setting; unit beside."""
    span = channel.scaling(scene.old, _number(scene))
    return span.low, span.high, channel.unit(scene.old, _number(scene))


def _at(scene: Scene, share: float, name: str = "") -> Fact | None:
    low, high, unit = _sender(scene)
    if unit != channel.unit(scene.new, _number(scene)):
        return None
    signal = low + share * (high - low)
    old, new = (channel.hz_at(view, _number(scene), signal) for view in scene.sides)
    return scene.fact(old, new, name=name or "signals.at", unit="Hz", signal=scene.show(signal, unit))


def middle(scene: Scene) -> Fact | None:
    """Hertz at the middle of the signal."""
    return _at(scene, 0.5)


def bottom(scene: Scene) -> Fact | None:
    """Hertz at the low end of the signal."""
    return _at(scene, 0.0)


def top(scene: Scene) -> Fact | None:
    """Hertz at the full signal."""
    return _at(scene, 1.0)


def new_sender(scene: Scene) -> Fact | None:
    """Hertz at 12 mA where a 4–20 mA sender now meets a span from zero, or the other way."""
    number = _number(scene)
    units = [channel.unit(view, number) for view in scene.sides]
    if units[0] != units[1]:
        return scene.words("other_unit", was=units[0], now=units[1])
    return _at(scene, 0.5, "signals.other_span")


def dead_wire(scene: Scene) -> Fact | None:
    """What a broken wire now gives."""
    number = _number(scene)
    view = scene.new
    level = channel.loss_level(view, number)
    if level is not None:
        name = _reaction_phrase(view)
        hz = view.number("protection.signal_loss_preset_hz") if name == "dead_wire_preset" else 0.0
        if name == "dead_wire_minimum":
            hz = motion.least(view)
        unit = channel.unit(view, number)
        return scene.words(name, level=scene.show(level, unit), hz=scene.show(hz, "Hz"))
    hz = channel.hz_at(view, number, 0.0)
    top_hz = max(channel.scaling(view, number).low_hz, channel.scaling(view, number).high_hz)
    full = hz > 0 and hz >= min(top_hz, motion.most(view))
    return scene.words("dead_wire_full" if full else "dead_wire_unseen", hz=scene.show(hz, "Hz"))


def _reaction_phrase(view: View) -> str:
    return {
        "fault": "dead_wire_fault",
        "hold_last": "dead_wire_held",
        "go_to_preset": "dead_wire_preset",
        "go_to_minimum": "dead_wire_minimum",
        "stop_ramp": "dead_wire_stop",
        "warning_only": "dead_wire_warning",
    }[view.choice("protection.signal_loss_reaction")]


def steeper(scene: Scene) -> Fact | None:
    """Hertz a milliamp or a volt moves the speed."""
    number = _number(scene)
    spans = [channel.scaling(view, number) for view in scene.sides]
    old, new = (
        abs(one.high_hz - one.low_hz)
        / ((one.high - one.low) * (one.high_point_pct - one.low_point_pct) / 100)
        for one in spans
    )
    return scene.fact(old, new, unit="Hz", per=channel.unit(scene.new, number))


def loss_level(scene: Scene) -> Fact | None:
    """The loss level in mA or V, and where it lies."""
    number = _number(scene)
    unit = channel.unit(scene.new, number)
    span = channel.scaling(scene.new, number)
    old, new = (view.number(scene.key) / 100 * span.high for view in scene.sides)
    live = scene.new.is_(f"analog_inputs.ai_{number}.signal", *channel.LIVE)
    if not live:
        return scene.words("loss_level_idle")
    zero = scene.show(span.low, unit)
    if new >= span.low:
        return scene.fact(old, new, name="signals.loss_above_zero", unit=unit, zero=zero)
    if unit == "mA" and new < 3.6:
        return scene.fact(old, new, name="signals.loss_too_low", unit=unit)
    return scene.fact(old, new, unit=unit, zero=zero)


def high_level(scene: Scene) -> Fact | None:
    """The high loss level in mA or V."""
    number = _number(scene)
    unit = channel.unit(scene.new, number)
    high = channel.scaling(scene.new, number).high
    old, new = (view.number(scene.key) / 100 * high for view in scene.sides)
    if unit == "mA" and new > 21:
        return scene.fact(old, new, name="signals.high_too_high", unit=unit)
    if unit == "mA" and new < 20.5:
        return scene.fact(old, new, name="signals.high_too_low", unit=unit)
    return scene.fact(old, new, unit=unit)


def blind(scene: Scene) -> Fact | None:
    """How long and how far the motor follows a dead wire before the reaction."""
    hz = motion.working_hz(scene.new)
    old, new = scene.numbers
    way, unit = motion.distance(scene.new, hz, new)
    before, _ = motion.distance(scene.old, hz, old)
    return scene.fact(before, way, name=scene.name, unit=unit, hz=scene.show(hz, "Hz"))


def drift(scene: Scene) -> Fact | None:
    """How far the ramp carries the speed towards the dead signal before the reaction."""
    view, number = scene.new, _number(scene)
    if channel.loss_level(view, number) is None:
        return scene.words("never_lost", number=str(number))
    start = motion.working_hz(view)
    most = max(0.0, start - channel.hz_at(view, number, 0.0))
    old, new = (min(most, side.number(scene.key) * motion.rate(side, motion.DECEL)) for side in scene.sides)
    return scene.fact(old, new, unit="Hz", hz=scene.show(start, "Hz"))


def unloaded(scene: Scene) -> Fact | None:
    """How far the machine goes without its load before the reaction."""
    return blind(scene)


def lag(scene: Scene) -> Fact | None:
    """Hertz the filtered signal lags behind while the sender sweeps its span as fast as the ramp."""
    rate = motion.rate(scene.new, motion.ACCEL)
    old, new = (view.number(scene.key) * rate for view in scene.sides)
    return scene.fact(old, new, unit="Hz", rate=scene.show(rate, "Hz/s"))


def deadband(scene: Scene) -> Fact | None:
    """The dead band in hertz at the input in use."""
    source = scene.new.choice("stations.remote_reference_source")
    number = int(source[-1]) if source.startswith("analog_") else 1
    span = channel.scaling(scene.new, number)
    width = abs(span.high_hz - span.low_hz)
    old, new = (view.number(scene.key) / 100 * width for view in scene.sides)
    return scene.fact(old, new, unit="Hz", number=str(number))


def serves(scene: Scene) -> Fact | None:
    """An input that nothing uses."""
    if channel.uses(scene.new, _number(scene)):
        return None
    return scene.words("serves_nothing", number=str(_number(scene)))


def loss_speed(scene: Scene) -> Fact | None:
    """The speed on signal or bus loss, and how long it takes to come to it from the working point."""
    working = motion.working_hz(scene.new)
    target = motion.held_hz(scene.new, scene.new.number(scene.key))
    if motion.band_around(scene.new, target):
        return None
    way = motion.ACCEL if target > working else motion.DECEL
    seconds = motion.ramp_seconds(scene.new, way, working, target)
    return scene.words(
        "loss_speed",
        hz=scene.show(target, "Hz"),
        time=scene.show(seconds, "s"),
        working=scene.show(working, "Hz"),
    )


def after_loss(scene: Scene) -> Fact | None:
    """What the motor does after a loss by the reaction now set."""
    hz = motion.working_hz(scene.new)
    choice = scene.choices[1]
    stem = scene.key.rpartition("_reaction")[0]
    if choice == "go_to_preset":
        target = motion.held_hz(scene.new, scene.new.number(f"{stem}_preset_hz"))
        return scene.words(
            "after_loss_preset", hz=scene.show(target, "Hz"), speed=motion.speed_words(scene.new, target)
        )
    if choice == "go_to_minimum":
        target = motion.least(scene.new)
        return scene.words(
            "after_loss_preset", hz=scene.show(target, "Hz"), speed=motion.speed_words(scene.new, target)
        )
    if choice == "stop_ramp":
        seconds = motion.ramp_seconds(scene.new, motion.DECEL, hz, 0.0)
        return scene.words("after_loss_stop", hz=scene.show(hz, "Hz"), time=scene.show(seconds, "s"))
    if choice in ("fault", "coast"):
        return _coasts(scene, hz)
    return scene.words("after_loss_on", hz=scene.show(hz, "Hz"), speed=motion.speed_words(scene.new, hz))


def _coasts(scene: Scene, hz: float) -> Fact | None:
    seconds = scene.new.machine("run_down_time_s")
    return scene.words("after_loss_coast", hz=scene.show(hz, "Hz"), time=scene.show(seconds, "s"))


def recovery(scene: Scene) -> Fact | None:
    """What the motor does when a lost signal returns: from the speed of the loss to what the signal asks."""
    view = scene.new
    reaction = view.choice("protection.signal_loss_reaction")
    targets = {"go_to_preset": "protection.signal_loss_preset_hz", "go_to_minimum": "limits.frequency_min_hz"}
    if reaction not in targets:
        return None
    number = next((n for n in (1, 2) if channel.uses(view, n)), 1)
    low = motion.held_hz(view, view.number(targets[reaction]))
    span = channel.scaling(view, number)
    top = motion.held_hz(view, max(span.low_hz, span.high_hz))
    seconds = motion.ramp_seconds(view, motion.ACCEL, low, top)
    name = "returns_by_itself" if scene.choices[1] == "automatic" else "stays_at_loss_speed"
    return scene.words(
        name, low=scene.show(low, "Hz"), top=scene.show(top, "Hz"), time=scene.show(seconds, "s")
    )


def watched_input(scene: Scene) -> Fact | None:
    """Whether any input in use has a live zero, without which no loss is ever seen."""
    watched = [
        n for n in (1, 2) if channel.uses(scene.new, n) and channel.loss_level(scene.new, n) is not None
    ]
    if watched:
        return None
    return scene.words("no_loss_seen")


def meter(scene: Scene) -> Fact | None:
    """The analog output at the working point, by span."""
    from asleft.machine.signals import SPANS

    full = scene.new.number_or("outputs.ao_1.full_scale_pct", 100.0)
    share = motion.working_hz(scene.new) / (motion.most(scene.new) * full / 100)
    signals = []
    for view in scene.sides:
        kind = view.choice("outputs.ao_1.signal")
        low, high = SPANS[kind]
        signals.append(low + min(1.0, share) * (high - low))
    unit = "V" if "_v" in scene.choices[1] else "mA"
    if ("_v" in scene.choices[0]) != ("_v" in scene.choices[1]):
        return scene.words("meter_other_unit", now=scene.show(signals[1], unit))
    return scene.fact(*signals, unit=unit)


def meter_full(scene: Scene) -> Fact | None:
    """What full output stands for at this motor."""
    quantity = scene.new.choice("outputs.ao_1.quantity")
    bases = {
        "frequency": ("limits.frequency_max_hz", "Hz"),
        "reference": ("limits.frequency_max_hz", "Hz"),
        "current": ("motor.rated_current_a", "A"),
        "power": ("motor.rated_power_kw", "kW"),
        "speed": ("motor.rated_speed_rpm", "rpm"),
    }
    if quantity not in bases:
        return None
    base, unit = bases[quantity]
    old, new = (view.number(scene.key) / 100 * view.number(base) for view in scene.sides)
    return scene.fact(old, new, unit=unit)
