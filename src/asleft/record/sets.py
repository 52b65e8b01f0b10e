"""A parameter set, and the reading it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Literal

from asleft.record.values import Value

READING_KINDS = ("as_found", "as_left", "planned")
OCCASIONS = ("commissioning", "service", "fault-call", "replacement", "change")
ReadingKind = Literal["as_found", "as_left", "planned"]


@dataclass(frozen=True, slots=True)
class Reading:
    """How a set came to be known.

    ``at`` is aware. ``how`` is ``keypad``, ``file``, ``modbus`` or ``dcf``. ``after`` is the blob id of the
    as-left an as-found is judged against. ``until`` ends a temporary change of a planned set. ``as_shown``
    lists menus confirmed as a whole rather than entry by entry.
    """

    kind: ReadingKind
    at: datetime
    by: str
    how: str
    occasion: str
    reason: str = ""
    work_order: str = ""
    after: str = ""
    until: str = ""
    as_shown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ParameterSet:
    """What stands in a drive, in the trade's neutral terms.

    A key is in ``values``, or in ``not_read`` with its reason, or in neither because the model lacks it.
    ``native`` keeps what has no neutral meaning, by native id, as the drive shows it. ``model_version`` is
    the blob id of the model file the set was read with.
    """

    asset: str = ""
    model: str = ""
    model_version: str = ""
    firmware: str = ""
    reading: Reading | None = None
    values: Mapping[str, Value] = field(default_factory=dict)
    not_read: Mapping[str, str] = field(default_factory=dict)
    native: Mapping[str, str] = field(default_factory=dict)

    def with_values(self, changed: Mapping[str, Value]) -> ParameterSet:
        """The set with some values in place of others; what was not read and is now given, is read."""
        return replace(
            self,
            values={**self.values, **changed},
            not_read={key: why for key, why in self.not_read.items() if key not in changed},
        )
