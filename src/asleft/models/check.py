"""What is wrong with a drive model file, beyond its form."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal

from asleft.files.value import did_you_mean
from asleft.models import check_entries, check_numbers, check_order, check_registers
from asleft.models.behaviour_options import behaviour_options, faults_of_options
from asleft.models.looked import Looked, looked
from asleft.models.model import Model
from asleft.models.reader import ModelFile
from asleft.record import Fault
from asleft.vocabulary import vocabulary


def check(file: ModelFile, tolerances: Mapping[str, Decimal] | None = None) -> tuple[Fault, ...]:
    """Every fault of a model file, in the order of its lines; empty for a sound file.

    ``tolerances`` gives, by neutral key and in its unit, how finely rules want to judge; a display that is
    coarser is a fault. Where the form itself has faults (``ModelFile.faults``), those are answered alone.
    """
    if file.faults:
        return file.faults
    seen = looked(file, tolerances or {})
    faults = {fault: None for look in CHECKS for fault in look(seen)}
    return tuple(sorted(faults, key=lambda fault: fault.line))


def _coverage(seen: Looked) -> Iterator[Fault]:
    """Each neutral key is settable, fixed or absent, and only one of them, on every size."""
    told: set[str] = set()
    for size, model in seen.models.items():
        nowhere: dict[str, list[str]] = {}
        for key in vocabulary():
            ways = _ways(model, key)
            if len(ways) != 1 and key not in told:
                told.add(key)
                if ways:
                    place = ("fixed", key) if "fixed" in ways else ("absent", key)
                    what = f"{key} is {' and '.join(ways)} at once."
                    yield seen.fault(place, what, "Keep one of them.")
                else:
                    nowhere.setdefault(key.partition(".")[0], []).append(key)
        for keys in nowhere.values():
            yield _nowhere(seen, size, keys)


def _ways(model: Model, key: str) -> list[str]:
    has = {"settable": key in model.by_key, "fixed": key in model.fixed, "absent": key in model.absent}
    return [name for name, it_is in has.items() if it_is]


def _nowhere(seen: Looked, size: str, keys: list[str]) -> Fault:
    """One fault a group: a model file at its beginning lacks hundreds of keys."""
    verb = "is" if len(keys) == 1 else "are"
    return seen.fault(
        ("sizes", size),
        f"{', '.join(keys)} {verb} neither settable, fixed nor absent on size {size}.",
        "Give a parameter that key, or name it under [fixed], the size, or [absent] with the reason; "
        f'"{keys[0].partition(".")[0]}.*" under [absent] takes what is left of the group.',
    )


def _absent_names_something(seen: Looked) -> Iterator[Fault]:
    for pattern, reason in seen.data.get("absent", {}).items():
        keys = [key for key in vocabulary() if key == pattern or _covers(pattern, key)]
        if not keys:
            hint = did_you_mean(pattern, (*vocabulary(), *(f"{it.name}.*" for it in vocabulary().groups)))
            yield seen.fault(
                ("absent", pattern), f"{pattern} names no known key.", hint or "Mend or delete it."
            )
        elif not any(key in model.absent for key in keys for model in seen.models.values()):
            what = f"{pattern} leaves nothing absent: all it names is settable or fixed."
            yield seen.fault(("absent", pattern), what, "Delete it.")
        if not isinstance(reason, str) or not reason.strip():
            yield seen.fault(("absent", pattern), f"{pattern} is absent without a reason.", "Say why.")


def _covers(pattern: str, key: str) -> bool:
    return pattern.endswith("*") and key.startswith(pattern[:-1])


def _carried_once(seen: Looked) -> Iterator[Fault]:
    """Two parameters for one key are an overlap, save the two halves of a band."""
    for key, natives in seen.model.by_key.items():
        halves = {native.partner for native in natives} == {native.id for native in natives}
        if len(natives) > 1 and not halves:
            ids = " and ".join(native.id for native in natives)
            yield seen.fault(
                ("parameters", natives[-1].id), f"{key} is carried by {ids}.", "Leave it to one of them."
            )


def _behaviour(seen: Looked) -> Iterator[Fault]:
    for name, choice in seen.data.get("behaviour", {}).items():
        for words in faults_of_options({name: choice}):
            yield seen.fault(("behaviour", name), f"{words}.", "")
        option = behaviour_options().get(name)
        held = seen.model.fixed.get(option.key) if option is not None and option.key else None
        if option is not None and isinstance(held, str) and option.as_key.get(held, held) != choice:
            yield seen.fault(
                ("behaviour", name),
                f"{name} is {choice}, and {option.key} is fixed at {held}.",
                "Make them one.",
            )


CHECKS: tuple[Callable[[Looked], Iterator[Fault]], ...] = (
    _coverage,
    _absent_names_something,
    _carried_once,
    _behaviour,
    *check_entries.CHECKS,
    *check_numbers.CHECKS,
    *check_registers.CHECKS,
    *check_order.CHECKS,
)
"""All checks; each yields what it finds in one file."""
