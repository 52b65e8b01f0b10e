"""A reading from a DCF (CiA 306): the values that stand in one unit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from asleft.intake.counts import displayed_count
from asleft.intake.eds import Dictionary, Item, read_dictionary
from asleft.intake.profile import from_profile
from asleft.intake.secrets import WITHHELD, names_a_code
from asleft.intake.taken import Taken, from_decoded
from asleft.models import Decoded, Model, Native, decode
from asleft.record import Fault, ParameterSet, Refused, Value, kept_digits

_MISSING = "the file gives no value for it"
_COMMISSIONING = ("nodeid", "nodename", "baudrate")
_FEW = 8


def take(content: bytes, where: str, model: Model | None) -> Taken:
    """The file's reading: objects in the model's list by it, objects of the drive profile by the profile.

    Only ``ParameterValue`` counts; a default is not what was read. Without a model, what the profile does not
    name is kept as it stands. Raises ``Refused`` where the file holds no value.
    """
    dictionary = read_dictionary(content, where)
    given = {id_: item for id_, item in dictionary.items.items() if item.value is not None}
    if not given:
        raise Refused(
            Fault(
                "the file gives no ParameterValue: nothing was read from a unit.",
                "It may be an EDS; then: asleft model import",
                where,
            )
        )
    decoded, rest = _by_model(given, model)
    whole, left = _with_profile(decoded, rest, model)
    native = {**whole.native, **_commissioning(dictionary)}
    whole = replace(whole, native=native, not_read={**whole.not_read, **_odd(model, dictionary, whole)})
    notes = (
        *dictionary.warnings,
        *_all_default(given, where),
        *_kept(left, where),
        *_maker(dictionary, model),
    )
    if model is None:
        return Taken(ParameterSet(values=whole.values, not_read=whole.not_read, native=native), "dcf", notes)
    return from_decoded(model, whole, "dcf", notes)


def _by_model(given: Mapping[str, Item], model: Model | None) -> tuple[Decoded, Mapping[str, Item]]:
    """What the model's own list makes of the objects, and those it does not name."""
    if model is None:
        return Decoded({}, {}, {}, ()), given
    own = _by_native_id(model, given)
    shown = {id_: _displayed(model.natives[id_], item) for id_, item in own.items()}
    taken = {item.id for item in own.values()}
    return decode(model, shown, _MISSING), {id_: item for id_, item in given.items() if id_ not in taken}


def _by_native_id(model: Model, items: Mapping[str, Item]) -> dict[str, Item]:
    by_lower = {id_.lower(): item for id_, item in items.items()}
    return {id_: by_lower[id_.lower()] for id_ in model.natives if id_.lower() in by_lower}


def _displayed(native: Native, item: Item) -> str:
    """A count as the drive shows it; a real number and a text as they stand."""
    value = item.value
    if isinstance(value, int):
        return displayed_count(native, value)
    if isinstance(value, Decimal):
        return str(kept_digits(value, native.step)) if native.step else str(value)
    return str(value)


def _with_profile(
    decoded: Decoded, rest: Mapping[str, Item], model: Model | None
) -> tuple[Decoded, dict[str, Item]]:
    """Values of the drive profile added where the model's own list does not give the key."""
    counts = {id_: item.value for id_, item in rest.items() if isinstance(item.value, int)}
    known: dict[str, Value] = {**decoded.values, **(model.fixed if model else {})}
    found, why = from_profile(counts, known)
    wanted = {
        key: value
        for key, value in found.items()
        if key not in known and (model is None or key in model.by_key)
    }
    used = {id_ for id_ in rest if _used(id_, rest, why)} if wanted else set()
    left = {
        id_: item for id_, item in rest.items() if id_ not in used or not _says(id_, counts, known, wanted)
    }
    native = {**decoded.native, **{id_: _text(item) for id_, item in left.items()}}
    not_read = {key: reason for key, reason in decoded.not_read.items() if key not in wanted}
    return replace(decoded, values={**decoded.values, **wanted}, not_read=not_read, native=native), left


def _used(id_: str, rest: Mapping[str, Item], why: Mapping[str, str]) -> bool:
    index = id_.upper()[:4]
    return 0x6000 <= rest[id_].index <= 0x67FF and not any(refused.startswith(index) for refused in why)


def _says(
    id_: str, counts: Mapping[str, int], known: Mapping[str, Value], wanted: Mapping[str, Value]
) -> bool:
    """Whether a value of the profile came from this object: without it, it would be missing or another."""
    without, _ = from_profile({other: count for other, count in counts.items() if other != id_}, known)
    return any(without.get(key) != value for key, value in wanted.items())


def _text(item: Item) -> str:
    if names_a_code(item.name):
        return WITHHELD
    return f"{item.value:f}" if isinstance(item.value, Decimal) else str(item.value)


def _odd(model: Model | None, dictionary: Dictionary, decoded: Decoded) -> Mapping[str, str]:
    """Reasons for values that the file holds and that could not be taken."""
    if model is None:
        return {}
    odd = {item.id.lower(): item.odd for item in dictionary.items.values() if item.odd}
    return {
        key: odd[native.id.lower()]
        for native in model.natives.values()
        if native.id.lower() in odd
        for key in native.keys
        if key in decoded.not_read
    }


def _all_default(given: Mapping[str, Item], where: str) -> Iterator[Fault]:
    defaults = [item for item in given.values() if item.default is not None]
    if len(defaults) > _FEW and all(item.value == item.default for item in defaults):
        yield Fault(
            f"every one of {len(defaults)} values equals the default.",
            "The program that wrote the file may have put defaults in place of what stands in the unit.",
            where,
        )


def _kept(left: Mapping[str, Item], where: str) -> Iterator[Fault]:
    if left:
        some = ", ".join(list(left)[:_FEW]) + (" …" if len(left) > _FEW else "")
        yield Fault(
            f"{len(left)} objects have no neutral meaning here: {some}", "They are kept as read.", where
        )


def _maker(dictionary: Dictionary, model: Model | None) -> Iterator[Fault]:
    vendor = dictionary.device.get("vendorname", "")
    if model is not None and vendor and model.maker.lower() not in vendor.lower():
        yield Fault(
            f"the file is of a unit by {vendor}, and was read as {model.title} of {model.maker}.",
            "Check the model: asleft model list",
        )


def _commissioning(dictionary: Dictionary) -> dict[str, str]:
    given = dictionary.commissioning
    return {f"DeviceComissioning.{key}": given[key] for key in _COMMISSIONING if given.get(key)}
