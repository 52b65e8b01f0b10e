"""Every rule and option of the simulated drive, one case each, from the case files."""

from __future__ import annotations

import pytest
from behaviour_cases import CASES, Case

from asleft.behaviour import Drive, read_scenario, run_scenario


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.file}: {case.name}")
def test_case_comes_out_as_written(case: Case) -> None:
    done = run_scenario(Drive.of(case.values, case.options), read_scenario(case.name, case.lines))
    missed = [(step.sentence, step.missed, step.outcome) for step in done.steps if step.missed]
    assert done.result == case.result, (done.because, missed)
