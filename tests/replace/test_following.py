"""Following the list at a drive that overwrites, resets, refuses and locks ends in the record."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from replaced_drives import FAN, drive, random_deriver, random_unit, read, side
from tests.conftest import examples

from asleft.compare import Side
from asleft.record import Asset
from asleft.replace import PutRight, Step, put_right
from asleft.replace.plan import planned_order
from asleft.replace.simulated import EntryRefused, SimulatedUnit
from asleft.replace.standing import bounds, same_shown

MODELS = ("merrow-m4-18k5", "skarn-k-18k5")


def follow(unit: SimulatedUnit, steps: Iterable[Step]) -> None:
    """What a person does with the list: read where it says so, enter, next."""
    for step in steps:
        native = unit.model.natives[step.native]
        shown = unit.displayed.get(step.native, "")
        if step.kind != "read" or not same_shown(native, shown, step.displayed):
            unit.enter(step.native, step.displayed)


def strays(unit: SimulatedUnit, listed: PutRight) -> list[str]:
    """Entries that do not show what the record asks for."""
    return astray(unit, listed.target)


def astray(unit: SimulatedUnit, target: Mapping[str, str]) -> list[str]:
    return [
        native_id
        for native_id, wanted in target.items()
        if not same_shown(unit.model.natives[native_id], unit.displayed.get(native_id, ""), wanted)
    ]


def keeps_its_limits(wanted: Side) -> bool:
    pairs = [(wanted.values.get(bound.low), wanted.values.get(bound.high)) for bound in bounds()]
    return all(low <= high for low, high in pairs if low is not None and high is not None)  # type: ignore[operator]


@pytest.mark.parametrize("name", MODELS)
def test_from_factory_values_the_list_ends_in_the_record(name: str) -> None:
    unit = SimulatedUnit.from_factory(drive(name), random_deriver(random.Random(1)))
    listed = put_right(side(drive("merrow-m4-18k5"), FAN), read(unit), Asset("F2"))
    follow(unit, listed.entries)
    assert strays(unit, listed) == []
    assert len(listed.entries) > 10


@cache
def fan_on(name: str) -> dict[str, str]:
    """What a drive has to show for the fan."""
    return dict(put_right(side(drive("merrow-m4-18k5"), FAN), side(drive(name)), Asset("F2")).target)


@pytest.mark.parametrize("name", MODELS)
@settings(max_examples=examples(200, 60), deadline=None, derandomize=True)
@given(seed=st.integers(0, 2**32))
def test_from_any_start_the_order_ends_in_the_target(name: str, seed: int) -> None:
    unit, wanted = random_unit(drive(name), random.Random(seed)), fan_on(name)
    plan = planned_order(drive(name), unit.displayed, wanted)
    assert plan.failed == {}
    for visit in plan.visits:
        unit.enter(visit.native.id, visit.enter)
    assert astray(unit, wanted) == []


@pytest.mark.parametrize("name", MODELS)
@settings(max_examples=15, deadline=None, derandomize=True)
@given(seed=st.integers(0, 2**32))
def test_from_any_start_the_list_ends_in_the_record(name: str, seed: int) -> None:
    chance = random.Random(seed)
    unit = random_unit(drive(name), chance)
    listed = put_right(side(drive("merrow-m4-18k5"), FAN), read(unit), Asset("F2"))
    follow(unit, listed.entries)
    assert strays(unit, listed) == []


@pytest.mark.parametrize("name", MODELS)
@settings(max_examples=examples(40, 20), deadline=None, derandomize=True)
@given(seed=st.integers(0, 2**32))
def test_any_record_that_keeps_its_own_limits_is_reached(name: str, seed: int) -> None:
    chance = random.Random(seed)
    wanted = read(random_unit(drive(name), chance, edits=60))
    unit = random_unit(drive(name), chance)
    listed = put_right(wanted, read(unit), Asset("X1"))
    if keeps_its_limits(wanted):
        follow(unit, listed.entries)
        assert strays(unit, listed) == []


@pytest.mark.parametrize("name", MODELS)
def test_a_shuffled_list_fails_often(name: str) -> None:
    failures = 0
    for seed in range(16):
        chance = random.Random(seed)
        unit = random_unit(drive(name), chance)
        listed = put_right(side(drive("merrow-m4-18k5"), FAN), read(unit), Asset("F2"))
        try:
            follow(unit, chance.sample(listed.entries, len(listed.entries)))
            failures += bool(strays(unit, listed))
        except EntryRefused:
            failures += 1
    assert failures >= 12


@pytest.mark.parametrize("name", MODELS)
@settings(max_examples=examples(25, 12), deadline=None, derandomize=True)
@given(seed=st.integers(0, 2**32))
def test_no_entry_of_the_list_can_be_left_out(name: str, seed: int) -> None:
    """The list is the least: without any one of its entries the drive refuses another, or strays."""
    chance = random.Random(seed)
    model = drive(name)
    shown = random_unit(model, chance).displayed
    listed = put_right(side(model, FAN), read(SimulatedUnit(model, dict(shown))), Asset("F2"))
    left_out = chance.choice(listed.entries)
    unit = SimulatedUnit(model, dict(shown), random_deriver(chance))
    try:
        follow(unit, [step for step in listed.entries if step is not left_out])
    except EntryRefused:
        return
    wanted = listed.target.get(left_out.native)
    by_itself = left_out.now == "set by itself, read it"
    assert by_itself or left_out.kind == "for_now" or wanted is None or strays(unit, listed)
