"""A drive's transitions, worked out once each: a table that grows where the search walks.

A transition depends only on the inputs its evaluation reads. They are recorded in the order of reading,
and kept as a small tree: the next walk reads the same inputs and finds the answer without simulating.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Any, Final

from asleft.behaviour.asked import Asked, apart, standing_in
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


class States:
    """What drives remember, each numbered once: its number is its place in ``keys``."""

    def __init__(self) -> None:
        self.keys: list[tuple[Any, ...]] = []
        self._numbers: dict[tuple[Any, ...], int] = {}

    def number(self, key: tuple[Any, ...]) -> int:
        found = self._numbers.get(key)
        if found is None:
            found = self._numbers[key] = len(self.keys)
            self.keys.append(key)
        return found


class Table:
    """One drive's settled states, numbered, and what each event makes of them.

    In a settled state a shaft that coasted has come to rest too; how it stopped is told beside the state.
    """

    def __init__(
        self,
        config: DriveConfig,
        levels: Levels,
        events: Sequence[Event],
        against: DriveConfig | None = None,
        like: Table | None = None,
    ) -> None:
        """``against``: what this drive is held against; ``like``: the table of a drive much like this one.

        With ``like`` both number their states together, and what is worked out there without asking for
        anything in which the drives differ holds here.
        """
        self.config, self.levels, self.events = config, levels, events
        self._asked = Asked()
        self._asking = config if against is None else standing_in(config, against, self._asked)
        self._noted = frozenset(() if against is None else apart(config, against))
        fits = like is not None and like._noted.issuperset(apart(like.config, config))
        self.like = like if fits else None
        self.states: States = States() if like is None else like.states
        self._outcomes: dict[int, Outcome] = {}
        self._known: dict[tuple[Any, ...], Any] = {}
        self._waits: dict[int, Fraction | None] = {}
        self.simulated = 0

    def number(self, state: State) -> int:
        """The number of a state; the same number for states that behave alike."""
        self._forget(state)
        return self.states.number(state.key())

    def state(self, number: int) -> State:
        """A state by its number, to go on from."""
        return State(*self.states.keys[number])

    def outcome(self, number: int) -> Outcome:
        """What is seen in a state."""
        found = self._outcomes.get(number)
        if found is None:
            found = self._outcomes[number] = outcome_of(self.config, self.state(number))
        return found

    def _forget(self, s: State) -> None:
        """Drops memory that nothing will ask for again, so that fewer states differ."""
        c = self._asking
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
        result = self.known_after(state, event, vector)
        return result if result >= 0 else ~result

    def known_after(self, state: int, event: int, vector: tuple[int, ...]) -> int:
        """As ``after``; the complement where it hangs on something in which the drives differ."""
        key = (state, event)
        node = self._known.get(key)
        while type(node) is tuple:
            node = node[1].get(vector[node[0]])
        if node is None:
            node = self._work_out(key, vector, lambda bench: happen(bench, self.events[event]))
        return node

    def at_once(self, state: int, event: int, vector: tuple[int, ...]) -> int:
        """State and event to the unsettled state right after it."""
        return self._unsettled((state, "at once", event), vector, lambda d: apply(d, self.events[event]))

    def later(self, state: int, seconds: Fraction, vector: tuple[int, ...]) -> int:
        """An unsettled state some seconds later."""
        return self._unsettled((state, "later", seconds), vector, lambda d: advance(d, seconds))

    def _unsettled(self, key: tuple[Any, ...], vector: tuple[int, ...], act: Callable[[Bench], None]) -> int:
        node = self._known.get(key)
        while type(node) is tuple:
            node = node[1].get(vector[node[0]])
        if node is None:
            node = self._work_out(key, vector, act)
        return (node if node >= 0 else ~node) >> 3

    def wait(self, state: int, vector: tuple[int, ...]) -> Fraction | None:
        """Seconds to the next inner event of a state; None when settled."""
        if state not in self._waits:
            bench = Bench(self.config, self.state(state), _Reader(self.levels, vector))
            self._waits[state] = next_time(bench)
        return self._waits[state]

    def _work_out(
        self, key: tuple[Any, ...], vector: tuple[int, ...], act: Callable[[Bench], str | None]
    ) -> int:
        """The result of an evaluation, kept; its complement where it asked for something that differs."""
        found = self._taken_over(key, vector)
        if found is None:
            self.simulated += 1
            self._asked.differing = False
            reader = _Reader(self.levels, vector)
            bench = Bench(self._asking, self.state(key[0]), reader)
            halt = HALTS.index(act(bench) or "")
            result = self.number(bench.s) * 8 + halt
            found = reader.order, ~result if self._asked.differing else result
        order, result = found
        place: dict[Any, Any] = self._known
        at: Any = key
        for index in order:
            node = place.get(at)
            if node is None:
                node = place[at] = (index, {})
            place, at = node[1], vector[index]
        place[at] = result
        return result

    def _taken_over(self, key: tuple[Any, ...], vector: tuple[int, ...]) -> tuple[list[int], int] | None:
        """What a drive much like this one made of it, and the inputs it read; None where that may differ."""
        if self.like is None:
            return None
        node = self.like._known.get(key)
        order: list[int] = []
        while type(node) is tuple:
            order.append(node[0])
            node = node[1].get(vector[node[0]])
        return None if node is None or node < 0 else (order, node)
