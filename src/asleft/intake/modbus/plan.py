"""Which registers to ask for in one request."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from asleft.models import Native, Register

MOST = 125
"""Registers in one read. Modbus Application Protocol V1.1b3, function 03 and 04."""
HOLDING, INPUT = 3, 4


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """Registers that belong to one value: ``address`` counts from 0, as on the wire."""

    function: int
    address: int
    words: int

    @property
    def end(self) -> int:
        """The first address after it."""
        return self.address + self.words


@dataclass(frozen=True, slots=True)
class Block:
    """One request, and the spans it answers."""

    spans: tuple[Span, ...]

    @property
    def function(self) -> int:
        """03, or 04 for input registers."""
        return self.spans[0].function

    @property
    def address(self) -> int:
        """The first address asked for."""
        return self.spans[0].address

    @property
    def count(self) -> int:
        """How many registers are asked for."""
        return max(span.end for span in self.spans) - self.address

    @property
    def has_gaps(self) -> bool:
        """Whether registers are asked for that the list does not name."""
        return len({at for span in self.spans for at in range(span.address, span.end)}) < self.count

    @property
    def halves(self) -> tuple[Block, Block]:
        """The same spans in two requests."""
        middle = len(self.spans) // 2
        return Block(self.spans[:middle]), Block(self.spans[middle:])


def span_of(native: Native, base: int) -> Span | None:
    """Where a parameter lies on the wire; None where the model gives no register.

    ``base`` is the number of the first register in the model's list. The register's ``table`` is
    ``holding`` (function 03) or ``input`` (04).
    """
    register = native.register
    if register is None:
        return None
    return Span(function_of(register), register.number - base, register.words)


def function_of(register: Register) -> int:
    """The function that reads a register: 03 unless the model says it is an input register."""
    return INPUT if register.table == "input" else HOLDING


def plan(spans: Iterable[Span], bridged: bool = True) -> list[Block]:
    """The fewest requests that hold every span whole.

    With ``bridged``, registers between the spans are read along; without, a request ends where the list
    has a gap. Taking as much as fits from the lowest address on is the fewest there can be, since each
    request is one interval of at most 125.
    """
    blocks: list[list[Span]] = []
    end = 0
    for span in sorted(set(spans)):
        last = blocks[-1] if blocks else None
        fits = last is not None and (
            span.function == last[0].function
            and max(end, span.end) - last[0].address <= MOST
            and (bridged or span.address <= end)
        )
        if last is not None and fits:
            last.append(span)
            end = max(end, span.end)
        else:
            blocks.append([span])
            end = span.end
    return [Block(tuple(block)) for block in blocks]
