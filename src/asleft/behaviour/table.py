"""A drive's transitions, worked out once each: a table that grows where the search walks.

A transition depends only on the inputs its evaluation reads. They are recorded in the order of reading,
and kept as a small tree: the next walk reads the same inputs and finds the answer without simulating.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Any, Final

from asleft.behaviour.clock import advance, next_time, settle
from asleft.behaviour.config import DriveConfig
from asleft.behaviour.inputs import Event
from asleft.behaviour.scan import apply, first_state
from asleft.behaviour.state import Bench, Outcome, State, outcome_of, output_on

HALTS: Final = (
    "",
    "ramp",
    "coast",
    "quick ramp",
    "dc",
    "onto a turning shaft",
    "restarts",
    "starts in between",
)
Levels = Sequence[Sequence[Any]]
"""The values each input takes, by input index; a vector holds positions in them."""


class _Reader:
    """Inputs that remember in which order they were read."""

    __slots__ = ("levels", "order", "vector")

    def __init__(self, levels: Levels, vector: tuple[int, ...]) -> None:
        self.levels, self.vector = levels, vector
        self.order: list[int] = []

    def __getitem__(self, index: int, /) -> Any:
        if index not in self.order:
            self.order.append(index)
        return self.levels[index][self.vector[index]]


def happen(bench: Bench, event: Event) -> str:
    """Lets an event happen and everything settle, the shaft too; says how in a word of HALTS.

    "restarts": the output went off and came on again by itself; onto a turning shaft is told before that.
    "starts in between": it did so and is off again.
    """
    s = bench.s
    seen = [output_on(s)]
    apply(bench, event)
    seen.append(output_on(s))
    settle(bench, lambda d, gone: seen.append(output_on(s)))
    restarted = len(seen) > 2 and _came_on_again(seen)
    how = s.halt
    if output_on(s):
        how = "onto a turning shaft" if s.risk else "restarts" if restarted else ""
    elif restarted:
        how = "starts in between"
    s.coasting = s.risk = False
    return how


def _came_on_again(seen: list[bool]) -> bool:
    """Whether the output went off and came on again."""
    changes = [now for before, now in pairwise(seen) if before != now]
    return changes[0 if seen[0] else 1 :][:2] == [False, True]


class Table:
    """One drive's settled states, numbered, and what each event makes of them.

    In a settled state a shaft that coasted has come to rest too; how it stopped is told beside the state.
    """

    def __init__(self, config: DriveConfig, levels: Levels, events: Sequence[Event]) -> None:
        self.config, self.levels, self.events = config, levels, events
        self.states: list[tuple[Any, ...]] = []
        self.outcomes: list[Outcome] = []
        self._numbers: dict[tuple[Any, ...], int] = {}
        self._known: dict[tuple[int, int], Any] = {}
        self._timed: dict[tuple[int, Fraction], Any] = {}
        self._waits: dict[int, Fraction | None] = {}
        self.simulated = 0

    def number(self, state: State) -> int:
        """The number of a state; the same number for states that behave alike."""
        self._forget(state)
        key = state.key()
        found = self._numbers.get(key)
        if found is None:
            found = self._numbers[key] = len(self.states)
            self.states.append(key)
            self.outcomes.append(outcome_of(self.config, state))
        return found

    def _forget(self, s: State) -> None:
        """Drops memory that nothing will ask for again, so that fewer states differ."""
        c = self.config
        if c.stop.catch != "after_fault_or_dip" and s.t_retry is None:
            s.tripped = False
        station, run, latch = s.saved
        again = c.power.start == "as_before"
        s.saved = (
            station if c.stations.at_power_up == "as_before" else 1,
            run if again else 0,
            latch if again and c.power.restores_latch else 0,
        )
        s.halt = ""

    def first(self, vector: tuple[int, ...]) -> int:
        """The drive just powered up with these inputs, settled."""
        reader = _Reader(self.levels, vector)
        bench = Bench(self.config, first_state(self.config, reader), reader)
        settle(bench)
        return self.number(bench.s)

    def after(self, state: int, event: int, vector: tuple[int, ...]) -> int:
        """State and event to the settled state after it, times 8, plus the kind of stop in HALTS."""
        key = (state, event)
        node = self._known.get(key)
        while type(node) is tuple:
            node = node[1].get(vector[node[0]])
        if node is None:
            node = self._work_out(self._known, key, vector, self._settled(state, event))
        return node

    def at_once(self, state: int, event: int, vector: tuple[int, ...]) -> int:
        """State and event to the unsettled state right after it."""
        key = (state, -1 - event)
        node = self._known.get(key)
        while type(node) is tuple:
            node = node[1].get(vector[node[0]])
        if node is None:

            def run(bench: Bench) -> int:
                apply(bench, self.events[event])
                return self.number(bench.s)

            node = self._work_out(self._known, key, vector, self._from(state, run))
        return node

    def later(self, state: int, seconds: Fraction, vector: tuple[int, ...]) -> int:
        """An unsettled state some seconds later."""
        key = (state, seconds)
        node = self._timed.get(key)
        while type(node) is tuple:
            node = node[1].get(vector[node[0]])
        if node is None:

            def run(bench: Bench) -> int:
                advance(bench, seconds)
                return self.number(bench.s)

            node = self._work_out(self._timed, key, vector, self._from(state, run))
        return node

    def wait(self, state: int, vector: tuple[int, ...]) -> Fraction | None:
        """Seconds to the next inner event of a state; None when settled."""
        key = state
        if key not in self._waits:
            bench = Bench(self.config, State(*self.states[state]), _Reader(self.levels, vector))
            self._waits[key] = next_time(bench)
        return self._waits[key]

    def _settled(self, state: int, event: int) -> Callable[[_Reader], int]:
        def run(bench: Bench) -> int:
            halt = HALTS.index(happen(bench, self.events[event]))
            return self.number(bench.s) * 8 + halt

        return self._from(state, run)

    def _from(self, state: int, run: Callable[[Bench], int]) -> Callable[[_Reader], int]:
        return lambda reader: run(Bench(self.config, State(*self.states[state]), reader))

    def _work_out(
        self, known: dict[Any, Any], key: Any, vector: tuple[int, ...], run: Callable[[_Reader], int]
    ) -> int:
        self.simulated += 1
        reader = _Reader(self.levels, vector)
        answer = run(reader)
        if not reader.order:
            known[key] = answer
            return answer
        place: dict[Any, Any] = known
        at: Any = key
        for index in reader.order:
            node = place.get(at)
            if node is None:
                node = place[at] = (index, {})
            place, at = node[1], vector[index]
        place[at] = answer
        return answer
