"""Relays and inputs, and the machines that hang on them."""

from __future__ import annotations

from asleft.explain import electric, motion
from asleft.explain.facts import Fact, Lacking
from asleft.explain.scene import Scene
from asleft.explain.view import View
from asleft.record.asset import Feed, Permit
from asleft.vocabulary import vocabulary


def _permits(scene: Scene) -> list[Permit]:
    number = scene.change.parameter.number
    return [permit for permit in (scene.asset.permits if scene.asset else ()) if permit.relay == number]


def _feed(scene: Scene, permit: Permit) -> Feed | None:
    """What the permitted machine delivers into this one."""
    other = scene.others(permit.to) if scene.others else None
    if other is None or scene.asset is None:
        return None
    return next((feed for feed in other.feeds if feed.into == scene.asset.tag), None)


def permit_kept(scene: Scene) -> Fact | None:
    """How long a machine that hangs on the relay keeps its permission, and what it delivers meanwhile."""
    for permit in _permits(scene):
        return _kept(scene, permit)
    return None


def _kept(scene: Scene, permit: Permit) -> Fact | None:
    from asleft.machine.transfer import delivered_kg

    tag = scene.asset.tag if scene.asset else ""
    old, new = scene.numbers
    held = vocabulary()["digital_inputs.di_1.function"].choices[permit.input].says
    shown = {"to": permit.to, "tag": tag, "input": held, "relay": str(permit.relay)}
    feed = _feed(scene, permit)
    if feed is None or feed.tonnes_per_hour is None:
        return scene.fact(old, new, name="contacts.permit_kept", unit="s", **shown)
    scene.new.note(f"{permit.to} delivers into {feed.into}", feed.tonnes_per_hour, "t/h", "link")
    rate = float(feed.tonnes_per_hour)
    before, after = (delivered_kg(rate, seconds) for seconds in (old, new))
    shown |= {"time": scene.show(abs(new - old), "s"), "rate": _rate(feed)}
    return scene.fact(before, after, name="contacts.permit_feeds", unit="kg", **shown)


def _rate(feed: Feed) -> str:
    text = f"{feed.tonnes_per_hour or 0:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def permit_later(scene: Scene) -> Fact | None:
    """How much later a machine that hangs on the relay may start."""
    for permit in _permits(scene):
        old, new = scene.numbers
        ready = [
            value + motion.start_seconds(view, 0.0)
            for value, view in zip((old, new), scene.sides, strict=True)
        ]
        return scene.fact(*ready, unit="s", to=permit.to, relay=str(permit.relay))
    return None


def permit_meaning(scene: Scene) -> Fact | None:
    """What hangs on a relay whose function or sense changed."""
    for permit in _permits(scene):
        kind = "permit_sense" if scene.key.endswith("sense") else "permit_function"
        feed = _feed(scene, permit)
        what = (
            f", which delivers {_rate(feed)} t/h into {feed.into}," if feed and feed.tonnes_per_hour else ""
        )
        function = scene.new.choice(f"outputs.relay_{permit.relay}.function")
        says = vocabulary()["outputs.relay_1.function"].choices[function].says
        return scene.words(kind, to=permit.to, feed=what, function=says)
    return None


def relay_reports(scene: Scene) -> Fact | None:
    """What a relay's function and sense together give without supply."""
    stem = scene.key.rpartition(".")[0]
    function, sense = scene.new.choice(f"{stem}.function"), scene.new.choice(f"{stem}.sense")
    if function == "none":
        return scene.words("relay_idle")
    says = vocabulary()["outputs.relay_1.function"].choices[function].says
    dropped = "relay_off_is_state" if sense == "energised_when_false" else "relay_off_is_not"
    return scene.words(dropped, function=says)


def threshold_time(scene: Scene) -> Fact | None:
    """When a start passes the frequency level."""
    old, new = (motion.ramp_seconds(view, motion.ACCEL, 0.0, view.number(scene.key)) for view in scene.sides)
    hz = scene.new.number(scene.key)
    most = motion.most(scene.new)
    if hz >= most:
        return scene.words("threshold_never", hz=scene.show(hz, "Hz"), most=scene.show(most, "Hz"))
    if hz < motion.least(scene.new) and scene.new.is_("limits.frequency_min_behaviour", "clamp"):
        return scene.fact(
            old,
            new,
            name="contacts.threshold_always",
            unit="s",
            least=scene.show(motion.least(scene.new), "Hz"),
        )
    return scene.fact(old, new, unit="s", hz=scene.show(hz, "Hz"))


def threshold_release(scene: Scene) -> Fact | None:
    """Where the frequency level lets go again."""
    level = scene.new.number("outputs.threshold_frequency_1_hz")
    old, new = (level - view.number(scene.key) for view in scene.sides)
    speed = motion.speed_words(scene.new, max(new, 0.0)) if new > 0 else "rest"
    return scene.fact(old, new, unit="Hz", level=scene.show(level, "Hz"), speed=speed)


def filter_travel(scene: Scene) -> Fact | None:
    """How far the machine goes in the filter time of the inputs."""
    hz = motion.working_hz(scene.new)
    old, new = (motion.distance(view, hz, view.number(scene.key) / 1000)[0] for view in scene.sides)
    return scene.fact(old * 1000, new * 1000, unit="mm", hz=scene.show(hz, "Hz"))


def elsewhere(scene: Scene) -> Fact | None:
    """Whether the function taken off this input stands on another, and the new one on two."""
    was, now = scene.choices
    named = vocabulary()[scene.key].choices
    others = {key: _function(scene.new, key) for key in _function_keys(scene) if key != scene.key}
    for key in others:
        scene.new.choice(key)
    doubled = [key for key, function in others.items() if function == now != "none"]
    if doubled:
        return scene.words("function_twice", what=named[now].says, other=doubled[0].split("di_")[1][0])
    if was == "none":
        return None
    moved = [key for key, function in others.items() if function == was]
    if moved:
        return scene.words("function_moved", what=named[was].says, other=moved[0].split("di_")[1][0])
    return scene.words("function_gone", what=named[was].says)


def _function_keys(scene: Scene) -> list[str]:
    return [key for key in (f"digital_inputs.di_{n}.function" for n in range(1, 7)) if scene.new.has(key)]


def _function(view: View, key: str) -> str:
    return str(view.values.get(key, "none"))


_STOPPING = ("external_fault", "run_enable", "coast", "quick_stop", "motor_temperature_contact", "stop_pulse")
_STARTING = ("run", "run_forward", "run_reverse", "start_pulse", "jog_forward", "jog_reverse")


def broken_wire(scene: Scene) -> Fact | None:
    """What a broken wire on this input does, by function and sense together."""
    stem = scene.key.rpartition(".")[0]
    function, sense = scene.new.choice(f"{stem}.function"), scene.new.choice(f"{stem}.sense")
    says = vocabulary()[f"{stem}.function"].choices[function].says
    active = sense == "acts_when_open"
    if function == "none":
        return scene.words("wire_idle")
    if function in _STARTING:
        return scene.words("wire_starts" if active else "wire_does_not_start", what=says)
    if function in _STOPPING:
        holds = active == (function not in ("run_enable",))
        return scene.words("wire_stops" if holds else "wire_unseen", what=says)
    if scene.key.endswith("function") and not active:
        return None
    return scene.words("wire_acts" if active else "wire_rests", what=says)


def turned_round(scene: Scene) -> Fact | None:
    """What the contact itself now does, closed and open."""
    stem = scene.key.rpartition(".")[0]
    function = scene.new.choice(f"{stem}.function")
    says = vocabulary()[f"{stem}.function"].choices[function].says
    if function == "run_enable":
        return scene.words("enable_turned") if scene.choices[1] == "acts_when_open" else None
    if function in _STARTING:
        return scene.words("start_turned", what=says) if scene.choices[1] == "acts_when_open" else None
    if function in _STOPPING:
        name = "stop_turned_open" if scene.choices[1] == "acts_when_open" else "stop_turned_closed"
        return scene.words(name, what=says)
    return None


def enabled_by(scene: Scene) -> Fact | None:
    """Which input the run enable hangs on."""
    view = scene.old if scene.choices[1] == "no" else scene.new
    keys = [key for key in _function_keys(scene) if view.has(key) and view.choice(key) == "run_enable"]
    if scene.choices[1] == "no":
        if not keys:
            return scene.words("enable_was_nowhere")
        return scene.words("enable_ignored", number=keys[0].split("di_")[1][0])
    if not keys:
        return scene.words("enable_nowhere")
    return scene.words("enable_on", number=keys[0].split("di_")[1][0])


def watched_contact(scene: Scene) -> Fact | None:
    """Which input holds the external fault, and what the machine does once it acts."""
    view = scene.new
    keys = [key for key in _function_keys(scene) if view.choice(key) == "external_fault"]
    if not keys:
        return scene.words("fault_contact_nowhere")
    hz = motion.working_hz(view)
    number = keys[0].split("di_")[1][0]
    shown = {"number": number, "hz": scene.show(hz, "Hz"), "speed": motion.speed_words(view, hz)}
    choice = view.choice("protection.external_fault_reaction")
    if choice in ("warning", "off"):
        return scene.words("fault_contact_runs_on", **shown)
    if choice == "fault_ramp":
        seconds = motion.ramp_seconds(view, motion.DECEL, hz, 0.0)
        return scene.words("fault_contact_ramps", time=scene.show(seconds, "s"), **shown)
    return scene.words("fault_contact_cuts", **shown)


def monitor_delay(scene: Scene) -> Fact | None:
    """The start delay against the time a start takes to the monitor's trip speed."""
    view = scene.new
    trip = view.machine("monitor_trip_speed")
    hz = trip / motion.machine_speed(view, 1.0)[0]
    passed = motion.ramp_seconds(view, motion.ACCEL, 0.0, hz)
    delay = view.number("protection.external_fault_start_delay_s")
    speed = motion.machine_speed(view, hz)
    shown = {"passed": scene.show(passed, "s"), "speed": scene.show(*speed), "delay": scene.show(delay, "s")}
    if view.is_("protection.external_fault_watched", "always"):
        return scene.words("monitor_bars_start", **shown)
    if view.is_("protection.external_fault_watched", "while_running"):
        return scene.words("monitor_trips_start", **shown)
    return scene.words("monitor_clear" if delay > passed else "monitor_too_early", **shown)


def slip_seen(scene: Scene) -> Fact | None:
    """The loss of speed at which the monitor's contact opens at the working point."""
    view = scene.new
    hz = motion.working_hz(view)
    trip, speed = view.machine("monitor_trip_speed"), motion.machine_speed(view, hz)[0]
    loss = (1 - trip / speed) * 100
    reaction = view.choice("protection.external_fault_reaction")
    name = "slip_seen" if reaction.startswith("fault") else "slip_ignored"
    unit = view.word_or("machine.machine_speed_unit", "")
    return scene.words(name, hz=scene.show(hz, "Hz"), loss=scene.show(loss, "%"), trip=scene.show(trip, unit))


def started_by(scene: Scene) -> Fact | None:
    """What a change of preset coding makes of the contacts that are wired."""
    bits = [
        key
        for key in _function_keys(scene)
        if scene.new.choice(key) in ("preset_bit_0", "preset_bit_1", "preset_bit_2")
    ]
    if not bits:
        return scene.words("no_preset_contacts")
    last = max(int(_function(scene.new, key)[-1]) for key in bits)
    binary = scene.choices[1] == "binary"
    number = 2**last if binary else last + 1
    hz = [
        view.number(f"presets.preset_{n}_hz")
        for view, n in zip(scene.sides, (2**last, last + 1), strict=True)
    ]
    pair = (hz[1], hz[0]) if binary else (hz[0], hz[1])
    return scene.fact(*pair, unit="Hz", bit=str(last), preset=str(number))


def lockout(scene: Scene) -> Fact | None:
    """Whether the lockout outlasts the stop."""
    hz = motion.working_hz(scene.new)
    stop = motion.stop_seconds(scene.new, hz)
    new = scene.new.number(scene.key)
    name = "lockout_holds" if new > stop else "lockout_over"
    return scene.words(
        name, hz=scene.show(hz, "Hz"), stop=scene.show(stop, "s"), lockout=scene.show(new, "s")
    )


def relay_hidden(scene: Scene) -> Fact | None:
    """How long a fault stays hidden from the plant while the drive retries."""
    view = scene.new
    attempts, delay = view.number("recovery.auto_reset_attempts"), view.number("recovery.auto_reset_delay_s")
    if not attempts:
        return scene.words("no_retries")
    name = "fault_hidden" if scene.choices[1] == "hidden" else "fault_shown"
    return scene.words(name, time=scene.show(attempts * delay, "s"), attempts=f"{attempts:.0f}")


def working_threshold(scene: Scene) -> Fact | None:
    """A frequency level against the working point."""
    hz, level = motion.working_hz(scene.new), scene.new.number(scene.key)
    old = scene.old.number(scene.key)
    if (level < hz) == (old < hz):
        return None
    name = "threshold_past_working" if level >= hz else "threshold_within_working"
    return scene.words(name, hz=scene.show(hz, "Hz"))


def current_of(scene: Scene) -> Fact | None:
    """A level in amps as torque of this motor; an estimate."""
    old, new = (electric.torque_for(view, view.number(scene.key)) * 100 for view in scene.sides)
    if not new:
        raise Lacking("the level lies below the motor's own magnetising current")
    return scene.fact(old, new, name="heat.torque", unit="%")
