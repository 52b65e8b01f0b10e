"""What is wrong with a drive model file, beyond its form."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal

from asleft.models import check_entries, check_numbers, check_order, check_registers
from asleft.models.behaviour_options import behaviour_options, faults_of_options
from asleft.models.looked import Looked, looked
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
    for key in vocabulary():
        for size, model in seen.models.items():
            ways = [
                name
                for name, has in (
                    ("settable", key in model.by_key),
                    ("fixed", key in model.fixed),
                    ("absent", key in model.absent),
                )
                if has
            ]
            if len(ways) != 1:
                yield _not_one_way(seen, key, size, ways)
                break


def _not_one_way(seen: Looked, key: str, size: str, ways: list[str]) -> Fault:
    if not ways:
        return seen.fault(
            ("sizes", size),
            f"{key} is neither settable, fixed nor absent on size {size}.",
            "Give a parameter that key, or name it under [fixed], the size, or [absent] with the reason.",
        )
    place = ("fixed", key) if "fixed" in ways else ("absent", key)
    return seen.fault(place, f"{key} is {' and '.join(ways)} at once.", "Keep one of them.")


def _absent_names_something(seen: Looked) -> Iterator[Fault]:
    for pattern, reason in seen.data.get("absent", {}).items():
        known = (
            any(key.startswith(pattern[:-1]) for key in vocabulary())
            if pattern.endswith("*")
            else pattern in vocabulary()
        )
        if not known:
            yield seen.fault(("absent", pattern), f"{pattern} names no known key.", "Mend or delete it.")
        if not isinstance(reason, str) or not reason.strip():
            yield seen.fault(("absent", pattern), f"{pattern} is absent without a reason.", "Say why.")


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
