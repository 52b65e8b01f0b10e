"""The search over two drives at once: the same events reach both, and what is seen is compared.

Search one changes inputs only when both drives are settled, and runs to a fixed point: it is complete for
sequences of any length over the alphabet. Search two allows one change while something is still pending:
at once, half-way to the earlier next inner event of either drive, and just after that event.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from asleft.behaviour.differs import APART, APART_IN_MOTION, NONE, classify
from asleft.behaviour.events import Alphabet, vector_after
from asleft.behaviour.table import HALTS, Table

MOMENTS: Final = ("", "at once", "half-way", "just after")
AFTER: Final = Fraction(1, 1000)
"""How long after an inner event "just after" is, in s."""


@dataclass(frozen=True, slots=True)
class Budget:
    """Where a search gives up: product states of search one, changes tried in search two.

    ``enough``: states after which a search that has found something ends, for that to be explained first.
    """

    states: int = 400_000
    unsettled: int = 2_500
    enough: int = 8_000


@dataclass(frozen=True, slots=True)
class Move:
    """One event of a witness: its number in the alphabet, and the moment ("" when both are settled).

    ``wait``: seconds from the event before to this one, for a move at an unsettled moment.
    """

    event: int
    moment: str = ""
    wait: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Found:
    """A way to a difference: its class, its moves, both drives' states before and after the last one."""

    kind: str
    moves: tuple[Move, ...]
    before: tuple[int, int]
    after: tuple[int, int]
    halts: tuple[str, str]


@dataclass(frozen=True, slots=True)
class SearchReport:
    """How far a search went. ``complete``: a fixed point was reached; else ``depth`` is where it ended."""

    complete: bool
    depth: int
    states: int
    transitions: int
    unsettled: int = 0
    unsettled_complete: bool = True
    k: int = 0


@dataclass(slots=True)
class Walk:
    """The product of two drives, walked breadth first; node = (vector, state of a, state of b)."""

    a: Table
    b: Table
    alphabet: Alphabet
    step_hz: Fraction
    vectors: list[tuple[int, ...]] = field(default_factory=list)
    numbers: dict[tuple[int, ...], int] = field(default_factory=dict)
    moves: dict[int, tuple[tuple[int, int, tuple[int, ...]], ...]] = field(default_factory=dict)
    parents: dict[tuple[int, int, int], tuple[tuple[int, int, int], tuple[Move, ...]]] = field(
        default_factory=dict
    )
    found: dict[str, Found] = field(default_factory=dict)
    compared: dict[tuple[int, int], str] = field(default_factory=dict)
    order: list[tuple[int, int, int]] = field(default_factory=list)
    waiting: deque[tuple[tuple[int, int, int], int]] = field(default_factory=deque)
    transitions: int = 0
    depth: int = 0
    complete: bool = True

    def vector_number(self, vector: tuple[int, ...]) -> int:
        number = self.numbers.get(vector)
        if number is None:
            number = self.numbers[vector] = len(self.vectors)
            self.vectors.append(vector)
        return number

    def moves_of(self, number: int) -> tuple[tuple[int, int, tuple[int, ...]], ...]:
        """The events possible at a vector: (event, vector number after, vector after)."""
        known = self.moves.get(number)
        if known is None:
            known = self.moves[number] = tuple(self._moves(self.vectors[number]))
        return known

    def _moves(self, vector: tuple[int, ...]) -> Iterator[tuple[int, int, tuple[int, ...]]]:
        for event, what in enumerate(self.alphabet.events):
            after = vector_after(vector, what)
            if after is not None:
                yield event, self.vector_number(after), after

    def after(self, a: int, b: int, event: int, vector: tuple[int, ...]) -> tuple[int, int]:
        """What both drives come to by an event, settled."""
        one = self.a.known_after(a, event, vector)
        if one >= 0 and a == b and (self.b is self.a or self.b.like is self.a):
            return one, one
        return (one if one >= 0 else ~one), self.b.after(b, event, vector)

    def start(self) -> tuple[int, int, int]:
        """The node where both drives have just been powered up."""
        vector = self.alphabet.start
        return self.vector_number(vector), self.a.first(vector), self.b.first(vector)

    def differs(self, a: int, b: int) -> str:
        """The class of the difference between two transition results, "" for none."""
        known = self.compared.get((a, b))
        if known is None:
            known = classify(
                self.a.outcome(a >> 3), self.b.outcome(b >> 3), HALTS[a & 7], HALTS[b & 7], self.step_hz
            )
            self.compared[(a, b)] = known
        return known

    def path(self, node: tuple[int, int, int]) -> tuple[Move, ...]:
        """The moves from the start to a node."""
        moves: list[Move] = []
        while node in self.parents:
            node, last = self.parents[node]
            moves[:0] = last
        return tuple(moves)


Stop = Callable[[Walk], bool]


def never(walk: Walk) -> bool:
    """Goes on to the fixed point."""
    return False


def first_difference(walk: Walk) -> bool:
    """Ends at the first difference of any class."""
    return bool(walk.found)


def grave_difference(walk: Walk) -> bool:
    """Ends at the first difference in which one motor runs and the other does not."""
    return any(kind in APART_IN_MOTION for kind in walk.found)


def settled_search(walk: Walk, budget: Budget, stop: Stop = never) -> None:
    """Search one. Fills ``walk.found`` with the shortest way to each class, ``walk.order`` with the nodes.

    A walk that ended at its budget goes on where it stood when it is searched again with a larger one; one
    that ``stop`` ended does not.
    """
    if not walk.order:
        start = walk.start()
        _note(walk, start, None, Move(-1), (start[1] << 3, start[2] << 3))
        walk.order.append(start)
        walk.waiting.append((start, 0))
    order, queue, seen = walk.order, walk.waiting, set(walk.order)
    lone = [(Move(event),) for event in range(len(walk.alphabet.events))]
    same = walk.a is walk.b
    walk.complete = True
    while queue:
        node, walk.depth = queue.popleft()
        if not same and walk.differs(node[1] << 3, node[2] << 3) in APART:
            continue
        for event, number, vector in walk.moves_of(node[0]):
            walk.transitions += 1
            a, b = walk.after(node[1], node[2], event, vector)
            if walk.compared.get((a, b)) != NONE and walk.differs(a, b) != NONE:
                _note(walk, node, node, Move(event), (a, b))
                if stop(walk):
                    walk.complete = False
                    return
            after = (number, a >> 3, b >> 3)
            if after not in seen:
                seen.add(after)
                walk.parents[after] = (node, lone[event])
                order.append(after)
                queue.append((after, walk.depth + 1))
        if len(seen) > (min(budget.states, budget.enough) if walk.found else budget.states):
            walk.complete = False
            return


def _note(
    walk: Walk,
    node: tuple[int, int, int],
    parent: tuple[int, int, int] | None,
    move: Move,
    result: tuple[int, int],
) -> None:
    kind = walk.differs(*result)
    if kind == NONE or kind in walk.found:
        return
    moves = () if parent is None else (*walk.path(parent), move)
    before = node[1], node[2]
    walk.found[kind] = Found(
        kind, moves, before, (result[0] >> 3, result[1] >> 3), (HALTS[result[0] & 7], HALTS[result[1] & 7])
    )


def unsettled_search(walk: Walk, budget: Budget, stop: Stop = never) -> tuple[int, bool]:
    """Search two, from every node of search one in its order; returns changes tried, and whether all were.

    A pair of states that only an unsettled change reaches is searched on by settled changes.
    """
    tried = 0
    seen = set(walk.order)
    fresh: deque[tuple[int, int, int]] = deque()
    for node in walk.order:
        if walk.differs(node[1] << 3, node[2] << 3) in APART:
            continue
        for first, number, vector in walk.moves_of(node[0]):
            for moment, wait, a, b in _moments(walk, node, first, vector):
                for second, after, then in walk.moves_of(number):
                    tried += 1
                    ra, rb = walk.after(a, b, second, then)
                    way = (Move(first), Move(second, moment, wait))
                    _reached(walk, node, (after, ra, rb), way, seen, fresh)
                    if stop(walk):
                        return tried, False
                if tried > budget.unsettled:
                    return tried, False
    return tried, _search_on(walk, seen, fresh, budget)


def _moments(
    walk: Walk, node: tuple[int, int, int], event: int, vector: tuple[int, ...]
) -> Iterator[tuple[str, Fraction, int, int]]:
    a, b = walk.a.at_once(node[1], event, vector), walk.b.at_once(node[2], event, vector)
    waits = [w for w in (walk.a.wait(a, vector), walk.b.wait(b, vector)) if w is not None]
    if waits or walk.a.outcome(a).coasting or walk.b.outcome(b).coasting:
        yield "at once", Fraction(0), a, b
    if not waits:
        return
    for moment, wait in (("half-way", min(waits) / 2), ("just after", min(waits) + AFTER)):
        yield moment, wait, walk.a.later(a, wait, vector), walk.b.later(b, wait, vector)


def _reached(
    walk: Walk,
    node: tuple[int, int, int],
    result: tuple[int, int, int],
    way: tuple[Move, ...],
    seen: set[tuple[int, int, int]],
    fresh: deque[tuple[int, int, int]],
) -> None:
    number, a, b = result
    kind = walk.differs(a, b)
    if kind != NONE and kind not in walk.found:
        walk.found[kind] = Found(
            kind,
            (*walk.path(node), *way),
            (node[1], node[2]),
            (a >> 3, b >> 3),
            (HALTS[a & 7], HALTS[b & 7]),
        )
    after = (number, a >> 3, b >> 3)
    if after not in seen:
        seen.add(after)
        walk.parents[after] = (node, way)
        fresh.append(after)


def _search_on(
    walk: Walk, seen: set[tuple[int, int, int]], fresh: deque[tuple[int, int, int]], budget: Budget
) -> bool:
    while fresh:
        node = fresh.popleft()
        if walk.differs(node[1] << 3, node[2] << 3) in APART:
            continue
        for event, number, vector in walk.moves_of(node[0]):
            a, b = walk.after(node[1], node[2], event, vector)
            _reached(walk, node, (number, a, b), (Move(event),), seen, fresh)
        if len(seen) > budget.states:
            return False
    return True


def report_of(walk: Walk, k: int = 0, unsettled: tuple[int, bool] = (0, True)) -> SearchReport:
    """What a walk covered."""
    return SearchReport(
        walk.complete,
        walk.depth,
        len(walk.order),
        walk.transitions,
        unsettled[0],
        unsettled[1] and walk.complete,
        k,
    )
