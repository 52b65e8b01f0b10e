"""What is said once, at the top of the list."""

from __future__ import annotations

from asleft.compare import Side
from asleft.replace.definitions import covers
from asleft.replace.job import job


def cautions(wanted: Side, unit: Side) -> tuple[str, ...]:
    """Those of every job, then those of this record and unit."""
    return (*job().cautions, *_own_cautions(wanted, unit))


def _own_cautions(wanted: Side, unit: Side) -> list[str]:
    found = [text for side in (wanted, unit) if (text := _beyond_the_list(side))]
    if wanted.set.model == unit.set.model and wanted.set.firmware != unit.set.firmware:
        found.append(
            f"The record was read with firmware {wanted.set.firmware or 'not known'}, the unit has "
            f"{unit.set.firmware or 'not known'}: the same settings can act otherwise; compare the behaviour."
        )
    if wanted.values.get("limits.output_phase_order") == "swapped":
        found.append(
            "The record swaps the output phases: rotation is right only with the cable as it was; prove it."
        )
    return found


def _beyond_the_list(side: Side) -> str:
    """A firmware the model file does not cover makes every line of it doubtful."""
    model, firmware = side.model, side.set.firmware
    if model is None or not firmware or covers(model, firmware):
        return ""
    return (
        f"The list of {model.title} is true for firmware {model.firmware[0]} to {model.firmware[1]}, and "
        f"this reading has {firmware}: entries can mean something else. Get the list of that firmware."
    )
