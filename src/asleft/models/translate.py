"""Whole sets between what a drive displays and the trade's neutral terms."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from asleft.models.forms import FORMS, CannotEnter, CannotTell, Context
from asleft.models.model import Model, Native
from asleft.models.units import factor, number_shown
from asleft.record import Fault, Value, canonical, kept_digits, shown
from asleft.vocabulary import vocabulary

_MOST_DIGITS = 12


@dataclass(frozen=True, slots=True)
class Decoded:
    """A reading in neutral terms. Every native value given is in ``values``, ``native`` or ``not_read``."""

    values: Mapping[str, Value]
    not_read: Mapping[str, str]
    native: Mapping[str, str]
    warnings: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """What to enter: ``displayed`` as the drive shows it (a code for choices), ``error`` in the neutral unit
    where the drive's step cannot meet the wanted value."""

    native: Native
    displayed: str
    error: Decimal = Decimal(0)

    @property
    def words(self) -> str:
        """The displayed form a person looks for: number with unit, or choice text with its code."""
        return displayed_words(self.native, self.displayed)


@dataclass(frozen=True, slots=True)
class Entries:
    """The entries that bring a drive to a set, by native id, and the neutral keys that cannot be entered."""

    entries: Mapping[str, Entry] = field(default_factory=dict)
    cannot: Mapping[str, str] = field(default_factory=dict)


def displayed_words(native: Native, displayed: str) -> str:
    """A displayed value as a person reads it at the drive: ``8.0 s``, ``2 (coast)``."""
    if native.form == "bits":
        return _bits_words(native, displayed)
    choice = native.choices.get(displayed)
    if choice is not None:
        return f"{displayed} ({choice.text})"
    unit = "process units" if native.unit.startswith("process unit") else native.unit
    return f"{displayed} {unit}".rstrip() if displayed else ""


def _bits_words(native: Native, displayed: str) -> str:
    """Which switches a bit field has on: ``5 (overcurrent, undervoltage)``."""
    try:
        number = int(displayed, 0)
    except ValueError:
        return displayed
    names = [choice.text for code, choice in native.choices.items() if number >> int(code) & 1]
    return f"{displayed} ({', '.join(names) or 'none'})"


def decode(model: Model, displayed: Mapping[str, str], missing: str) -> Decoded:
    """Displayed values by native id, as neutral values.

    ``missing`` is the reason recorded for parameters of the model that were not given. Values the model
    cannot place are kept under ``native`` as displayed, never dropped; a secret is dropped on purpose.
    """
    values: dict[str, Value] = dict(model.fixed)
    failed: dict[str, str] = {}
    waiting = [native for native in model.natives.values() if native.id in displayed and native.keys]
    while waiting:
        failed, again = {}, []
        for native in waiting:
            try:
                values.update(_decode_one(native, displayed[native.id], values, displayed))
            except CannotTell as reason:
                failed[native.id] = str(reason)
                again.append(native)
        if len(again) == len(waiting):
            break
        waiting = again
    not_read = _reasons(model, displayed, values, failed, missing)
    native_left = {
        native_id: _without_secret(model.natives.get(native_id), shown_value)
        for native_id, shown_value in displayed.items()
        if native_id not in model.natives or not model.natives[native_id].keys or native_id in failed
    }
    read = {key: value for key, value in values.items() if key not in model.fixed}
    return Decoded(read, not_read, native_left, tuple(_warnings(model, displayed)))


def _decode_one(
    native: Native, shown_value: str, values: Mapping[str, Value], displayed: Mapping[str, str]
) -> Mapping[str, Value]:
    decoder, _ = FORMS[native.form]
    exact = decoder(native, shown_value, Context(values, displayed))
    return {key: settle(native, key, value, values, displayed) for key, value in exact.items()}


def settle(
    native: Native, key: str, value: Value, values: Mapping[str, Value], displayed: Mapping[str, str]
) -> Value:
    """A decoded number with the digits it deserves.

    A number displayed in its neutral unit keeps the digits of the step; a converted one takes the fewest
    digits that lead back to the same native count.
    """
    if not isinstance(value, Decimal) or native.step is None:
        return value
    if native.form.startswith("band") or (native.form == "number" and _plain(native, key)):
        return kept_digits(value, native.step)
    count = Decimal(displayed[native.id])
    for digits in range(_MOST_DIGITS):
        short = _rounded(value, digits)
        try:
            back = _encode_exact(native, {**values, key: short}, displayed)
        except CannotEnter:
            continue
        if to_step(back, native.step) == count:
            return canonical(short)
    return canonical(_rounded(value, _MOST_DIGITS))


def _rounded(value: Decimal, digits: int) -> Decimal:
    with localcontext() as precise:
        precise.prec = 60
        return value.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_EVEN)


def _plain(native: Native, key: str) -> bool:
    return factor(native.unit, vocabulary()[key].unit) == 1


def _reasons(
    model: Model,
    displayed: Mapping[str, str],
    values: Mapping[str, Value],
    failed: Mapping[str, str],
    missing: str,
) -> Mapping[str, str]:
    found: dict[str, str] = {}
    for native in model.natives.values():
        for key in native.keys:
            if key not in values and native.id in failed:
                found[key] = failed[native.id]
            elif key not in values:
                found.setdefault(key, missing)
    return found


def _without_secret(native: Native | None, shown_value: str) -> str:
    return "a code, not recorded" if native is not None and native.secret else shown_value


def _warnings(model: Model, displayed: Mapping[str, str]) -> Iterable[Fault]:
    for native_id, shown_value in displayed.items():
        native = model.natives.get(native_id)
        if native is None:
            yield Fault(
                f"{native_id} is not in the list of {model.title}.",
                "It is kept as read, without a meaning; check the model named.",
                native_id,
            )
        elif not native.secret and (problem := outside(native, shown_value)):
            yield Fault(
                f"{native.text} reads {displayed_words(native, shown_value)}: {problem}.", "", native_id
            )


def outside(native: Native, displayed: str) -> str:
    """What is wrong with a displayed number on this drive: out of range or between two steps; else empty."""
    if not native.is_number:
        return ""
    number = number_shown(displayed)
    if number is None:
        return "that is no number"
    if (native.low is not None and number < native.low) or (native.high is not None and number > native.high):
        return f"the drive takes {native.low} to {native.high} {native.unit}".rstrip()
    if native.step and number % native.step != 0:
        return f"the drive shows steps of {native.step} {native.unit}".rstrip()
    return ""


def to_step(number: Decimal, step: Decimal) -> Decimal:
    """The nearest displayed number, with the digits of the step."""
    with localcontext() as precise:
        precise.prec = 40
        count = (number / step).quantize(Decimal(1), ROUND_HALF_EVEN)
        return kept_digits(count * step, step)


def _encode_exact(native: Native, values: Mapping[str, Value], displayed: Mapping[str, str]) -> Decimal:
    return Decimal(FORMS[native.form][1](native, values, Context(values, displayed)))


def encode_one(native: Native, values: Mapping[str, Value], as_read: bool = False) -> Entry:
    """The entry that gives this native parameter the wanted neutral values.

    Raises ``CannotEnter`` where a key is missing, no choice fits or, save ``as_read``, the range is passed.
    """
    lacking = [key for key in native.keys if key not in values]
    if lacking and not native.choices:
        raise CannotEnter(f"{lacking[0]} is not known")
    exact = FORMS[native.form][1](native, values, Context(values, {}))
    if native.step is None or native.choices:
        return Entry(native, exact)
    number = to_step(Decimal(exact), native.step)
    if not as_read and (problem := outside(native, str(number))):
        raise CannotEnter(f"{displayed_words(native, str(number))} would be needed, but {problem}")
    return Entry(native, str(number), _error(native, str(number), values))


def _error(native: Native, displayed: str, values: Mapping[str, Value]) -> Decimal:
    if native.form.startswith("band"):
        return Decimal(0)
    back = FORMS[native.form][0](native, displayed, Context(values, {}))
    key = native.keys[0]
    wanted, got = values[key], back[key]
    return got - wanted if isinstance(wanted, Decimal) and isinstance(got, Decimal) else Decimal(0)


def encode(model: Model, values: Mapping[str, Value], as_read: bool = False) -> Entries:
    """Everything a drive of this model must hold to stand at ``values``.

    Keys fixed at another value, absent, or out of reach are in ``cannot`` with the reason. The per-cent
    bases come from ``values`` and, for the unit's own data, from the model. ``as_read`` adds what the
    drive shows and takes no entry for: what cannot be entered, and what stands beyond its range.
    """
    known = {**values, **model.fixed}
    entries: dict[str, Entry] = {}
    cannot: dict[str, str] = {}
    for native in model.natives.values():
        if native.keys and (as_read or not native.read_only) and any(key in values for key in native.keys):
            try:
                entries[native.id] = encode_one(native, known, as_read)
            except CannotEnter as reason:
                cannot.update({key: str(reason) for key in native.keys if key in values})
    for key, value in values.items():
        if key in model.fixed and model.fixed[key] != value:
            cannot[key] = f"it is fixed at {shown(model.fixed[key], vocabulary()[key].unit)} on this drive"
        elif not model.has(key):
            cannot[key] = model.absent.get(key, "this drive has no such parameter")
    return Entries(entries, cannot)


def display_step(model: Model, key: str, values: Mapping[str, Value]) -> Decimal | None:
    """The smallest change of a neutral number this drive can show, in the neutral unit.

    None for other kinds, for fixed keys, and where the base of a percentage is not known.
    """
    natives = model.by_key.get(key)
    if not natives or natives[0].step is None or natives[0].choices:
        return None
    native, step = natives[0], natives[0].step
    if native.form.startswith("band"):
        return step
    known = {**values, **model.fixed}
    try:
        here = to_step(_encode_exact(native, known, {}), step) if key in known else native.low or step
        ends = [FORMS[native.form][0](native, str(here + move), Context(known, {})) for move in (0, step)]
    except (CannotTell, CannotEnter, ArithmeticError):
        return None
    first, second = ends[0][key], ends[1][key]
    return abs(second - first) if isinstance(first, Decimal) and isinstance(second, Decimal) else None


def factory_set(model: Model) -> Decoded:
    """The set as the unit leaves the factory."""
    factory = {native.id: native.factory for native in model.natives.values() if native.factory != ""}
    return decode(model, factory, "the model file gives no factory value")
