"""Checks of ranges, factory values, units, scales and display steps."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal

from asleft.models.forms import BASES, FORMS, CannotTell, Context
from asleft.models.looked import Looked
from asleft.models.model import Native
from asleft.models.reader import UNIT_OF_FORM
from asleft.models.translate import display_step, outside
from asleft.models.units import factor
from asleft.record import Fault, Value
from asleft.vocabulary import Parameter, vocabulary

COARSEST = 10
"""A display may be this many times coarser than the usual step before a set loses meaning by it."""
_WIDEST = 10
_NEUTRAL_OF_FORM = {"rpm": "Hz", "proportional_band": "", "repeats_per_minute": "s"}


def _ranges(seen: Looked) -> Iterator[Fault]:
    for native in seen.natives:
        low, high, step = native.low, native.high, native.step
        if low is None or high is None or step is None:
            continue
        if low >= high:
            yield seen.of(native, "range", f"the range {low} to {high} is empty.", "Lower end first.")
        elif step <= 0 or step > high - low:
            yield seen.of(native, "step", f"steps of {step} do not fit {low} to {high}.", "Check both.")
        else:
            for end in (low, high):
                if end % step != 0:
                    yield seen.of(native, "range", f"{end} is not on a step of {step}.", "Check both.")


def _factory(seen: Looked) -> Iterator[Fault]:
    for size, model in seen.models.items():
        for name in seen.data["sizes"][size].get("factory", {}):
            if name not in model.natives:
                yield seen.fault(("sizes", size, "factory", name), f"there is no parameter {name}.", "")
        for native in model.natives.values():
            problem = _wrong_factory(native)
            if problem:
                what = f"{native.id} ({native.text}): the factory value {problem}"
                yield seen.fault(_place(seen, native, size), what, "Check it against the list.")


def _place(seen: Looked, native: Native, size: str) -> tuple[str, ...]:
    own = ("sizes", size, "factory", native.id)
    return (
        own
        if native.id in seen.data["sizes"][size].get("factory", {})
        else ("parameters", native.id, "factory")
    )


def _wrong_factory(native: Native) -> str:
    value = native.factory
    if value == "" or native.secret:
        return ""
    if native.form == "bits":
        return _wrong_bits(native)
    if native.choices:
        return "" if value in native.choices else f"{value} is no choice."
    problem = outside(native, value)
    return f"{value} is wrong: {problem}." if problem else ""


def _wrong_bits(native: Native) -> str:
    known = sum(1 << int(code) for code in native.choices if code.isdecimal() and int(code) < 32)
    try:
        number = int(native.factory, 0)
    except ValueError:
        return f"{native.factory!r} is no bit field."
    return f"{native.factory} has bits without a name." if number & ~known else ""


def _units(seen: Looked) -> Iterator[Fault]:
    for native in seen.natives:
        for key in native.keys if native.is_number else ():
            yield from _unit_faults(seen, native, vocabulary()[key])


def _unit_faults(seen: Looked, native: Native, parameter: Parameter) -> Iterator[Fault]:
    form, wanted = native.form, parameter.unit
    if form == "number" or form.startswith("band"):
        same = factor(native.unit, wanted)
        if same is None or (same != 1 and form != "number"):
            yield seen.of(
                native,
                "unit",
                f"{native.unit} does not lead to {wanted or 'a number without unit'}.",
                "Check unit and key.",
            )
        return
    if native.unit != UNIT_OF_FORM.get(form, native.unit):
        what = f"form {form} is shown in {UNIT_OF_FORM[form]}, not {native.unit}."
        yield seen.of(native, "unit", what, "Leave unit out, or choose another form.")
    if form in _NEUTRAL_OF_FORM and wanted != _NEUTRAL_OF_FORM[form]:
        yield seen.of(native, "form", f"form {form} cannot give {parameter.key}.", "Check form and key.")
    if form == "percent" and _base_unit(native.base) != wanted:
        yield seen.of(
            native,
            "base",
            f"100 % is in {_base_unit(native.base)}, and {parameter.key} in {wanted}.",
            "Check base.",
        )


def _bases(seen: Looked) -> Iterator[Fault]:
    """What 100 % stands for must be known, or no percentage of it ever is."""
    for native in seen.natives:
        for key in _base_keys(native):
            lacking = [size for size, model in seen.models.items() if not model.has(key)]
            if lacking:
                what = f"it is shown in % of {key}, which size {lacking[0]} neither has nor is fixed at."
                yield seen.of(native, "base", what, "Name it under the size, [fixed], or a parameter.")


def _base_keys(native: Native) -> tuple[str, ...]:
    if native.form != "percent":
        return ()
    if native.base == "drive_duty":
        return "drive.duty_rating", BASES["drive_light"][0], BASES["drive_heavy"][0]
    return (BASES[native.base][0],)


def _base_unit(base: str) -> str:
    return vocabulary()[BASES["drive_light" if base == "drive_duty" else base][0]].unit


def _scales(seen: Looked) -> Iterator[Fault]:
    """A factory value no drive holds, or a range far beyond, speaks of a wrong unit or scale. 0 is "off"."""
    for size, values in seen.factory.items():
        for native in seen.models[size].natives.values():
            for key in native.keys if native.is_number else ():
                yield from _beyond(seen, native, key, size, values)


def _beyond(
    seen: Looked, native: Native, key: str, size: str, values: Mapping[str, Value]
) -> Iterator[Fault]:
    parameter = vocabulary()[key]
    low, high, unit = parameter.low, parameter.high, parameter.unit
    value = values.get(key)
    if low is None or high is None:
        return
    bounds = f"{low} to {high} {unit}".rstrip()
    if isinstance(value, Decimal) and native.factory and value != 0 and not low <= value <= high:
        what = f"{native.id} ({native.text}): the factory value means {value:f} {unit}".rstrip()
        yield seen.fault(
            _place(seen, native, size),
            f"{what}, and drives hold {bounds}.",
            "Check unit, step and form; if the drive truly does, the vocabulary is too narrow.",
        )
    top = _top(native, key, values)
    if top is not None and top > _WIDEST * max(high, Decimal(1)):
        yield seen.of(
            native,
            "range",
            f"its range reaches {top:f} {unit}".rstrip() + f", and drives hold {bounds}.",
            "Check unit and step.",
        )


def _top(native: Native, key: str, values: Mapping[str, Value]) -> Decimal | None:
    """The neutral value of the upper end; None for a form that falls as the display rises."""
    if native.form not in ("number", "percent", "rpm"):
        return None
    try:
        value = FORMS[native.form][0](native, str(native.high), Context(values, {})).get(key)
    except CannotTell:
        return None
    return value if isinstance(value, Decimal) else None


def _coarse(seen: Looked) -> Iterator[Fault]:
    """A display step that hides what a rule or a comparison needs to see. Told once, for the first size."""
    for key, natives in seen.model.by_key.items():
        most = _judged_to(seen, natives[0], key)
        for size, model in seen.models.items():
            step = display_step(model, key, seen.factory[size])
            if most is not None and step is not None and step > most:
                unit = vocabulary()[key].unit
                one, wanted = (f"{number.normalize():f} {unit}".rstrip() for number in (step, most))
                yield seen.of(
                    natives[0],
                    "step",
                    f"one step is {one}, and {key} is judged to {wanted}.",
                    "Differences below one step cannot be told on this drive: check the step.",
                )
                break


def _judged_to(seen: Looked, native: Native, key: str) -> Decimal | None:
    """How finely a key is judged, in its unit; None where nothing says so."""
    if key in seen.tolerances:
        return seen.tolerances[key]
    usual = vocabulary()[key].step
    if usual is None or (native.form == "percent" and native.step is not None and native.step <= 1):
        return None  # a step of 1 % is fine enough whatever the size of drive or motor
    return usual * COARSEST


CHECKS: tuple[Callable[[Looked], Iterator[Fault]], ...] = (
    _ranges,
    _factory,
    _units,
    _bases,
    _scales,
    _coarse,
)
