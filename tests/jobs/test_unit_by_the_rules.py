"""What the specs of a slot say of a unit of another make, before and after it is rewired."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from tests.prove.prove_sets import inputs_of

from asleft.jobs.comparing import Pair, UnitComparison, compare_unit
from asleft.record import Value

LIGHTNING = date(2026, 10, 11)
REWIRED: dict[str, Value] = {
    "start_stop.run_wiring": "three_wire",
    "digital_inputs.di_1.function": "start_pulse",
    "digital_inputs.di_5.function": "stop_pulse",
    "digital_inputs.di_5.sense": "acts_when_open",
}


def spare(site: Path) -> UnitComparison:
    return compare_unit("F2", str(site / "units/f2-spare.toml"), inputs_of(site), LIGHTNING, behaviour=False)


def result_of(pair: Pair, rule: str, values: Mapping[str, Value]) -> str:
    return next(found.result for found in pair.rules(values) if found.rule == rule)


def test_a_behaviour_rule_is_named_at_the_setting_that_breaches_it(built_demo: Path) -> None:
    decisions = {one.key: one for one in spare(built_demo).put_right.decide}
    assert decisions["stations.change_restart"].breached == ("39",)
    assert "39" not in decisions["protection.signal_loss_reaction"].breached


def test_the_rule_is_breached_until_the_spare_is_rewired_as_three_wire(built_demo: Path) -> None:
    """The record as listed keeps two-wire starting; three-wire, the latch clears on the change of station."""
    found = spare(built_demo)
    done = found.put_right.result.values
    assert result_of(found.pair, "39", done) == "breached"
    assert result_of(found.pair, "39", {**done, **REWIRED}) == "met"


def test_an_entry_that_moves_both_edges_of_a_band_says_what_is_kept_out(built_demo: Path) -> None:
    steps: list[Any] = [
        one for one in spare(built_demo).put_right.steps if "skip_bands.band_1.low_hz" in one.keys
    ]
    assert {one.does for one in steps} == {"The motor no longer rests at 31.0 to 34.0 Hz: it passes through."}


@pytest.mark.parametrize("words", [("compare", "F2"), ("diff", "F2")])
def test_what_the_comparison_notes_reaches_the_person(demo: Any, words: tuple[str, ...]) -> None:
    """Look-alikes that no setting shows: models that act otherwise, a motor that was not measured."""
    line = (*words, "units/f2-spare.toml", "--no-behaviour")
    notes = demo(*line, "--format", "json").data["notes"]
    assert {"drive.model", "tuned.identification_state"} <= set(notes)
    text = demo(*line).out
    for said in (one.rstrip(".") for texts in notes.values() for one in texts):
        assert said[1:] in text
