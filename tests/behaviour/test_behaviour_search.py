"""The search against plain enumeration, and what holds of any two drives."""

from __future__ import annotations

import random
from collections import deque
from decimal import Decimal
from fractions import Fraction

from behaviour_cases import BASE_SET
from behaviour_sets import HARVEST_NIGHT, LEG, tiny_pairs
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.conftest import examples

from asleft.behaviour import Budget, Drive, compare_behaviour
from asleft.behaviour.asked import Asked, apart, standing_in
from asleft.behaviour.causes import replay
from asleft.behaviour.clock import advance, next_time, settle
from asleft.behaviour.differs import APART, NONE, classify, mirrored
from asleft.behaviour.equivalence import walk_over
from asleft.behaviour.events import Alphabet, alphabet, lasting
from asleft.behaviour.inputs import EVERYTHING, put
from asleft.behaviour.scan import apply, first_state, scan
from asleft.behaviour.search import settled_search, unsettled_search
from asleft.behaviour.state import Bench, State, outcome_of
from asleft.behaviour.table import Table, happen
from asleft.record import Value

STEP = Fraction(1, 10)
FEW = settings(
    max_examples=examples(40, 9),
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
    database=None,
)


def began(drive: Drive, letters: Alphabet) -> Bench:
    x = [letters.levels[i][n] for i, n in enumerate(letters.start)]
    bench = Bench(drive.config, first_state(drive.config, x), x)
    settle(bench)
    bench.s.halt, bench.s.coasting = "", False
    return bench


def copied(bench: Bench) -> Bench:
    return Bench(bench.c, State(*bench.s.key()), list(bench.x))  # type: ignore[call-overload]


def let(bench: Bench, letters: Alphabet, number: int) -> str | None:
    """Lets an event happen on a bench with inputs of its own; None where it changes nothing."""
    event = lasting(letters, letters.events[number])
    before = ((event.index, event.old),) if event.kind == "set" else event.old or ()
    if any(bench.x[index] != level for index, level in before):
        return None
    event = put(bench.x, event)  # type: ignore[arg-type]
    bench.s.halt = ""
    return happen(bench, event)


def shortest_by_enumeration(a: Drive, b: Drive, letters: Alphabet, depth: int) -> dict[str, int]:
    """Class of difference -> fewest events, by trying every sequence, with no table and no merging of states."""
    found: dict[str, int] = {}
    start = began(a, letters), began(b, letters)
    kind = classify(outcome_of(a.config, start[0].s), outcome_of(b.config, start[1].s), "", "", STEP)
    if kind != NONE:
        found[kind] = 0
    queue: deque[tuple[Bench, Bench, int]] = deque([(*start, 0)])
    while queue:
        one, two, done = queue.popleft()
        apart = classify(outcome_of(one.c, one.s), outcome_of(two.c, two.s), "", "", STEP) in APART
        if done == depth or apart:
            continue
        for number in range(len(letters.events)):
            first, second = copied(one), copied(two)
            halts = let(first, letters, number), let(second, letters, number)
            if halts[0] is None or halts[1] is None:
                continue
            kind = classify(outcome_of(one.c, first.s), outcome_of(two.c, second.s), *halts, STEP)
            if kind != NONE:
                found.setdefault(kind, done + 1)
            queue.append((first, second, done + 1))
    return found


@FEW
@given(tiny_pairs())
def test_witnesses_are_as_short_as_enumeration_finds_them(pair: tuple[Drive, Drive]) -> None:
    a, b = pair
    walk = walk_over(a, b, STEP)
    settled_search(walk, Budget())
    shortest = {k: len(f.moves) for k, f in walk.found.items() if len(f.moves) <= 2}
    assert shortest == shortest_by_enumeration(a, b, walk.alphabet, 2)


@FEW
@given(tiny_pairs())
def test_every_witness_replays(pair: tuple[Drive, Drive]) -> None:
    a, b = pair
    walk = walk_over(a, b, STEP)
    settled_search(walk, Budget())
    unsettled_search(walk, Budget(unsettled=1500))
    for found in walk.found.values():
        ends = [replay(d.config, walk.alphabet, found.moves) for d in (a, b)]
        kind = classify(
            ends[0].outcomes[-1], ends[1].outcomes[-1], ends[0].halts[-1], ends[1].halts[-1], STEP
        )
        assert kind == found.kind


@FEW
@given(tiny_pairs(), st.integers(0, 10**6))
def test_random_walks_find_nothing_where_nothing_was_said(pair: tuple[Drive, Drive], seed: int) -> None:
    a, b = pair
    diff = compare_behaviour(a, b, k=0)
    if diff.differences:
        return
    letters, chance = alphabet(pair), random.Random(seed)
    one, two = began(a, letters), began(b, letters)
    for _ in range(60):
        number = chance.randrange(len(letters.events))
        halts = let(one, letters, number), let(two, letters, number)
        if halts[0] is not None and halts[1] is not None:
            assert classify(outcome_of(a.config, one.s), outcome_of(b.config, two.s), *halts, STEP) == NONE


@FEW
@given(tiny_pairs())
def test_what_one_drive_takes_over_from_the_other_is_what_it_does_alone(pair: tuple[Drive, Drive]) -> None:
    walk = walk_over(*pair, STEP)
    settled_search(walk, Budget(300, 0))
    alone = Table(pair[1].config, walk.b.levels, walk.b.events)
    for number, a, b in walk.order:
        for event, _, vector in walk.moves_of(number):
            _, result = walk.after(a, b, event, vector)
            same(alone, walk.b, alone.after(mine(alone, walk.b, b), event, vector), result)


def mine(alone: Table, other: Table, state: int) -> int:
    return alone.states.number(other.states.keys[state])


def same(alone: Table, other: Table, one: int, two: int) -> None:
    """Two settled results, each of its own table, are the same state come to in the same way."""
    assert alone.states.keys[one >> 3] == other.states.keys[two >> 3]
    assert (one & 7, alone.outcome(one >> 3)) == (two & 7, other.outcome(two >> 3))


@FEW
@given(tiny_pairs())
def test_unsettled_changes_are_taken_over_as_well(pair: tuple[Drive, Drive]) -> None:
    walk = walk_over(*pair, STEP)
    settled_search(walk, Budget(60, 0))
    alone, seconds = Table(pair[1].config, walk.b.levels, walk.b.events), Fraction(1, 7)
    for number, a, b in walk.order[:60]:
        for event, _, vector in walk.moves_of(number):
            walk.a.later(walk.a.at_once(a, event, vector), seconds, vector)
            once = walk.b.at_once(b, event, vector)
            own = alone.at_once(mine(alone, walk.b, b), event, vector)
            assert alone.states.keys[own] == walk.b.states.keys[once]
            late, own = walk.b.later(once, seconds, vector), alone.later(own, seconds, vector)
            assert alone.states.keys[own] == walk.b.states.keys[late]


def test_a_table_serves_one_drive_after_another() -> None:
    base = Drive.of(LEG)
    first = walk_over(base, Drive.of({**LEG, **HARVEST_NIGHT}), STEP)
    settled_search(first, Budget())
    assert first.b.simulated < first.a.simulated / 2
    wider: dict[str, Value] = {**LEG, "start_stop.stop_method": "coast"}
    for other in ({**LEG, "ramps.accel_time_1_s": Decimal(9)}, wider):
        walk = walk_over(base, Drive.of(other), STEP, first.a)
        settled_search(walk, Budget())
        fresh = walk_over(base, Drive.of(other), STEP)
        settled_search(fresh, Budget())
        assert walk.a is first.a and fresh.a is not first.a
        assert (walk.b.like is walk.a) == (other is not wider)
        assert {k: f.moves for k, f in walk.found.items()} == {k: f.moves for k, f in fresh.found.items()}
        assert (len(walk.order), walk.transitions, walk.depth) == (
            len(fresh.order),
            fresh.transitions,
            fresh.depth,
        )


@FEW
@given(tiny_pairs(), st.integers(1, 60))
def test_a_search_in_pieces_is_the_search_in_one_go(pair: tuple[Drive, Drive], piece: int) -> None:
    whole, parts = walk_over(*pair, STEP), walk_over(*pair, STEP)
    settled_search(whole, Budget())
    for states in (piece, 3 * piece, 400_000):
        settled_search(parts, Budget(states))
    for name in ("order", "parents", "found", "transitions", "depth", "complete"):
        assert getattr(parts, name) == getattr(whole, name)


def test_a_stand_in_notes_only_what_differs() -> None:
    one = Drive.of(LEG).config
    two = Drive.of({**LEG, **HARVEST_NIGHT}).config
    assert set(apart(one, two)) == {
        ("ramps", "up"),
        ("ramps", "jog"),
        ("outputs", "relays", "relay_1", "off_delay"),
        ("faults", "attempts"),
        ("faults", "external"),
    }
    asked = Asked()
    seen = standing_in(one, two, asked)
    assert (seen.limits, seen.ramps.down, seen.outputs.relays["relay_1"].on_delay) == (
        one.limits,
        one.ramps.down,
        one.outputs.relays["relay_1"].on_delay,
    )
    assert seen.functions_at(0) == one.functions_at(0)
    assert seen.command.edge_rules == one.command.edge_rules
    assert not asked.differing
    assert seen.outputs.relays["relay_1"].off_delay == Fraction(1, 5)
    assert asked.differing


def test_a_stand_in_notes_what_was_worked_out_before_too() -> None:
    change: dict[str, Value] = {"analog_inputs.ai_1.freq_at_high_hz": Decimal(40)}
    one, two = Drive.of(BASE_SET).config, Drive.of({**BASE_SET, **change}).config
    half = Fraction(12)
    for before in ((), (half,)):
        for signal in before:
            assert [c.reference.channels[1].hertz(signal) for c in (one, two)] == [25, 20]
        assert set(apart(one, two)) == {("reference", "channels", 1, "f_high")}
        asked = Asked()
        seen = standing_in(one, two, asked)
        for _ in range(2):
            asked.differing = False
            assert seen.reference.channels[1].hertz(half) == 25
            assert asked.differing


@FEW
@given(tiny_pairs())
def test_the_sides_may_be_changed(pair: tuple[Drive, Drive]) -> None:
    a, b = pair
    there, back = compare_behaviour(a, b, k=0), compare_behaviour(b, a, k=0)
    assert {d.causes for d in there.differences} == {d.causes for d in back.differences}
    assert there.same == back.same
    walks = walk_over(a, b, STEP), walk_over(b, a, STEP)
    for walk in walks:
        settled_search(walk, Budget())
    ways = {(mirrored(f.kind), f.moves) for f in walks[0].found.values()}
    assert ways == {(f.kind, f.moves) for f in walks[1].found.values()}


@FEW
@given(tiny_pairs())
def test_a_set_against_itself_has_no_difference(pair: tuple[Drive, Drive]) -> None:
    for drive in pair:
        again = Drive.of(drive.values, drive.options)
        assert compare_behaviour(drive, again).same
        walk = walk_over(drive, again, STEP)
        settled_search(walk, Budget())
        assert walk.complete and not walk.found


@FEW
@given(tiny_pairs())
def test_every_cause_named_is_an_entry_that_differs(pair: tuple[Drive, Drive]) -> None:
    a, b = pair
    for difference in compare_behaviour(a, b, k=0).differences:
        assert difference.causes
        assert all(a.values.get(key) != b.values.get(key) for key in difference.causes)


@FEW
@given(tiny_pairs(), st.integers(0, 10**6))
def test_a_further_evaluation_of_everything_changes_nothing(pair: tuple[Drive, Drive], seed: int) -> None:
    """An evaluation looks only at what can have changed; looking at all of it gives the same."""
    letters, chance = alphabet(pair), random.Random(seed)
    bench = began(pair[0], letters)
    for _ in range(25):
        event = lasting(letters, letters.events[chance.randrange(len(letters.events))])
        if event.kind == "set" and bench.x[event.index] == event.old:
            bench.x[event.index] = event.value  # type: ignore[index]
        elif event.kind == "set":
            continue
        apply(bench, event)
        wait = next_time(bench)
        if wait is not None:
            advance(bench, wait * chance.choice([0, 1, 1]) / 2)
        again = copied(bench)
        scan(again, EVERYTHING)
        assert again.s.key() == bench.s.key()
        if chance.random() < 0.6:
            settle(bench)


def test_a_search_that_ends_early_says_so() -> None:
    other = Drive.of({**BASE_SET, "outputs.relay_1.function": "ready", "access.setting_lock": "open"})
    diff = compare_behaviour(Drive.of(BASE_SET), other, budget=Budget(states=50, unsettled=0))
    assert diff.differences
    same = {**BASE_SET, "ramps.accel_time_1_s": BASE_SET["ramps.decel_time_1_s"]}
    cut = compare_behaviour(Drive.of(BASE_SET), Drive.of(same), budget=Budget(states=50, unsettled=0))
    assert not cut.search.complete
    assert not cut.same


def test_an_unsettled_change_finds_what_settled_ones_cannot() -> None:
    """A contact that opens and closes within the input filter: only a change before all has settled shows it."""
    drives = [Drive.of({**LEG, "digital_inputs.di_filter_time_ms": Decimal(ms)}) for ms in (0, 50)]
    settled, unsettled = (compare_behaviour(*drives, k=k) for k in (0, 1))
    assert settled.search.complete and not settled.differences
    gravest = unsettled.differences[0]
    assert gravest.causes == ("digital_inputs.di_filter_time_ms",)
    assert "at once" in [step.moment for step in gravest.witness]
    assert gravest.kind in ("runs on", "no protection", "unwanted start")
