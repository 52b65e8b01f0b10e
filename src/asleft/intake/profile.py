"""Objects of the drive profile CiA 402 (IEC 61800-7-201) in the trade's neutral terms.

Names and types from open code of the profile; units, and the numbers of motor types, from memory of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal, localcontext

from asleft.record import Value, canonical

CHOICES: Mapping[str, tuple[str, Mapping[int, str]]] = {
    "6007": ("protection.comms_loss_reaction", {0: "ignore", 1: "fault", 2: "coast", 3: "stop_ramp"}),
    "605C": ("start_stop.stop_method", {0: "coast", 1: "ramp"}),
    "604D": ("motor.pole_count", {2: "2", 4: "4", 6: "6", 8: "8", 10: "10", 12: "12"}),
    "6402": (
        "motor.type",
        {
            3: "permanent_magnet",
            5: "reluctance",
            7: "induction",
            10: "permanent_magnet",
            11: "permanent_magnet",
        },
    ),
}
"""Object to key, and its codes. A code that is not here has no neutral counterpart."""
SCALED: Mapping[str, tuple[str, Decimal]] = {
    "6072": ("control.torque_limit_motoring_pct", Decimal("0.1")),
    "6075": ("motor.rated_current_a", Decimal("0.001")),
    "6080": ("motor.max_speed_rpm", Decimal(1)),
}
"""Object to key, and what a count is worth: ‰ to %, mA to A, rpm."""
SPEEDS: Mapping[str, str] = {"6046SUB1": "limits.frequency_min_hz", "6046SUB2": "limits.frequency_max_hz"}
"""Object in rpm to key in Hz, through the number of poles."""
RATES: Mapping[str, str] = {
    "6048": "ramps.accel_time_1_s",
    "6049": "ramps.decel_time_1_s",
    "604A": "ramps.quick_stop_time_s",
}
"""Object of delta speed (sub-index 1, rpm) and delta time (sub-index 2, s) to the time of a ramp."""
CURRENT, RATED_CURRENT = "6073", "motor.rated_current_a"
REFERENCE, POLES = "ramps.ramp_reference_frequency_hz", "motor.pole_count"


def keys_of_profile() -> frozenset[str]:
    """Every neutral key the profile can give."""
    choices = {key for key, _ in CHOICES.values()}
    scaled = {key for key, _ in SCALED.values()}
    return frozenset(
        {*choices, *scaled, *SPEEDS.values(), *RATES.values(), REFERENCE, "control.current_limit_a"}
    )


def from_profile(
    counts: Mapping[str, int], known: Mapping[str, Value]
) -> tuple[dict[str, Value], dict[str, str]]:
    """Neutral values from counts by object id, and by object id why one has none.

    ``known`` holds values that are known otherwise (poles, rated current, ramp reference) and are used where
    the counts do not give them.
    """
    counts = {id_.upper(): count for id_, count in counts.items()}
    values: dict[str, Value] = {}
    why: dict[str, str] = {}
    for part in (_choices, _scaled, _current, _speeds, _ramps):
        for id_, key, value, reason in part(counts, {**known, **values}):
            if value is None:
                why[id_] = reason
            else:
                values[key] = value
    return values, why


_Row = tuple[str, str, Value | None, str]


def _choices(counts: Mapping[str, int], known: Mapping[str, Value]) -> Iterator[_Row]:
    for id_, (key, codes) in CHOICES.items():
        if id_ in counts:
            yield id_, key, codes.get(counts[id_]), f"{counts[id_]} has no counterpart in the trade's terms"


def _scaled(counts: Mapping[str, int], known: Mapping[str, Value]) -> Iterator[_Row]:
    for id_, (key, worth) in SCALED.items():
        if id_ in counts:
            yield id_, key, counts[id_] * worth, ""


def _current(counts: Mapping[str, int], known: Mapping[str, Value]) -> Iterator[_Row]:
    if CURRENT in counts:
        rated = known.get(RATED_CURRENT)
        value = _short(counts[CURRENT] * rated / 1000) if isinstance(rated, Decimal) else None
        yield CURRENT, "control.current_limit_a", value, "it is in ‰ of the rated current, which is not known"


def _speeds(counts: Mapping[str, int], known: Mapping[str, Value]) -> Iterator[_Row]:
    for id_, key in SPEEDS.items():
        if id_ in counts:
            yield (
                id_,
                key,
                _hertz_shown(counts[id_], known),
                "it is in rpm, and the number of poles is not known",
            )


def _ramps(counts: Mapping[str, int], known: Mapping[str, Value]) -> Iterator[_Row]:
    """Times to and from one reference: that of the accelerating ramp, unless it is known otherwise."""
    reference = known.get(REFERENCE)
    if not isinstance(reference, Decimal):
        speeds = [counts[f"{id_}SUB1"] for id_ in RATES if counts.get(f"{id_}SUB1")]
        reference = _hertz(speeds[0], known) if speeds else None
        if reference is not None:
            yield "6048SUB1", REFERENCE, _short(reference), ""
    for id_, key in RATES.items():
        speed, time = counts.get(f"{id_}SUB1"), counts.get(f"{id_}SUB2")
        if speed is None or time is None:
            continue
        value = None
        hertz = _hertz(speed, known)
        if speed and hertz is not None and isinstance(reference, Decimal):
            value = _short(_exact(time * reference, hertz))
        yield f"{id_}SUB1", key, value, "a rate of 0 rpm" if not speed else "the number of poles is not known"


def _hertz(speed: int, known: Mapping[str, Value]) -> Decimal | None:
    """Synchronous frequency: f = n·p/120."""
    poles = known.get(POLES)
    if not isinstance(poles, str) or not poles.isdecimal():
        return None
    return _exact(Decimal(speed) * int(poles), Decimal(120))


def _hertz_shown(speed: int, known: Mapping[str, Value]) -> Decimal | None:
    hertz = _hertz(speed, known)
    return None if hertz is None else _short(hertz)


def _exact(top: Decimal, bottom: Decimal) -> Decimal:
    with localcontext() as precise:
        precise.prec = 40
        return top / bottom


def _short(number: Decimal) -> Decimal:
    """At most three decimals, and none that say nothing."""
    short = number.quantize(Decimal("0.001"))
    return canonical(short.normalize())
