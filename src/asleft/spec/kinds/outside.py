"""Speeds outside the skip bands: ``key`` or ``keys``; ``_n`` stands for every number there is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from asleft.spec.claims import IF_ABSENT, read_keys
from asleft.spec.operands import Absent, Known, NotKnown
from asleft.spec.rules import IfAbsent, Outcome, sentence
from asleft.spec.subject import View
from asleft.spec.table import Table, numbers_of

FIELDS = ("key", "keys", "if_absent")
_LOW, _HIGH = "skip_bands.band_n.low_hz", "skip_bands.band_n.high_hz"


@dataclass(frozen=True, slots=True)
class Outside:
    """Each speed must lie on an edge of a band or outside it. A band whose edges are alike is off."""

    keys: tuple[str, ...]
    labels: tuple[str, ...]
    if_absent: IfAbsent

    def judge(self, view: View) -> Iterator[Outcome]:
        """One outcome a speed; none of the drive's at all is answered by ``if_absent``."""
        bands, unread = _bands(view)
        speeds = [view.look(key) for pattern in self.keys for key in _each(pattern)]
        known = [found for found in speeds if isinstance(found, Known)]
        for found in known:
            yield self._of(found, bands, unread)
        for other in speeds:
            if isinstance(other, NotKnown):
                words, name = sentence(other.reason), other.operand.name
                yield Outcome("cannot_tell", (name,), required=self._required(), words=words)
        absent = [found for found in speeds if isinstance(found, Absent)]
        if absent and len(absent) == len(speeds):
            yield Outcome(self.if_absent, required=self._required(), words=sentence(absent[0].reason))

    def _of(self, found: Known, bands: list[tuple[Known, Known]], unread: str) -> Outcome:
        key, values = found.operand.name, {found.operand.name: found.value}
        for low, high in bands:
            if _inside(found.value, low.value, high.value):
                edges = f"{low.words} to {high.words}"
                words = sentence(f"{found.operand.label} is {found.words}, inside the skip band {edges}")
                do = f"set the {found.operand.label} to {low.words} or less, or to {high.words} or more"
                return Outcome("breached", (key,), values, found.words, f"outside {edges}", words, do=do)
        if unread:
            return Outcome("cannot_tell", (key,), values, found.words, self._required(), sentence(unread))
        words = sentence(f"{found.operand.label}: {found.words}")
        return Outcome("met", (key,), values, found.words, self._required(), words)

    def _required(self) -> str:
        return "outside every skip band"

    def aloud(self) -> str:
        """``the preset 1 must be outside every skip band``."""
        return f"the {' and the '.join(self.labels)} must be {self._required()}"

    def names(self) -> tuple[str, ...]:
        """The speeds and the edges of the bands."""
        return (*self.keys, _LOW, _HIGH)


def _each(pattern: str) -> tuple[str, ...]:
    return tuple(key for _, key in numbers_of(pattern)) or (pattern,)


def _bands(view: View) -> tuple[list[tuple[Known, Known]], str]:
    bands, unread = [], ""
    for (_, low_key), (_, high_key) in zip(numbers_of(_LOW), numbers_of(_HIGH), strict=True):
        low, high = view.look(low_key), view.look(high_key)
        if isinstance(low, Known) and isinstance(high, Known):
            bands.append((low, high))
        for found in (low, high):
            if isinstance(found, NotKnown):
                unread = unread or found.reason
    return bands, unread


def _inside(speed: object, low: object, high: object) -> bool:
    numbers = [value for value in (low, speed, high) if isinstance(value, Decimal)]
    return len(numbers) == 3 and numbers[0] < numbers[1] < numbers[2]


def read(table: Table) -> Outside | None:
    """Speeds in Hz."""
    pairs = read_keys(table)
    for name, found in pairs:
        if found.unit != "Hz":
            table.fault("key" if "key" in table else "keys", f"{name} is no speed in Hz.")
            return None
    if not pairs:
        return None
    absent: IfAbsent = table.choice("if_absent", IF_ABSENT, "not_applicable")  # type: ignore[assignment]
    return Outside(tuple(name for name, _ in pairs), tuple(found.label for _, found in pairs), absent)
