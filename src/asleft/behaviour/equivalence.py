"""Whether two drives behave alike, and if not: what happens, shortest first, and because of which entries."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from fractions import Fraction

from asleft.behaviour.causes import Suspects, replay, with_entries
from asleft.behaviour.config import DriveConfig
from asleft.behaviour.coverage import Coverage, coverage_of
from asleft.behaviour.curves import Characteristic, Duration, characteristics, durations
from asleft.behaviour.differs import APART_IN_MOTION, KINDS, alike_in, mirrored
from asleft.behaviour.drive import Drive
from asleft.behaviour.events import Alphabet, alphabet, lasting
from asleft.behaviour.inputs import AI1, ANALOG, Event
from asleft.behaviour.narrate import told
from asleft.behaviour.search import (
    Budget,
    Found,
    Move,
    SearchReport,
    Walk,
    grave_difference,
    report_of,
    settled_search,
    unsettled_search,
)
from asleft.behaviour.state import Outcome
from asleft.behaviour.table import Table
from asleft.behaviour.unread import CannotTell, tried_at_every_choice
from asleft.behaviour.words import event_words, sentence

FIRST_LOOK = 700
"""Product states of a first look; only what it leaves unfound costs the whole budget."""

SECOND_LOOK = 800
"""Product states of a look at one cause alone, for what it does to the motor."""

HIDDEN = "Hidden by other differences as long as they stand: "
"""Begins the words of what only shows once other differences are taken back."""

ROUNDS = 24
"""Times that causes are taken back before the search gives up."""


@dataclass(frozen=True, slots=True)
class WitnessStep:
    """One event: the sentence, the moment ("" when settled), what both drives then do."""

    sentence: str
    moment: str
    before: Outcome
    after: Outcome


@dataclass(frozen=True, slots=True)
class Difference:
    """One difference in behaviour. ``kind``: see KINDS; ``causes``: keys, or ``option NAME``.

    ``setup`` are the signals the witness starts from; ``also``: milder kinds by the same cause, in words.
    ``hidden``: it is not seen as the drives stand, only once other differences are taken back.
    """

    kind: str
    words: str
    setup: tuple[str, ...]
    witness: tuple[WitnessStep, ...]
    causes: tuple[str, ...]
    before: Outcome
    after: Outcome
    also: tuple[str, ...] = ()
    hidden: bool = False

    @property
    def unwanted_start(self) -> bool:
        """Whether the motor now starts, or runs on, where it did not."""
        return not self.hidden and self.kind in ("unwanted start", "runs on")


@dataclass(frozen=True, slots=True)
class BehaviourDiff:
    """The behaviour of two drives compared: gravest difference first.

    ``search`` tells how far it went; ``coverage`` is of the first and the second drive.
    """

    differences: tuple[Difference, ...]
    durations: tuple[Duration, ...]
    characteristics: tuple[Characteristic, ...]
    cannot_tell: tuple[CannotTell, ...]
    coverage: tuple[Coverage, Coverage]
    search: SearchReport

    @property
    def same(self) -> bool:
        """Alike in everything compared, with nothing left open."""
        return not (self.differences or self.durations or self.cannot_tell) and self.search.complete


def compare_behaviour(
    a: Drive,
    b: Drive,
    *,
    changed_keys: Collection[str] | None = None,
    k: int = 1,
    budget: Budget | None = None,
    step_hz: Fraction = Fraction(1, 10),
    sides: tuple[str, str] = ("before it", "now it"),
) -> BehaviourDiff:
    """Compares two drives from all inputs healthy, enabled, in remote and at rest.

    ``changed_keys`` limits the causes looked for; ``k`` is 0 or 1 unsettled changes; ``step_hz``: the
    coarser display step; ``sides`` begins the two halves of a sentence. But for the words, the result does
    not depend on which side is named first.
    """
    budget = budget or Budget()
    turned = _order(a) > _order(b)
    one, two = (b, a) if turned else (a, b)
    two = _assumed(two, one)
    one = _assumed(one, two)
    rounds = _Rounds(one, two, changed_keys, budget, step_hz, k)
    rounds.run()
    names = (sides[1], sides[0]) if turned else sides
    found = [_difference(rounds.as_they_stand(f, two), names, turned) for f in rounds.explained]
    return BehaviourDiff(
        differences=_grouped(found),
        durations=durations(a.config, b.config),
        characteristics=tuple(c for c in characteristics(a.config, b.config) if c.largest > step_hz),
        cannot_tell=tried_at_every_choice(a, b, step_hz),
        coverage=(coverage_of(a), coverage_of(b)),
        search=rounds.report,
    )


def _order(drive: Drive) -> str:
    return repr((sorted(drive.values.items()), sorted(drive.options.items())))


def _assumed(drive: Drive, other: Drive) -> Drive:
    """A drive whose unread entries are taken as the other's: what was not read is no difference."""
    taken = {k: other.values[k] for k in drive.not_read if k in other.values and k not in drive.values}
    return drive.with_values({**drive.values, **taken}) if taken else drive


@dataclass(frozen=True, slots=True)
class _Explained:
    """A way to a difference with its cause, and the drives it was found on."""

    found: Found
    causes: tuple[str, ...]
    a: Drive
    b: Drive
    alphabet: Alphabet
    hidden: bool = False


class _Rounds:
    """Finds differences, takes their causes back, and searches on until nothing is left to find."""

    def __init__(
        self,
        a: Drive,
        b: Drive,
        changed: Collection[str] | None,
        budget: Budget,
        step_hz: Fraction,
        k: int,
    ) -> None:
        self.a, self.b, self.changed, self.budget, self.step_hz, self.k = a, b, changed, budget, step_hz, k
        self.explained: list[_Explained] = []
        self.report = SearchReport(True, 0, 0, 0, k=k)
        self.first_table: Table | None = None

    def run(self) -> None:
        look = Budget(min(FIRST_LOOK, self.budget.states), 0)
        for _ in range(ROUNDS):
            if self.a.config == self.b.config:
                self.report = replace(self.report, complete=True, unsettled_complete=True)
                return
            walk = walk_over(self.a, self.b, self.step_hz, self.first_table)
            self.first_table = walk.a
            self._search(walk, look)
            if not walk.found and not walk.complete and look.states < self.budget.states:
                self._search(walk, self.budget)
            if not walk.found:
                self._try_unsettled(walk)
                return
            if not self._explain(list(walk.found.values()), walk.alphabet):
                return
        self.report = replace(self.report, complete=False)

    def _try_unsettled(self, walk: Walk) -> None:
        """Once, when settled changes have nothing left to tell; what it finds, it does not search beyond."""
        if not (self.k and walk.complete):
            return
        tried, whole = unsettled_search(walk, self.budget)
        self.report = self._added(walk, (tried, whole and not walk.found))
        if walk.found:
            self._explain(list(walk.found.values()), walk.alphabet, graver=False)

    def _search(self, walk: Walk, budget: Budget) -> None:
        settled_search(walk, budget)
        self.report = self._added(walk, (0, True))

    def _look_for_graver(self) -> None:
        """Where a cause was seen only in something mild, looks at it alone for what it does to the motor."""
        mine = [e for e in self.explained if e.b is self.b]
        grave = {e.causes for e in mine if e.found.kind in APART_IN_MOTION}
        mild = {e.causes for e in mine if e.found.kind != "relays"}
        for causes in sorted(mild - grave):
            alone = with_entries(self.a, self.b, causes)
            walk = walk_over(self.a, alone, self.step_hz, self.first_table)
            settled_search(walk, Budget(SECOND_LOOK, 0), grave_difference)
            for way in walk.found.values():
                if way.kind in APART_IN_MOTION:
                    self.explained.append(_Explained(way, causes, self.a, alone, walk.alphabet))

    def as_they_stand(self, way: _Explained, b: Drive) -> _Explained:
        """The way on the drive as it stands where it shows it too; else hidden by what else differs."""
        moves, letters = way.found.moves, way.alphabet
        ends = [
            (seen.outcomes[-1], seen.halts[-1])
            for seen in (replay(drive.config, letters, moves) for drive in (way.b, b))
        ]
        if alike_in(way.found.kind, ends[0], ends[1], self.step_hz):
            return replace(way, b=b)
        return replace(way, hidden=True)

    def _added(self, walk: Walk, tried: tuple[int, bool]) -> SearchReport:
        now = report_of(walk, self.k, tried)
        return replace(now, depth=max(now.depth, self.report.depth))

    def _explain(self, found: list[Found], letters: Alphabet, graver: bool = True) -> bool:
        """Finds the cause of each way and takes all of them back; False where nothing explains them."""
        suspects = Suspects(self.a, self.b, letters, self.step_hz, allowed=self.changed)
        taken: set[str] = set()
        for way in sorted(found, key=lambda f: KINDS.index(f.kind)):
            causes = suspects.cause(way.moves, way.kind)
            self.explained.append(_Explained(way, causes, self.a, self.b, letters))
            taken |= set(causes)
        if graver:
            self._look_for_graver()
        if not taken:
            return False
        self.b = with_entries(self.b, self.a, taken)
        return True


def walk_over(a: Drive, b: Drive, step_hz: Fraction, table_of_a: Table | None = None) -> Walk:
    """A walk over two drives, ready to begin; the same table serves both where they are the same.

    ``table_of_a`` is that of an earlier walk, used again where the alphabet is the same.
    """
    letters = alphabet((a, b))
    events = [lasting(letters, e) for e in letters.events]
    table = table_of_a
    if table is None or (table.config, table.levels, table.events) != (a.config, letters.levels, events):
        table = Table(a.config, letters.levels, events, against=b.config)
    other = table if a.config == b.config else Table(b.config, letters.levels, events, like=table)
    return Walk(table, other, letters, step_hz)


def _difference(way: _Explained, sides: tuple[str, str], turned: bool) -> Difference:
    moves, letters = way.found.moves, way.alphabet
    seen = replay(way.a.config, letters, moves), replay(way.b.config, letters, moves)
    configs = (way.a.config, way.b.config)
    if turned:
        seen, configs = (seen[1], seen[0]), (configs[1], configs[0])
        sides = (sides[1], sides[0])
    kind = mirrored(way.found.kind) if turned else way.found.kind
    old, new = seen
    return Difference(
        kind=kind,
        words=(HIDDEN if way.hidden else "") + told(letters, configs, moves, (old, new), sides, kind),
        setup=_setup(letters, configs),
        witness=tuple(
            WitnessStep(sentence(_line(letters, m, configs)), m.moment, old.outcomes[n], new.outcomes[n])
            for n, m in enumerate(moves, 1)
        ),
        causes=way.causes,
        before=old.outcomes[-1],
        after=new.outcomes[-1],
        hidden=way.hidden,
    )


def _line(letters: Alphabet, move: Move, configs: tuple[DriveConfig, DriveConfig]) -> str:
    return event_words(lasting(letters, letters.events[move.event]), *configs)


def _setup(letters: Alphabet, configs: tuple[DriveConfig, DriveConfig]) -> tuple[str, ...]:
    """What stands from the start: the signals, and the contacts that are closed."""
    lines = []
    for index, levels in enumerate(letters.levels):
        value = levels[letters.start[index]]
        if len(levels) > 1 and (index in ANALOG.values() or (index < AI1 and value)):
            lines.append(sentence(event_words(Event("set", index, value), *configs)))
    return tuple(lines)


def _grouped(found: list[Difference]) -> tuple[Difference, ...]:
    """One difference a cause, the gravest of it; the milder ones told beside it."""
    grouped: dict[tuple[str, ...], list[Difference]] = {}
    for difference in found:
        grouped.setdefault(difference.causes, []).append(difference)
    heads = []
    for same in grouped.values():
        same.sort(key=_gravity)
        heads.append(replace(same[0], also=tuple(d.words for d in same[1:])))
    return tuple(sorted(heads, key=lambda d: (*_gravity(d), d.causes)))


def _gravity(one: Difference) -> tuple[bool, int, int]:
    return one.hidden, KINDS.index(one.kind), len(one.witness)
