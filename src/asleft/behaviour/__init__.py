"""The drive as an executable model: scenarios, comparison with a witness, invariants, tables."""

from asleft.behaviour.drive import Drive, Run
from asleft.behaviour.scenario import Scenario, ScenarioRun, read_scenario, run_scenario
from asleft.behaviour.state import Outcome

__all__ = ["Drive", "Outcome", "Run", "Scenario", "ScenarioRun", "read_scenario", "run_scenario"]
