"""Everything one drive can come to by settled changes."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator

from asleft.behaviour.drive import Drive
from asleft.behaviour.events import Alphabet, Wanted, alphabet, lasting, vector_after
from asleft.behaviour.inputs import AI2, Event, put
from asleft.behaviour.narrate import is_start
from asleft.behaviour.search import Budget
from asleft.behaviour.state import Bench, Outcome, outcome_of
from asleft.behaviour.table import HALTS, Table, happen
from asleft.behaviour.words import event_words, outcome_words, sentence

Node = tuple[tuple[int, ...], int]


Edge = tuple[int, Node, str]
"""Event number, node after it, how it came about (a word of HALTS)."""


class Reach:
    """Everything one drive can come to by settled changes, breadth first, with ways back to the start."""

    def __init__(self, drive: Drive, wanted: Wanted | None = None, budget: Budget | None = None) -> None:
        self.drive = drive
        self.letters: Alphabet = alphabet((drive,), wanted)
        self.events = [lasting(self.letters, e) for e in self.letters.events]
        self.table = Table(drive.config, self.letters.levels, self.events)
        start = self.letters.start, self.table.first(self.letters.start)
        self.parents: dict[Node, tuple[Node, int] | None] = {start: None}
        self._edges: dict[Node, tuple[Edge, ...]] = {}
        self._possible: dict[tuple[int, ...], tuple[tuple[int, tuple[int, ...]], ...]] = {}
        self.commands = [is_start(event, (drive.config,)) for event in self.events]
        self.complete = self._walk(deque([start]), (budget or Budget()).states)

    def _walk(self, queue: deque[Node], most: int) -> bool:
        while queue:
            node = queue.popleft()
            for event, after, _ in self.edges(node):
                if after not in self.parents:
                    self.parents[after] = (node, event)
                    queue.append(after)
            if len(self.parents) > most:
                return False
        return True

    def edges(self, node: Node) -> tuple[Edge, ...]:
        """What every event makes of a node."""
        known = self._edges.get(node)
        if known is None:
            known = self._edges[node] = tuple(self._work_out(node))
        return known

    def _work_out(self, node: Node) -> Iterator[Edge]:
        vector, state = node
        for number, after in self._moves(vector):
            result = self.table.after(state, number, after)
            yield number, (after, result >> 3), HALTS[result & 7]

    def _moves(self, vector: tuple[int, ...]) -> tuple[tuple[int, tuple[int, ...]], ...]:
        """The events possible at a vector of inputs, each with the vector after it."""
        known = self._possible.get(vector)
        if known is None:
            tried = ((n, vector_after(vector, what)) for n, what in enumerate(self.letters.events))
            known = self._possible[vector] = tuple((n, after) for n, after in tried if after is not None)
        return known

    def outcome(self, node: Node) -> Outcome:
        """What is seen at a node."""
        return self.table.outcome(node[1])

    def way(self, node: Node) -> list[int]:
        """The events from the start to a node."""
        events: list[int] = []
        back = self.parents[node]
        while back is not None:
            events.insert(0, back[1])
            back = self.parents[back[0]]
        return events

    def then(self, node: Node, events: Iterable[Event]) -> tuple[Outcome, str]:
        """What is seen after events that need not be of the alphabet, each settled, and how it came about."""
        x = [self.letters.levels[i][n] for i, n in enumerate(node[0])]
        bench = Bench(self.drive.config, self.table.state(node[1]), x)
        how = ""
        for event in events:
            bench.s.halt = ""
            how = happen(bench, put(x, event))
        return outcome_of(self.drive.config, bench.s), how

    def told(self, events: Iterable[int], end: Outcome) -> tuple[str, ...]:
        """A way in sentences, and what is seen at its end."""
        lines = [sentence(event_words(self.events[e], self.drive.config)) for e in events]
        return (*lines, sentence(f"The drive {outcome_words(end)}"))


def breaks_wire(event: Event) -> bool:
    """Whether an event is what a broken wire does: a contact opens, a signal falls to nothing."""
    return (
        event.kind == "set"
        and event.index in range(AI2 + 1)
        and event.value == 0
        and event.old != event.value
    )
