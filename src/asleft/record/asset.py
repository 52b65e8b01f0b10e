"""A slot: the place a drive stands in, its motor, its machine and what it is linked to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import NamedTuple

from asleft.record.values import Value


class Feed(NamedTuple):
    """This asset delivers into ``into``, ``tonnes_per_hour`` at its normal working point."""

    into: str
    tonnes_per_hour: Decimal | None = None


class Permit(NamedTuple):
    """Relay ``relay`` of this asset closes input ``input`` of asset ``to``, or keeps it running."""

    to: str
    relay: int
    input: str


class Selector(NamedTuple):
    """A switch whose contacts move together: each position with the inputs it closes, as ``di_3``."""

    name: str
    positions: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Asset:
    """One slot of the site.

    ``plate`` and ``machine`` hold fields of ``vocabulary/data/slot.toml`` by their short names, ``values``
    the per-slot values of neutral keys (addresses, record items). ``alike`` names the group of drives that
    should be alike.
    """

    tag: str
    designation: str = ""
    application: str = ""
    model: str = ""
    specs: tuple[str, ...] = ()
    plate: Mapping[str, Value] = field(default_factory=dict)
    machine: Mapping[str, Value] = field(default_factory=dict)
    feeds: tuple[Feed, ...] = ()
    permits: tuple[Permit, ...] = ()
    selectors: tuple[Selector, ...] = ()
    values: Mapping[str, Value] = field(default_factory=dict)
    alike: str = ""
    retired: str = ""
