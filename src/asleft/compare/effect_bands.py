"""Skip bands are speeds left out, whichever band holds them and however they are entered."""

from __future__ import annotations

from decimal import Decimal

from asleft.compare.changes import Comparison
from asleft.compare.effect import Verdict
from asleft.compare.sides import Side
from asleft.vocabulary import vocabulary

Band = tuple[Decimal, Decimal]
BANDS = tuple(
    key.removesuffix(".low_hz")
    for key in vocabulary()
    if key.startswith("skip_bands.") and key.endswith(".low_hz")
)


def bands(old: Side, new: Side, comparison: Comparison) -> Verdict:
    """Equal edges are no band, bands that overlap are one, and their numbers do not matter."""
    changed = [change.key for change in comparison.changes if change.key.startswith("skip_bands.")]
    if not changed:
        return Verdict()
    before, after = _left_out(old), _left_out(new)
    if before is None or after is None or len(before) != len(after):
        return Verdict()
    step = min(_step(old), _step(new))
    edges = [
        (one, other) for pair in zip(before, after, strict=True) for one, other in zip(*pair, strict=True)
    ]
    if any(abs(one - other) * 2 > step for one, other in edges):
        return Verdict()
    said = ", ".join(f"{low.normalize():f} to {high.normalize():f} Hz" for low, high in before) or "none"
    return Verdict(dict.fromkeys(changed, f"the same speeds are left out: {said}"))


def _left_out(side: Side) -> tuple[Band, ...] | None:
    """The speeds left out, joined and in order; None where an edge is not known."""
    found: list[Band] = []
    for band in BANDS:
        low, high = side.values.get(f"{band}.low_hz"), side.values.get(f"{band}.high_hz")
        if side.state(f"{band}.low_hz") == "absent":
            continue
        if not isinstance(low, Decimal) or not isinstance(high, Decimal):
            return None
        if low < high:
            found.append((low, high))
    return _joined(sorted(found))


def _joined(bands: list[Band]) -> tuple[Band, ...]:
    found: list[Band] = []
    for low, high in bands:
        if found and low < found[-1][1]:
            found[-1] = (found[-1][0], max(high, found[-1][1]))
        else:
            found.append((low, high))
    return tuple(found)


def _step(side: Side) -> Decimal:
    key = f"{BANDS[0]}.low_hz"
    value = side.values.get(key)
    return side.step(key, value) if isinstance(value, Decimal) else Decimal(0)
