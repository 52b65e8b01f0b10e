"""Checks of what must be entered first, what an entry sets by itself, and the halves of a pair."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter

from asleft.models.looked import Looked
from asleft.record import Fault

_OTHER_HALF = {
    "band_centre": "band_half",
    "band_half": "band_centre",
    "band_centre_full": "band_full",
    "band_full": "band_centre_full",
}


def _known_ids(seen: Looked) -> Iterator[Fault]:
    known = seen.model.natives
    for native in seen.natives:
        for field, ids in (("after", native.after), ("sets", native.sets)):
            for name in ids:
                if name == native.id:
                    yield seen.of(native, field, "it names itself.", "Delete it.")
                elif name not in known:
                    yield seen.of(native, field, f"there is no parameter {name}.", "Check the number.")


def _can_be_met(seen: Looked) -> Iterator[Fault]:
    known = seen.model.natives
    for native in seen.natives:
        for name in native.after:
            if name in known and known[name].read_only:
                yield seen.of(
                    native, "after", f"it waits for {name}, which cannot be entered.", "Name one that can."
                )
        for name, value in native.sets.items():
            if name in native.after:
                yield seen.of(
                    native,
                    "sets",
                    f"it must come after {name} and overwrites it.",
                    f"Let {name} come after it.",
                )
            other = known.get(name)
            if other is not None and other.choices and value not in (*other.choices, "factory", "derived"):
                yield seen.of(
                    native, "sets", f"{name} has no choice {value}.", "Give a code, factory or derived."
                )


def _cycles(seen: Looked) -> Iterator[Fault]:
    for ring in _rings({native.id: native.after for native in seen.natives}):
        words = " before ".join((*ring, ring[0]))
        yield seen.of(
            seen.model.natives[ring[0]],
            "after",
            f"the order runs in a ring: {words}.",
            "Break it at one place.",
        )


def _rings(after: Mapping[str, tuple[str, ...]]) -> Iterator[list[str]]:
    """Each ring, its members in order; a found ring is cut so that the next can be seen."""
    left = {name: {one for one in waits if one in after and one != name} for name, waits in after.items()}
    while True:
        try:
            TopologicalSorter(left).prepare()
            return
        except CycleError as found:
            ring = found.args[1][:-1]
            yield ring
            left[ring[1]].discard(ring[0])


def _pairs(seen: Looked) -> Iterator[Fault]:
    for native in seen.natives:
        if not native.form.startswith("band"):
            continue
        other = seen.model.natives.get(native.partner)
        if other is None or other.partner != native.id or other.keys != native.keys:
            yield seen.of(
                native, "partner", f"{native.partner} is not its other half.", "Each names the other."
            )
        elif other.form != _OTHER_HALF[native.form]:
            yield seen.of(
                native,
                "form",
                f"its other half has form {other.form}.",
                f"It needs {_OTHER_HALF[native.form]}.",
            )


CHECKS: tuple[Callable[[Looked], Iterator[Fault]], ...] = (_known_ids, _can_be_met, _cycles, _pairs)
