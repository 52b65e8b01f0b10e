"""What a source gives: a set without its reading, and how it was got."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from asleft.models import Decoded, Model
from asleft.record import Fault, ParameterSet


@dataclass(frozen=True, slots=True)
class Taken:
    """``set`` in neutral terms, ``how`` it was got, ``warnings`` to show, ``as_shown`` whole menus."""

    set: ParameterSet
    how: str
    warnings: tuple[Fault, ...] = ()
    as_shown: tuple[str, ...] = ()
    layout: tuple[str, str] = ("", "")

    @property
    def share(self) -> tuple[int, int]:
        """Keys read, and keys there are to read."""
        return len(self.set.values), len(self.set.values) + len(self.set.not_read)


def from_decoded(model: Model, decoded: Decoded, how: str, notes: tuple[Fault, ...] = ()) -> Taken:
    """A decoded native reading as a set of its model."""
    firmware = decoded.values.get("drive.firmware_version")
    parameters = ParameterSet(
        model=model.name,
        model_version=model.version,
        firmware=firmware if isinstance(firmware, str) else "",
        values=decoded.values,
        not_read=decoded.not_read,
        native=decoded.native,
    )
    return Taken(parameters, how, (*notes, *decoded.warnings))


def by_id(rows: Mapping[str, str], model: Model) -> tuple[dict[str, str], list[Fault]]:
    """Native values as displayed, and a fault for each that could not be understood."""
    from asleft.models import as_displayed

    displayed: dict[str, str] = {}
    faults: list[Fault] = []
    for native_id, text in rows.items():
        native = model.natives.get(native_id)
        try:
            displayed[native_id] = text if native is None else as_displayed(native, text)
        except ValueError as problem:
            faults.append(Fault(str(problem), "Check the value at the drive.", native_id))
    return displayed, faults
