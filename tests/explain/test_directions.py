"""Told one way and the other way round, a change uses opposite words."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from explain_cases import Machine, machines, others
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.conftest import examples

from asleft.compare import Change, Side
from asleft.explain.computing import facts_of
from asleft.explain.registry import EFFECTS
from asleft.explain.sentences import change_sentence
from asleft.vocabulary import Parameter, vocabulary

OPPOSITES = (
    ("longer", "shorter"), ("higher", "lower"), ("more", "less"), ("steeper", "gentler"), ("further", "nearer"),
    ("later", "sooner"), ("hotter", "cooler"), ("stronger", "weaker"), ("up", "down"), ("wider", "narrower"),
    ("faster", "slower"), ("larger", "smaller"), ("much", "little"), ("high", "low"), ("shallower", "steeper"),
    ("more", "fewer"), ("heavier", "lighter"), ("greater", "smaller"), ("larger", "fewer"),
)  # fmt: skip
WORDS = {word for pair in OPPOSITES for word in pair}
SAID = rf"\b(?:(?:up|down)(?= from)|{'|'.join(sorted(WORDS - {'up', 'down'}))})\b"
NUMBERED = tuple(
    key
    for key in vocabulary()
    if vocabulary()[key].row in EFFECTS and vocabulary()[key].is_number and not key.startswith("drive.")
)


def direction(text: str) -> str:
    """The first direction word of a sentence."""
    found = re.search(SAID, text.replace("less far", "nearer"))
    return found[0] if found else ""


def opposite(one: str, other: str) -> bool:
    """Whether two words say opposite directions."""
    return (one, other) in OPPOSITES or (other, one) in OPPOSITES


def _pair(machine: Machine, parameter: Parameter, factor: Decimal) -> tuple[Decimal, Decimal]:
    held = machine.side.values.get(parameter.key)
    old = held if isinstance(held, Decimal) and held else Decimal(10)
    step = parameter.step or Decimal(1)
    return old, (old * factor).quantize(step)


@settings(max_examples=examples(300, 100))
@given(
    st.sampled_from(NUMBERED),
    st.sampled_from(sorted(machines())),
    st.decimals("0.3", "3", places=2),
)
def test_there_and_back_use_opposite_words(key: str, name: str, factor: Decimal) -> None:
    machine, parameter = machines()[name], vocabulary()[key]
    values = _pair(machine, parameter, factor)
    if values[0] == values[1]:
        return
    old, new = (machine.changed({key: value}) for value in values)
    there, back = Change(key, *values), Change(key, values[1], values[0])
    assert opposite(_said(there), _said(back)), change_sentence(there)
    facts = {fact.name: fact for fact in _numbers(there, old, new, machine)}
    for fact in _numbers(back, new, old, machine):
        other = facts.get(fact.name)
        if other is not None and other.value == fact.before and fact.value == other.before:
            assert opposite(direction(fact.words), direction(other.words)), (fact.words, other.words)


def _said(change: Change) -> str:
    return direction(change_sentence(change).partition(" is ")[2])


def _numbers(change: Change, old: Side, new: Side, machine: Machine) -> list:  # type: ignore[type-arg]
    facts = facts_of(change, old, new, machine.asset, others)
    return [fact for fact in facts if fact.value is not None and fact.before not in (None, fact.value)]


@pytest.mark.parametrize(
    ("key", "old", "new", "words"),
    [
        ("ramps.accel_time_1_s", "8.0", "6.5", ("shorter", "steeper")),
        ("ramps.accel_time_1_s", "6.5", "8.0", ("longer", "gentler")),
        ("ramps.ramp_reference_frequency_hz", "50.0", "60.0", ("shorter", "steeper")),
    ],
)
def test_less_time_is_a_steeper_ramp(key: str, old: str, new: str, words: tuple[str, ...]) -> None:
    machine = machines()["leg"]
    sides = [machine.changed({key: Decimal(text)}) for text in (old, new)]
    facts = facts_of(Change(key, Decimal(old), Decimal(new)), *sides, machine.asset)
    said = " ".join(fact.words for fact in facts)
    assert all(word in said for word in words)
