"""The bus: time of an answer, silence before a reaction, the slot's address."""

from __future__ import annotations

from decimal import Decimal

from asleft.explain import motion
from asleft.explain.facts import Fact
from asleft.explain.scene import Scene
from asleft.explain.view import View

_BITS = {
    "no_parity_1_stop": 10, "no_parity_2_stop": 11, "even_1_stop": 11, "even_2_stop": 12, "odd_1_stop": 11,
    "odd_2_stop": 12,
}  # fmt: skip
_READ_CHARACTERS = 8 + 25
"""Asking for ten registers takes 8 characters and its answer 25: Modbus serial line V1.02."""


def _exchange(view: View) -> float:
    bits = _BITS[view.choice("comms.bus_format")]
    return _READ_CHARACTERS * bits / view.number("comms.bus_speed_kbit_s")


def exchange(scene: Scene) -> Fact | None:
    """Milliseconds on the wire to read ten values."""
    old, new = (_exchange(view) for view in scene.sides)
    return scene.fact(old, new, unit="ms")


def silent(scene: Scene) -> Fact | None:
    """How far the machine goes before the silence is acted on."""
    view = scene.new
    if view.is_("protection.comms_loss_reaction", "ignore"):
        return scene.words("silence_ignored")
    hz = motion.working_hz(view)
    old, new = (motion.distance(side, hz, side.number(scene.key))[0] for side in scene.sides)
    unit = motion.distance(view, hz, 1.0)[1]
    return scene.fact(old, new, unit=unit, hz=scene.show(hz, "Hz"))


def commands(scene: Scene) -> Fact | None:
    """Whether the bus commands or steers this drive at all."""
    used = [
        words
        for key, words in (
            ("stations.remote_command_source", "the start command"),
            ("stations.remote_reference_source", "the speed"),
            ("stations.local_command_source", "the local start command"),
            ("stations.local_reference_source", "the local speed"),
        )
        if scene.new.is_(key, "comms")
    ]
    if used:
        return scene.words("bus_commands", what=" and ".join(used))
    stops = scene.choices[1] in ("fault", "coast", "stop_ramp")
    return scene.words("bus_stops_unsteered" if stops else "bus_only_reads")


def slot_address(scene: Scene) -> Fact | None:
    """The address against the slot's own."""
    own = scene.asset.values.get(scene.key) if scene.asset else None
    if own is None:
        return None
    scene.new.note("address of the slot", own, "", "machine")
    name = "slot_address_right" if own == scene.change.new else "slot_address_wrong"
    shown = f"{own:f}" if isinstance(own, Decimal) else str(own)
    return scene.words(name, own=shown)
