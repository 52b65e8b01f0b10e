"""Who can do what at a drive, what a broken wire does, what each loss does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.jobs.behaving import switches
from asleft.jobs.naming import Inputs, Named, resolve
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.behaviour import Coverage, Tables


@dataclass(frozen=True, slots=True)
class Tabled:
    """The answer to ``tables``."""

    named: Named
    tables: Tables
    coverage: Coverage


def tables(name: str, inputs: Inputs) -> Tabled:
    """The three tables of a set. Raises ``Refused`` where it is not known how the drive behaves."""
    from asleft.behaviour import Drive, SettingFault, coverage_of, tables_of
    from asleft.models.behaviour_options import UnknownOption

    named = resolve(name, inputs)
    side = named.side
    if side.model is None:
        raise Refused(
            Fault(
                f"no drive model is at hand for {named.words}, so what the drive does is not known.",
                "Put the model's file in models/, or say which it is: asleft asset set TAG model=NAME",
            )
        )
    try:
        drive = Drive.of(side.values, side.model.behaviour, side.set.not_read, switches(named.asset))
        return Tabled(named, tables_of(drive), coverage_of(drive))
    except (SettingFault, UnknownOption) as problem:
        raise Refused(Fault(f"{problem}.", f"See the set: asleft show {name}")) from None
