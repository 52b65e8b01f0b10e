"""Which entries make a difference: the smallest set that brings the new outcome back on replay."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from itertools import combinations
from math import comb
from typing import Final

from asleft.behaviour.clock import advance, settle
from asleft.behaviour.config import DriveConfig
from asleft.behaviour.differs import Seen, alike_in
from asleft.behaviour.drive import Drive
from asleft.behaviour.events import Alphabet, lasting
from asleft.behaviour.inputs import put
from asleft.behaviour.scan import apply, first_state
from asleft.behaviour.search import Move
from asleft.behaviour.state import Bench, Outcome, outcome_of
from asleft.behaviour.table import happen

OPTION: Final = "option "
LARGEST: Final = 3
MOST: Final = 130
"""Sets of up to LARGEST entries are all tried where they are no more than MOST; else what is not needed is
left out until nothing more can be."""


def differing(a: Drive, b: Drive) -> tuple[str, ...]:
    """Keys whose value differs, and behaviour options that do (as ``option NAME``); unread ones left out."""
    unread = a.not_read | b.not_read
    keys = [
        k
        for k in {**a.values, **b.values}
        if a.values.get(k) != b.values.get(k)
        and not (k in unread and (k not in a.values or k not in b.values))
    ]
    names = [n for n, choice in a.settings.options.items() if choice != b.settings.options[n]]
    return (*sorted(keys), *(OPTION + n for n in sorted(names)))


def with_entries(a: Drive, b: Drive, keys: Iterable[str]) -> Drive:
    """Drive a with these entries as in drive b."""
    values, options = dict(a.values), dict(a.options)
    for key in keys:
        if key.startswith(OPTION):
            name = key.removeprefix(OPTION)
            options[name] = b.settings.options[name]
        elif key in b.values:
            values[key] = b.values[key]
        else:
            values.pop(key, None)
    return a.with_values(values, options)


@dataclass(frozen=True, slots=True)
class Replayed:
    """A witness carried out: outcome and kind of stop after each move."""

    outcomes: tuple[Outcome, ...]
    halts: tuple[str, ...]


def replay(config: DriveConfig, alphabet: Alphabet, moves: Sequence[Move]) -> Replayed:
    """Carries a witness out on a drive, event by event, each at its moment."""
    x = [alphabet.levels[i][n] for i, n in enumerate(alphabet.start)]
    bench = Bench(config, first_state(config, x), x)
    settle(bench)
    bench.s.coasting, bench.s.halt = False, ""
    outcomes, halts = [outcome_of(config, bench.s)], [""]
    for number, move in enumerate(moves):
        event = lasting(alphabet, alphabet.events[move.event])
        if move.moment:
            advance(bench, move.wait)
        event = put(x, event)
        bench.s.halt = ""
        if number + 1 < len(moves) and moves[number + 1].moment:
            apply(bench, event)
            halts.append(bench.s.halt)
        else:
            halts.append(happen(bench, event))
        outcomes.append(outcome_of(config, bench.s))
    return Replayed(tuple(outcomes), tuple(halts))


@dataclass(frozen=True, slots=True)
class _Case:
    """A witness with its class, and how both drives end."""

    moves: tuple[Move, ...]
    kind: str
    old: Seen
    new: Seen


@dataclass
class Suspects:
    """The entries in which two drives differ, and which of them explain a witness."""

    a: Drive
    b: Drive
    alphabet: Alphabet
    step_hz: Fraction
    allowed: Collection[str] | None = None
    known: dict[tuple[bool, tuple[str, ...]], DriveConfig] = field(default_factory=dict)

    @cached_property
    def keys(self) -> tuple[str, ...]:
        """The differing entries that change the drive at all, alone or undone alone."""
        used = self.a.settings.used | self.b.settings.used
        every = tuple(k for k in differing(self.a, self.b) if k in used or k.startswith(OPTION))
        if self.allowed is not None:
            wanted = set(self.allowed)
            every = tuple(k for k in every if k in wanted or k.startswith(OPTION))
        alone = [
            k for k in every if self._from_a((k,)) != self.a.config or self._from_b((k,)) != self.b.config
        ]
        return tuple(alone) if alone else every

    def _from_a(self, keys: tuple[str, ...]) -> DriveConfig:
        return self._built(True, keys)

    def _from_b(self, keys: tuple[str, ...]) -> DriveConfig:
        return self._built(False, keys)

    def _built(self, from_a: bool, keys: tuple[str, ...]) -> DriveConfig:
        found = self.known.get((from_a, keys))
        if found is None:
            base, other = (self.a, self.b) if from_a else (self.b, self.a)
            found = self.known[(from_a, keys)] = with_entries(base, other, keys).config
        return found

    def cause(self, moves: Sequence[Move], kind: str) -> tuple[str, ...]:
        """The smallest set that, taken over, gives the new outcome, and taken back, the old one.

        Outcomes are held against each other in what this class of difference is about.
        """
        old, new = (self._end(d.config, moves) for d in (self.a, self.b))
        case = _Case(tuple(moves), kind, old, new)
        found = self._smallest(self.keys, case)
        if found is None:
            kept = self._by_leaving_out(case)
            found = self._smallest(kept, case) or kept
        return found

    def _smallest(self, keys: tuple[str, ...], case: _Case) -> tuple[str, ...] | None:
        for size in range(1, min(LARGEST, len(keys)) + 1):
            if comb(len(keys), size) > MOST:
                return None
            for some in combinations(keys, size):
                if self._explains(some, case):
                    return some
        return None

    def _by_leaving_out(self, case: _Case) -> tuple[str, ...]:
        """Leaves out halves, then ever smaller parts, as long as the rest still explains."""
        kept, parts = self.keys, 2
        while len(kept) > 1:
            size = max(1, len(kept) // parts)
            for at in range(0, len(kept), size):
                fewer = kept[:at] + kept[at + size :]
                if fewer and self._explains(fewer, case):
                    kept, parts = fewer, max(2, parts - 1)
                    break
            else:
                if size == 1:
                    break
                parts *= 2
        return kept

    def _explains(self, keys: tuple[str, ...], case: _Case) -> bool:
        taken_over = self._end(self._from_a(keys), case.moves)
        if not alike_in(case.kind, taken_over, case.new, self.step_hz):
            return False
        taken_back = self._end(self._from_b(keys), case.moves)
        return alike_in(case.kind, taken_back, case.old, self.step_hz)

    def _end(self, config: DriveConfig, moves: Sequence[Move]) -> Seen:
        seen = replay(config, self.alphabet, moves)
        return seen.outcomes[-1], seen.halts[-1]
