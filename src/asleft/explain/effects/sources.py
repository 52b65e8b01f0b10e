"""Where the speed comes from, and what each source then asks for."""

from __future__ import annotations

from asleft.explain import channel, motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene


def source(scene: Scene) -> Fact | None:
    """The speed that the new source asks for, from the other settings."""
    kind = scene.choices[1]
    if kind == "preset":
        hz = motion.held_hz(scene.new, scene.new.number("presets.preset_1_hz"), preset=True)
        return scene.words("source_preset", hz=scene.show(hz, "Hz"), speed=motion.speed_words(scene.new, hz))
    if kind == "keypad":
        hz = motion.held_hz(scene.new, scene.new.number("reference.keypad_reference_hz"))
        return scene.words("source_keypad", hz=scene.show(hz, "Hz"), speed=motion.speed_words(scene.new, hz))
    if kind.startswith("analog_"):
        number = int(kind[-1])
        span = channel.scaling(scene.new, number)
        low, high = (channel.hz_at(scene.new, number, end) for end in (span.low, span.high))
        unit = channel.unit(scene.new, number)
        return scene.words(
            "source_analog",
            number=str(number),
            low=scene.show(low, "Hz"),
            high=scene.show(high, "Hz"),
            start=scene.show(span.low, unit),
            end=scene.show(span.high, unit),
        )
    if kind == "pid":
        low, high = (scene.new.number(f"process.pid_output_{end}_hz") for end in ("min", "max"))
        return scene.words("source_pid", low=scene.show(low, "Hz"), high=scene.show(high, "Hz"))
    if kind == "comms":
        hz = scene.new.number("reference.comms_reference_scale_hz")
        return scene.words("source_comms", hz=scene.show(hz, "Hz"))
    hz = motion.least(scene.new)
    rate = scene.new.number("reference.up_down_rate_hz_per_s")
    return scene.words("source_up_down", hz=scene.show(hz, "Hz"), rate=scene.show(rate, "Hz/s"))


def stations(scene: Scene) -> Fact | None:
    """The speeds that the two stations ask for."""
    asked = [_asked(scene, f"stations.{station}_reference_source") for station in ("remote", "local")]
    name = {"stop": "stations_stop", "continue": "stations"}.get(scene.choices[1], "stations_if_run")
    return scene.words(name, remote=asked[0], local=asked[1])


def _asked(scene: Scene, key: str) -> str:
    view = scene.new
    kind = view.choice(key)
    if kind in ("preset", "keypad"):
        wanted = {"preset": "presets.preset_1_hz", "keypad": "reference.keypad_reference_hz"}[kind]
        return scene.show(motion.held_hz(view, view.number(wanted), kind == "preset"), "Hz")
    if kind.startswith("analog_"):
        span = channel.scaling(view, int(kind[-1]))
        ends = sorted(motion.held_hz(view, hz) for hz in (span.low_hz, span.high_hz))
        return " to ".join(scene.show(hz, "Hz") for hz in ends)
    low, high = motion.least(view), motion.most(view)
    return f"{scene.show(low, 'Hz')} to {scene.show(high, 'Hz')}"


def raise_time(scene: Scene) -> Fact | None:
    """Seconds from minimum to maximum on the raise input; the ramp bounds it."""
    spans = [motion.most(view) - motion.least(view) for view in scene.sides]
    old, new = (
        span / min(view.number(scene.key), motion.rate(view, motion.ACCEL))
        for span, view in zip(spans, scene.sides, strict=True)
    )
    low, high = scene.show(motion.least(scene.new), "Hz"), scene.show(motion.most(scene.new), "Hz")
    return scene.fact(old, new, unit="s", low=low, high=high)


def bus_half(scene: Scene) -> Fact | None:
    """What half the full bus number gives, limits counted."""
    old, new = (motion.held_hz(view, view.number(scene.key) / 2) for view in scene.sides)
    speed = motion.speed_words(scene.new, new)
    return scene.fact(old, new, unit="Hz", speed=speed)


def least_signal(scene: Scene) -> Fact | None:
    """The signal at which the minimum is left, where an analog input sets the speed."""
    from asleft.machine.signals import signal_for_hz

    source = scene.new.choice("stations.remote_reference_source")
    if not source.startswith("analog_"):
        return None
    number = int(source[-1])
    signals = []
    for view in scene.sides:
        span = channel.scaling(view, number)
        hz = min(max(motion.least(view), min(span.low_hz, span.high_hz)), max(span.low_hz, span.high_hz))
        signals.append(signal_for_hz(span, hz))
    unit = channel.unit(scene.new, number)
    return scene.fact(*signals, unit=unit, number=str(number))
