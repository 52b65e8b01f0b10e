"""What kind of difference lies between what two drives do after the same events; the unwanted first."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from asleft.behaviour.state import Outcome

NONE: Final = ""

KINDS: Final = (
    "unwanted start",
    "runs on",
    "no protection",
    "direction",
    "faster",
    "slower",
    "now stops",
    "no longer starts",
    "new fault",
    "kind of stop",
    "station",
    "fault",
    "warning",
    "relays",
    "other",
)
"""Classes of difference, the gravest first."""

MIRROR: Final = {
    "unwanted start": "no longer starts",
    "runs on": "now stops",
    "no protection": "new fault",
    "faster": "slower",
}
"""Classes that change their name when the sides are changed, one way."""

APART_IN_MOTION: Final = frozenset({"unwanted start", "runs on", "now stops", "no longer starts"})
"""Classes in which one drive has its output on and the other has not."""

APART: Final = APART_IN_MOTION | {"direction", "no protection", "new fault", "fault"}
"""Classes after which the drives do different things; what follows is a consequence, and not searched."""


def mirrored(kind: str) -> str:
    """The class with the sides changed."""
    back = {there: here for here, there in MIRROR.items()}
    return MIRROR.get(kind) or back.get(kind) or kind


def classify(a: Outcome, b: Outcome, halt_a: str, halt_b: str, step_hz: Fraction) -> str:
    """The gravest class of difference from a to b; "" where a person could not tell them apart.

    ``halt_a``, ``halt_b``: how each came to rest by the last event ("" where it did not).
    """
    if a is b and halt_a == halt_b:
        return NONE
    if b.output and not a.output:
        return _on_and_off(halt_b, a, halt_a)
    if a.output and not b.output:
        return MIRROR[_on_and_off(halt_a, b, halt_b)]
    return _motion(a, b, step_hz) or _rest(a, b, halt_a, halt_b)


def _on_and_off(halt_on: str, off: Outcome, halt_off: str) -> str:
    """One runs and the other does not: it started, or it went on where the other stopped or is tripped."""
    if halt_on in ("restarts", "onto a turning shaft"):
        return "unwanted start"
    return "runs on" if halt_off or off.fault else "unwanted start"


def _motion(a: Outcome, b: Outcome, step_hz: Fraction) -> str:
    if a.turning and b.turning and a.direction != b.direction:
        return "direction"
    if abs(a.frequency - b.frequency) > step_hz:
        return "faster" if b.frequency > a.frequency else "slower"
    return NONE


def _rest(a: Outcome, b: Outcome, halt_a: str, halt_b: str) -> str:
    """Both have their output off. One that comes to rest by the event, where the other does not, has started
    on it and tripped."""
    if bool(a.fault) != bool(b.fault):
        if a.fault:
            return "no longer starts" if halt_a and not halt_b else "no protection"
        return "unwanted start" if halt_b and not halt_a else "new fault"
    if (halt_a, a.coasting, a.output, a.brake_lifted) != (halt_b, b.coasting, b.output, b.brake_lifted):
        return "kind of stop"
    if a.station != b.station:
        return "station"
    if a.fault != b.fault:
        return "fault"
    if a.warnings != b.warnings:
        return "warning"
    if _relays(a) != _relays(b):
        return "relays"
    if (a.asleep, a.cycling, a.onto_turning_shaft) != (b.asleep, b.cycling, b.onto_turning_shaft):
        return "other"
    return NONE


Seen = tuple[Outcome, str]
"""An outcome, and how it came to rest by the last event."""


def alike_in(kind: str, a: Seen, b: Seen, step_hz: Fraction) -> bool:
    """Whether two ends are alike in what a class of difference is about, whatever else differs."""
    one, two = a[0], b[0]
    if kind in APART_IN_MOTION:
        return (one.output, bool(one.fault)) == (two.output, bool(two.fault))
    if kind in ("faster", "slower", "direction"):
        same_way = one.direction == two.direction or not (one.turning and two.turning)
        return one.output == two.output and same_way and abs(one.frequency - two.frequency) <= step_hz
    if kind in ("no protection", "new fault", "fault"):
        return one.fault == two.fault
    if kind in ("kind of stop", "other"):
        return (a[1], *_standing(one)) == (b[1], *_standing(two))
    if kind == "station":
        return one.station == two.station
    return one.warnings == two.warnings if kind == "warning" else _relays(one) == _relays(two)


def _standing(o: Outcome) -> tuple[bool, ...]:
    return o.coasting, o.output, o.brake_lifted, o.asleep, o.cycling, o.onto_turning_shaft


def _relays(o: Outcome) -> tuple[dict[str, bool], dict[str, bool]]:
    return dict(o.relays), dict(o.contacts)
