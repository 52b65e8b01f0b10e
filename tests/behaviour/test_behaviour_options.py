"""The behaviour options: each one counts, and each decides the outcome of at least one case."""

from __future__ import annotations

import pytest
from behaviour_cases import CASES, Case

from asleft.behaviour import Drive, read_scenario, run_scenario
from asleft.models.behaviour_options import (
    BehaviourOption,
    UnknownOption,
    behaviour_options,
    faults_of_options,
    resolve_options,
)

RUNNING = [o for o in behaviour_options().values() if o.concerns == "running"]


def comes_out(case: Case, option: BehaviourOption, choice: str) -> bool:
    """Whether a case still comes out as written on a model with this choice, which has no such setting."""
    values = {k: v for k, v in case.values.items() if k != option.key}
    drive = Drive.of(values, {**case.options, option.name: choice})
    return run_scenario(drive, read_scenario(case.name, case.lines)).result == case.result


@pytest.mark.parametrize("option", RUNNING, ids=lambda o: o.name)
def test_every_choice_of_an_option_changes_a_case(option: BehaviourOption) -> None:
    mentioned_first = sorted(CASES, key=lambda c: option.name not in c.options)
    for choice in option.choices:
        written = [c for c in mentioned_first if said(c, option) == choice]
        others = [other for other in option.choices if other != choice]
        assert any(hangs_on(case, option, choice, others) for case in written), (
            f"no case hangs on {option.name} = {choice}"
        )


def hangs_on(case: Case, option: BehaviourOption, choice: str, others: list[str]) -> bool:
    """Whether a case comes out with this choice, and not with one of the others."""
    return comes_out(case, option, choice) and any(not comes_out(case, option, other) for other in others)


def said(case: Case, option: BehaviourOption) -> str:
    """The choice a case is written for: by its key where the set has one, else by option or default."""
    value = case.values.get(option.key or "")
    if isinstance(value, str):
        return option.as_key.get(value, value)
    return case.options.get(option.name, option.default)


def test_only_the_entry_of_skip_bands_concerns_no_running() -> None:
    assert [o.name for o in behaviour_options().values() if o.concerns != "running"] == ["skip_entry"]


def test_defaults_are_choices() -> None:
    assert all(o.default in o.choices for o in behaviour_options().values())


def test_what_a_model_file_may_not_say_is_told() -> None:
    faults = faults_of_options({"edge_winz": "yes", "edge_wins": "maybe"})
    assert len(faults) == 2
    assert "edge_winz" in faults[0]
    assert "yes, no" in faults[1]
    with pytest.raises(UnknownOption):
        resolve_options({"edge_wins": "maybe"})
