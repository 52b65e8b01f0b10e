"""Conversions as a person would check them by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from asleft.models.forms import BASES
from asleft.models.model import Native
from asleft.models.translate import Entry
from asleft.models.units import factor
from asleft.record import Value, shown
from asleft.vocabulary import vocabulary

MOST_SHOWN = 6


def plain(number: Decimal) -> str:
    """A number without needless digits: 33.0 as 33.0, 32.985000 as 32.985."""
    rounded = round(number, MOST_SHOWN)
    return f"{number:f}" if rounded == number and len(f"{number:f}") <= 12 else f"{rounded.normalize():f}"


def short(number: Decimal) -> str:
    """A number without trailing zeros: 50.0 as 50."""
    return f"{number.normalize():f}"


def sum_words(entry: Entry, values: Mapping[str, Value]) -> str:
    """How the displayed number comes from the neutral one; empty where they are the same number."""
    native = entry.native
    wanted = values.get(native.keys[0])
    if not isinstance(wanted, Decimal) or native.choices:
        return ""
    made = f" = {entry.words}"
    if native.form.startswith("band"):
        return _band(native, values) + made
    unit = vocabulary()[native.keys[0]].unit
    told = f"{plain(wanted)} {unit}".rstrip()
    if native.form == "percent":
        key, words = BASES[_base(native, values)]
        base = values[key]
        return f"{told} ÷ {shown(base, vocabulary()[key].unit)} ({words}) × 100{made}"
    if native.form == "rpm":
        return f"{told} × 120 ÷ {values['motor.pole_count']} poles{made}"
    if native.form == "proportional_band":
        return f"100 ÷ a gain of {plain(wanted)}{made}"
    if native.form == "repeats_per_minute":
        return f"60 s ÷ {told}{made}"
    scale = factor(native.unit, unit)
    if scale is None or scale == 1:
        return ""
    return f"{told} ÷ {plain(scale)}{made}" if scale > 1 else f"{told} × {plain(1 / scale)}{made}"


def _base(native: Native, values: Mapping[str, Value]) -> str:
    if native.base != "drive_duty":
        return native.base
    return "drive_heavy" if values.get("drive.duty_rating") == "heavy_duty" else "drive_light"


def _band(native: Native, values: Mapping[str, Value]) -> str:
    low, high = (plain(number) for key in native.keys if isinstance(number := values[key], Decimal))
    if native.form.startswith("band_centre"):
        return f"({low} Hz + {high} Hz) ÷ 2"
    return f"{high} Hz − {low} Hz" if native.form.endswith("full") else f"({high} Hz − {low} Hz) ÷ 2"


def error_words(error: Decimal, unit: str) -> str:
    """What rounding leaves, with its direction; empty for none."""
    if error == 0:
        return ""
    direction = "more" if error > 0 else "less"
    return f"{f'{plain(abs(error))} {unit}'.rstrip()} {direction} than recorded"


def band_error(key: str, entries: Sequence[Entry], wanted: Mapping[str, Value]) -> Decimal:
    """What rounding centre and width leaves at one edge of a band."""
    centre = width = Decimal(0)
    for entry in entries:
        if entry.native.form.startswith("band_centre"):
            centre = Decimal(entry.displayed)
        else:
            width = Decimal(entry.displayed) / (2 if entry.native.form.endswith("full") else 1)
    low = key == entries[0].native.keys[0]
    value = wanted[key]
    return (centre - width if low else centre + width) - value if isinstance(value, Decimal) else Decimal(0)
