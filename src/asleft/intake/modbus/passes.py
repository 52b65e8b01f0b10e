"""Reading many spans: splitting where a unit refuses, stopping where it no longer answers."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TypeAlias

from asleft.intake.modbus.line import (
    DEVICE_FAILURE,
    ILLEGAL_ADDRESS,
    ILLEGAL_FUNCTION,
    ILLEGAL_VALUE,
    Exceptional,
    Line,
    Silent,
)
from asleft.intake.modbus.plan import Block, Span, plan

Watch: TypeAlias = Callable[[int, int], None]
"""Told of progress: spans done, spans in all."""
_PATIENCE = 24
"""Exceptions in a row, with nothing read before them, after which a unit is not asked further."""


@dataclass
class Pass:
    """What one pass over a unit gave. ``words`` by span, ``reasons`` by span for what was not read,
    ``stopped`` says why the unit was not asked further, ``requests`` how many were sent."""

    words: dict[Span, tuple[int, ...]] = field(default_factory=dict)
    reasons: dict[Span, str] = field(default_factory=dict)
    stopped: str = ""
    requests: int = 0
    bridged: bool = True


def run_pass(line: Line, spans: Iterable[Span], watch: Watch, bridged: bool = True) -> Pass:
    """Read every span once. Nothing is raised: what could not be read has its reason.

    A refused request (exception 02, 03 or 04) is split: first at the gaps of the list, and from then on no
    gap is read along, then by halves. ``bridged`` is what an earlier pass learnt about gaps.
    """
    wanted = sorted(set(spans))
    got = Pass(bridged=bridged)
    waiting = deque(plan(wanted, bridged))
    while waiting and not got.stopped:
        block = waiting.popleft()
        try:
            got.requests += 1
            _keep(got, block, line.read(block.function, block.address, block.count))
        except Exceptional as exceptional:
            waiting = _refused(got, block, waiting, exceptional)
        except Silent as silent:
            got.stopped = str(silent)
        watch(len(got.words) + len(got.reasons), len(wanted))
    return got


def _keep(got: Pass, block: Block, registers: tuple[int, ...]) -> None:
    for span in block.spans:
        start = span.address - block.address
        got.words[span] = registers[start : start + span.words]


def _refused(got: Pass, block: Block, waiting: deque[Block], exceptional: Exceptional) -> deque[Block]:
    """What is still to ask for after an exception."""
    if exceptional.code in (ILLEGAL_ADDRESS, ILLEGAL_VALUE, DEVICE_FAILURE):
        if block.has_gaps:
            got.bridged = False
            return deque(plan((span for each in (block, *waiting) for span in each.spans), bridged=False))
        if len(block.spans) > 1 and not _hopeless(got):
            return deque([*block.halves, *waiting])
    given_up = [block]
    if exceptional.code == ILLEGAL_FUNCTION:
        given_up += [each for each in waiting if each.function == block.function]
        waiting = deque(each for each in waiting if each.function != block.function)
    for each in given_up:
        got.reasons |= dict.fromkeys(each.spans, str(exceptional))
    if _hopeless(got):
        got.stopped = str(exceptional)
    return waiting


def _hopeless(got: Pass) -> bool:
    return not got.words and got.requests >= _PATIENCE
