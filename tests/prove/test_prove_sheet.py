"""What the functional test sheet predicts, held against worked numbers and against scenarios."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from prove_sets import inputs_of, load, said, small_sheet, values_of

from asleft.behaviour import Scenario, run_scenario
from asleft.jobs.testing import sheet
from asleft.prove.cautions import marks
from asleft.prove.making import drive_of, make_sheet
from asleft.prove.sheet import Sheet, Step
from asleft.prove.stage import Stage
from asleft.prove.tolerance import USUAL
from asleft.prove.trial import OUTPUT_OFF
from asleft.record import Asset

DEMO = load("demo")["step"]
SMALL = load("sets")
TAGS = ("C1", "C2", "D1", "E1", "E2", "F1", "F2", "F3")
SMALL_CASES = pytest.mark.parametrize("case", SMALL["case"], ids=lambda case: case["name"])


@pytest.fixture(scope="module")
def sheets(built_demo: Path) -> dict[str, Sheet]:
    inputs = inputs_of(built_demo)
    names = sorted({case["set"] for case in DEMO} | set(TAGS))
    return {name: sheet(name, inputs).sheet for name in names}


def by_id(made: Sheet) -> dict[str, Step]:
    found = {step.id: step for step in made.steps}
    assert len(found) == len(made.steps), "two steps have one id"
    return found


@pytest.mark.parametrize("case", DEMO, ids=lambda case: f"{case['set']} {case['id']}")
def test_the_demo_sheets_predict_what_its_scenario_says(
    sheets: dict[str, Sheet], case: dict[str, str]
) -> None:
    step = by_id(sheets[case["set"]])[case["id"]]
    if "value" in case:
        assert step.predicted == case["value"]
    elif "cannot" in case:
        assert (step.cannot, step.value, step.says) == (case["cannot"], None, "")
    else:
        assert step.says == case["says"]


@SMALL_CASES
def test_each_kind_of_set_brings_its_steps(case: dict[str, Any]) -> None:
    made = small_sheet(case, SMALL["base"])
    found = by_id(made)
    assert {id: said(found[id]) for id in case["steps"]} == case["steps"]
    assert not found.keys() & set(case.get("absent", []))
    if "left_out" in case:
        assert case["left_out"] in made.left_out


def every_sheet() -> list[Sheet]:
    return [small_sheet(case, SMALL["base"]) for case in SMALL["case"]]


def test_a_step_is_numbered_and_says_what_to_do_or_why_not(sheets: dict[str, Sheet]) -> None:
    for made in (*sheets.values(), *every_sheet()):
        assert [step.number for step in made.steps] == list(range(1, len(made.steps) + 1))
        for step in made.steps:
            assert step.words and step.start, step.id
            assert bool(step.cannot) != bool(step.says), step.id
            assert (step.value is None) == (step.tolerance is None), step.id
            assert step.value is None or step.unit in USUAL, step.id
            assert "_" not in step.words + step.start + step.says, step.id


def test_the_shaft_is_never_said_to_rest_where_it_turns(sheets: dict[str, Sheet]) -> None:
    for made in sheets.values():
        for step in made.steps:
            turns = "running at" in step.start or ((step.value or 0) > 0 and step.unit == "Hz")
            assert not turns or step.caution in ("turns", "starts by itself"), step.id
            assert step.says.startswith("starts by itself") <= (step.caution == "starts by itself"), step.id


def hoist_sheet(application: str, **other: str) -> Sheet:
    case = {"set": {key.replace("__", "."): value for key, value in other.items()}}
    return make_sheet(drive_of(values_of(case, SMALL["base"]), {}, {}), Asset("H1", application=application))


@pytest.mark.parametrize(
    ("made", "hangs"),
    [
        (hoist_sheet("goods_hoist"), True),
        (hoist_sheet("conveyor", mechanical_brake__control="on"), True),
        (hoist_sheet("conveyor"), False),
    ],
    ids=["a hoist without a brake of the drive's", "a brake", "neither"],
)
def test_a_load_that_may_fall_is_warned_of_where_the_shaft_turns(made: Sheet, hangs: bool) -> None:
    turning = {step.id for step in made.steps if step.caution in ("turns", "starts by itself")}
    warned = {step.id for step in made.steps if "LOAD MAY FALL" in marks(step)}
    assert warned == (turning if hangs else set())
    assert any("A load may hang" in note for note in made.notes) is hangs


def chained(steps: tuple[Step, ...]) -> list[str]:
    """The steps that start as the one before left it, where that is not so."""
    wrong = []
    for before, step in pairwise(steps):
        if step.start.startswith("as the step before") and step.recipe and before.recipe:
            left = (*before.recipe.before, *before.recipe.acts)
            wrong += [] if step.recipe.before == left else [step.id]
    return wrong


def test_a_step_goes_on_from_where_the_one_before_ended(sheets: dict[str, Sheet]) -> None:
    for made in (*sheets.values(), *every_sheet()):
        again = tuple(step for step in made.steps if step.again)
        assert chained(made.steps) == []
        assert chained(again) == []


def expectation(step: Step) -> str:
    return f"expect {step.value} Hz" if step.unit == "Hz" else f"expect speed reached after {step.value} s"


def test_the_same_lines_as_a_scenario_end_at_the_same_speed(
    built_demo: Path, sheets: dict[str, Sheet]
) -> None:
    inputs, tried = inputs_of(built_demo), 0
    for name in TAGS:
        named = sheet(name, inputs).named
        assert named.side.model is not None
        drive = drive_of(named.side.values, named.side.model.behaviour, named.side.set.not_read)
        for step in sheets[name].steps:
            if step.recipe is None or step.recipe.measure not in ("hz", "reach"):
                continue
            lines = (*step.recipe.before, *step.recipe.acts)
            assert OUTPUT_OFF not in lines
            if any("pulses" in line for line in lines):
                continue
            settled = [each for line in lines for each in (*line.split("; "), "wait until settled")]
            ran = run_scenario(drive, Scenario(step.id, (*settled, expectation(step))))
            assert ran.result == "met", (name, step.id, ran)
            tried += 1
    assert tried > 100


@SMALL_CASES
def test_the_same_set_gives_the_same_sheet(case: dict[str, Any]) -> None:
    first, second = (small_sheet(case, SMALL["base"]) for _ in range(2))
    assert first.steps == second.steps


def test_times_are_told_from_zero_only_where_the_start_frequency_is_small() -> None:
    times = {}
    for hz in ("0", "0.5", "5"):
        case = {"set": {"start_stop.start_frequency_hz": Decimal(hz)}}
        made = make_sheet(drive_of(values_of(case, SMALL["base"]), {}, {}))
        times[hz] = by_id(made)["remote.start-time"].predicted
    assert times == {"0": "5.0 s", "0.5": "5.0 s", "5": "4.0 s"}


def test_a_station_that_nothing_starts_says_so() -> None:
    case = next(case for case in SMALL["case"] if "runs nowhere" in case["name"])
    stage = Stage(drive_of(values_of(case, SMALL["base"]), {}, {}))
    assert stage.runs == ()
    assert set(stage.silent) == {1, 2}
