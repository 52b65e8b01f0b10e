"""Analog inputs as what they do: a line from signal to speed, and whether a broken wire is seen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from asleft.compare.changes import Comparison
from asleft.compare.effect import Verdict
from asleft.compare.sides import Side

SPANS = {
    "0_10_v": ("V", Decimal(0), Decimal(10)),
    "2_10_v": ("V", Decimal(2), Decimal(10)),
    "0_20_ma": ("mA", Decimal(0), Decimal(20)),
    "4_20_ma": ("mA", Decimal(4), Decimal(20)),
}
"""Unit and ends of each span."""

LIVE_ZERO = ("4_20_ma", "2_10_v")
LINE = ("signal", "freq_at_low_hz", "freq_at_high_hz", "low_point_pct", "high_point_pct", "invert")
INPUTS = (1, 2)
TOP = "limits.frequency_max_hz"


@dataclass(frozen=True, slots=True)
class Line:
    """A channel from ``low`` (signal, Hz) to ``high``, level beyond; ``watched`` below which signal a wire
    counts as broken, None where nothing is watched."""

    unit: str
    low: tuple[Decimal, Decimal]
    high: tuple[Decimal, Decimal]
    watched: Decimal | None

    @property
    def dead(self) -> Decimal:
        """Speed meant by a dead wire where nobody watches it."""
        return self.low[1]

    def same_speeds(self, other: Line, step: Decimal) -> bool:
        """Whether every signal means the same speed, within a step in Hz."""
        ends = ((self.low, other.low), (self.high, other.high))
        return self.unit == other.unit and all(
            abs(one[0] - two[0]) * 100 <= 1 and abs(one[1] - two[1]) * 2 <= step for one, two in ends
        )


def line(side: Side, number: int) -> Line | None:
    """The channel as a line; None where something of it is not known."""
    known = [side.values.get(f"analog_inputs.ai_{number}.{name}") for name in LINE]
    signal, at_low, at_high, low_point, high_point, invert = known
    if low_point is None and side.state(f"analog_inputs.ai_{number}.low_point_pct") == "absent":
        low_point, high_point = Decimal(0), Decimal(100)
    if not isinstance(signal, str) or signal not in SPANS or not isinstance(invert, str):
        return None
    numbers = [value for value in (at_low, at_high, low_point, high_point) if isinstance(value, Decimal)]
    if len(numbers) < 4:
        return None
    unit, start, end = SPANS[signal]
    first, last = (start + (end - start) * point / 100 for point in numbers[2:])
    hz = (numbers[1], numbers[0]) if invert == "inverted" else (numbers[0], numbers[1])
    return Line(unit, (first, hz[0]), (last, hz[1]), _watched(side, number, signal, end))


def _watched(side: Side, number: int, signal: str, end: Decimal) -> Decimal | None:
    level = side.values.get(f"analog_inputs.ai_{number}.loss_level_pct")
    if signal not in LIVE_ZERO or not isinstance(level, Decimal) or level == 0:
        return None
    return end * level / 100


def analog(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """0–20 mA with a 20 % low point is 4–20 mA in its live zone, and sees no broken wire."""
    same: dict[str, str] = {}
    notes: dict[str, str] = {}
    for number in INPUTS:
        names = {f"analog_inputs.ai_{number}.{name}" for name in LINE}
        changed = [change.key for change in comparison.changes if change.key in names]
        before, after = line(old, number), line(new, number)
        if not changed or before is None or after is None:
            continue
        if not before.same_speeds(after, _step(old, new, number)):
            continue
        if (before.watched is None) == (after.watched is None):
            same |= dict.fromkeys(changed, f"every signal means the same speed: {_told(after)}")
        else:
            notes[changed[0]] = _blind(before, after)
    return Verdict(same, notes=notes)


def _step(old: Side, new: Side, number: int) -> Decimal:
    key = f"analog_inputs.ai_{number}.freq_at_high_hz"
    steps = [
        side.step(key, value) for side in (old, new) if isinstance(value := side.values.get(key), Decimal)
    ]
    return max(steps)


def _told(line: Line) -> str:
    ends = (
        f"{hz.normalize():f} Hz at {signal.normalize():f} {line.unit}" for signal, hz in (line.low, line.high)
    )
    return ", ".join(ends)


def _blind(before: Line, after: Line) -> str:
    side, watching = ("now", before) if after.watched is None else ("before", after)
    blind = after if after.watched is None else before
    return (
        f"Every live signal means the same speed ({_told(watching)}), and a broken wire is not seen {side}: "
        f"it is taken as a reference of {blind.dead.normalize():f} Hz."
    )


def paths(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """Two tops that differ are the same by a path that reaches neither."""
    change = next((change for change in comparison.changes if change.key == TOP), None)
    if change is None or not isinstance(change.old, Decimal) or not isinstance(change.new, Decimal):
        return Verdict()
    lower = min(change.old, change.new)
    same = [number for number in INPUTS if _in_use(old, number) and _below(old, new, number, lower)]
    if not same:
        return Verdict()
    inputs = " and ".join(f"analog input {number}" for number in same)
    others = ", ".join(dict.fromkeys(_other_paths(new))) or "any other reference"
    return Verdict(
        notes={TOP: f"Through {inputs} nothing changes: the signal ends below both. By {others} it does."}
    )


def _below(old: Side, new: Side, number: int, top: Decimal) -> bool:
    before, after = line(old, number), line(new, number)
    if before is None or after is None or not before.same_speeds(after, _step(old, new, number)):
        return False
    return max(after.low[1], after.high[1]) <= top


_SOURCES = (
    "stations.remote_reference_source",
    "stations.local_reference_source",
    "reference.second_reference_source",
)
_WORDS = {
    "keypad": "the keypad",
    "preset": "a preset",
    "comms": "the bus",
    "up_down": "raise and lower",
    "pid": "the controller",
}


def _in_use(side: Side, number: int) -> bool:
    return any(side.values.get(source) == f"analog_{number}" for source in _SOURCES)


def _other_paths(side: Side) -> Iterator[str]:
    for source in _SOURCES:
        words = _WORDS.get(str(side.values.get(source)))
        if words:
            yield words
    if any(str(value).startswith("preset_bit") for key, value in side.values.items() if "di_" in key):
        yield "a preset"
