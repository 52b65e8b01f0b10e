"""How a displayed value becomes neutral, and back. One entry in ``FORMS`` a form.

Every form works on one native parameter, except a band's centre and width, which make two neutral edges
together. A form answers with exact values; digits are settled in ``translate``. What cannot be worked out
raises ``CannotTell`` with the reason, what the drive cannot hold raises ``CannotEnter``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext

from asleft.models.model import Native
from asleft.models.units import factor, number_shown
from asleft.record import Value, shown
from asleft.vocabulary import vocabulary


class CannotTell(Exception):
    """A displayed value that cannot be brought to neutral terms, with the reason."""


class CannotEnter(Exception):
    """A neutral value that this drive cannot hold, with the reason."""


@dataclass(frozen=True, slots=True)
class Context:
    """What a form may look at: neutral values known so far, and native displayed values."""

    values: Mapping[str, Value]
    displayed: Mapping[str, str]


Decode = Callable[[Native, str, Context], Mapping[str, Value]]
Encode = Callable[[Native, Mapping[str, Value], Context], str]

BASES = {
    "motor_current": ("motor.rated_current_a", "the motor's rated current"),
    "motor_voltage": ("motor.rated_voltage_v", "the motor's rated voltage"),
    "motor_frequency": ("motor.rated_frequency_hz", "the motor's rated frequency"),
    "motor_speed": ("motor.rated_speed_rpm", "the motor's rated speed"),
    "drive_light": ("drive.rated_current_light_a", "the drive's light-duty current"),
    "drive_heavy": ("drive.rated_current_heavy_a", "the drive's heavy-duty current"),
    "frequency_max": ("limits.frequency_max_hz", "the maximum frequency"),
    "corner_voltage": ("control.vf_corner_voltage_v", "the voltage at the corner"),
    "supply_voltage": ("supply.voltage_nominal_v", "the supply voltage"),
}


def base_value(native: Native, context: Context) -> Decimal:
    """What 100 % means for this parameter, in the neutral unit.

    ``drive_duty`` follows the duty rating in use. Raises ``CannotTell`` where the base is not known.
    """
    name = native.base
    if name == "drive_duty":
        duty = context.values.get("drive.duty_rating")
        if duty is None:
            raise CannotTell("it is shown in % of the drive's current for its duty, which is not known")
        name = "drive_heavy" if duty == "heavy_duty" else "drive_light"
    key, words = BASES[name]
    value = context.values.get(key)
    if not isinstance(value, Decimal) or value <= 0:
        raise CannotTell(f"it is shown in % of {words}, which is not known")
    return value


def _number(displayed: str) -> Decimal:
    number = number_shown(displayed)
    if number is None:
        raise CannotTell(f"the drive shows {displayed!r}, which is no number")
    return number


def _wanted(native: Native, values: Mapping[str, Value], key: str) -> Decimal:
    value = values[key]
    if not isinstance(value, Decimal):
        raise CannotEnter(f"{shown(value)!r} is no number")
    return value


def _decode_number(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    (key,) = native.keys
    scale = factor(native.unit, vocabulary()[key].unit) or Decimal(1)
    return {key: _number(displayed) * scale}


def _encode_number(native: Native, values: Mapping[str, Value], context: Context) -> str:
    (key,) = native.keys
    scale = factor(native.unit, vocabulary()[key].unit) or Decimal(1)
    return str(_divide(_wanted(native, values, key), scale))


def _decode_percent(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    (key,) = native.keys
    return {key: _number(displayed) * base_value(native, context) / 100}


def _encode_percent(native: Native, values: Mapping[str, Value], context: Context) -> str:
    (key,) = native.keys
    try:
        return str(_divide(_wanted(native, values, key) * 100, base_value(native, context)))
    except CannotTell as reason:
        raise CannotEnter(str(reason)) from None


def _poles(context: Context) -> Decimal:
    poles = context.values.get("motor.pole_count")
    if not isinstance(poles, str) or not poles.isdecimal():
        raise CannotTell("it is shown in rpm, and the motor's number of poles is not known")
    return Decimal(poles)


def _decode_rpm(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    (key,) = native.keys
    return {key: _divide(_number(displayed) * _poles(context), Decimal(120))}


def _encode_rpm(native: Native, values: Mapping[str, Value], context: Context) -> str:
    (key,) = native.keys
    try:
        return str(_divide(_wanted(native, values, key) * 120, _poles(context)))
    except CannotTell as reason:
        raise CannotEnter(str(reason)) from None


def _decode_reciprocal(top: Decimal) -> Decode:
    def decode(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
        number = _number(displayed)
        if number == 0:
            raise CannotTell("the drive shows 0, which switches the term off")
        return {native.keys[0]: _divide(top, number)}

    return decode


def _encode_reciprocal(top: Decimal) -> Encode:
    def encode(native: Native, values: Mapping[str, Value], context: Context) -> str:
        number = _wanted(native, values, native.keys[0])
        if number == 0:
            raise CannotEnter("0 has no counterpart on this drive")
        return str(_divide(top, number))

    return encode


def _decode_choice(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    choice = native.choices.get(displayed)
    if choice is None:
        raise CannotTell(f"the drive shows {displayed!r}, which its list of choices does not have")
    if not choice.sets:
        raise CannotTell(f"{choice.text!r} has no counterpart in the trade's terms")
    return dict(choice.sets)


def _encode_choice(native: Native, values: Mapping[str, Value], context: Context) -> str:
    for choice in native.choices.values():
        if choice.sets and all(values.get(key) == wanted for key, wanted in choice.sets.items()):
            return choice.code
    asked = ", ".join(f"{shown(values[key])}" for key in native.keys if key in values)
    has = ", ".join(choice.text for choice in native.choices.values())
    raise CannotEnter(f"this drive has no such choice as {asked}; it has {has}")


def _decode_coded(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    choice = native.choices.get(displayed)
    if choice is None:
        raise CannotTell(f"the drive shows {displayed!r}, which its list of choices does not have")
    if choice.number is None:
        raise CannotTell(f"{choice.text!r} has no counterpart in the trade's terms")
    return {native.keys[0]: choice.number}


def _encode_coded(native: Native, values: Mapping[str, Value], context: Context) -> str:
    wanted = _wanted(native, values, native.keys[0])
    for choice in native.choices.values():
        if choice.number == wanted:
            return choice.code
    has = ", ".join(choice.text for choice in native.choices.values())
    raise CannotEnter(f"this drive has no such choice as {shown(wanted)}; it has {has}")


def _decode_bits(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    try:
        number = int(displayed, 0)
    except ValueError:
        raise CannotTell(f"the drive shows {displayed!r}, which is no bit field") from None
    known = sum(1 << int(code) for code in native.choices)
    if number & ~known:
        raise CannotTell(f"the drive shows {displayed}, with bits its list does not name")
    (key,) = native.keys
    members = {choice.sets[key] for code, choice in native.choices.items() if number >> int(code) & 1}
    return {key: tuple(name for name in vocabulary()[key].choices if name in members)}


def _encode_bits(native: Native, values: Mapping[str, Value], context: Context) -> str:
    (key,) = native.keys
    value = values[key]
    wanted = value if isinstance(value, tuple) else ()
    members = {choice.sets[key]: 1 << int(code) for code, choice in native.choices.items()}
    missing = [name for name in wanted if name not in members]
    if missing:
        raise CannotEnter(f"this drive's list has no {', '.join(missing)}")
    return str(sum(members[name] for name in wanted))


def _decode_band(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    """Low and high edge from a centre and a width. Where the width is 0 the band is off: both edges alike."""
    other = context.displayed.get(native.partner)
    if other is None:
        raise CannotTell("the other half of the band was not read")
    centre, width = (displayed, other) if native.form.startswith("band_centre") else (other, displayed)
    half = _number(width) / (2 if native.form.endswith("full") else 1)
    low, high = native.keys
    return {low: _number(centre) - half, high: _number(centre) + half}


def _encode_band(native: Native, values: Mapping[str, Value], context: Context) -> str:
    low, high = (_wanted(native, values, key) for key in native.keys)
    if native.form.startswith("band_centre"):
        return str((low + high) / 2)
    return str(high - low if native.form.endswith("full") else (high - low) / 2)


def _decode_text(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    (key,) = native.keys
    if vocabulary()[key].kind in ("list", "set"):
        return {key: tuple(part.strip() for part in displayed.split(";") if part.strip())}
    return {key: displayed}


def _encode_text(native: Native, values: Mapping[str, Value], context: Context) -> str:
    value = values[native.keys[0]]
    return "; ".join(value) if isinstance(value, tuple) else str(value)


def _decode_secret(native: Native, displayed: str, context: Context) -> Mapping[str, Value]:
    """Only whether a code is set; the digits go no further than this function."""
    (key,) = native.keys
    if displayed in vocabulary()[key].choices:
        return {key: displayed}
    digits = displayed.strip()
    if digits in ("", "0", "off"):
        return {key: "not_set"}
    return {key: "factory" if digits == native.factory else "set"}


def _encode_secret(native: Native, values: Mapping[str, Value], context: Context) -> str:
    raise CannotEnter("a code is entered by the person who holds it and is never written down here")


def _divide(top: Decimal, bottom: Decimal) -> Decimal:
    with localcontext() as precise:
        precise.prec = 40
        return top / bottom


FORMS: Mapping[str, tuple[Decode, Encode]] = {
    "number": (_decode_number, _encode_number),
    "percent": (_decode_percent, _encode_percent),
    "rpm": (_decode_rpm, _encode_rpm),
    "proportional_band": (_decode_reciprocal(Decimal(100)), _encode_reciprocal(Decimal(100))),
    "repeats_per_minute": (_decode_reciprocal(Decimal(60)), _encode_reciprocal(Decimal(60))),
    "choice": (_decode_choice, _encode_choice),
    "coded": (_decode_coded, _encode_coded),
    "bits": (_decode_bits, _encode_bits),
    "band_centre": (_decode_band, _encode_band),
    "band_half": (_decode_band, _encode_band),
    "band_centre_full": (_decode_band, _encode_band),
    "band_full": (_decode_band, _encode_band),
    "text": (_decode_text, _encode_text),
    "secret": (_decode_secret, _encode_secret),
}
