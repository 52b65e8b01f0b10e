"""The drive as an executable model: scenarios, comparison with a witness, rules, tables."""

from asleft.behaviour.coverage import Coverage, coverage_of
from asleft.behaviour.curves import Characteristic, Duration, characteristics, durations
from asleft.behaviour.drive import Drive, Point, Run
from asleft.behaviour.equivalence import BehaviourDiff, Difference, WitnessStep, compare_behaviour
from asleft.behaviour.inputs import Event
from asleft.behaviour.invariants import (
    Invariant,
    ScenarioVerdict,
    Verdict,
    check_invariant,
    check_invariants,
    check_scenario,
)
from asleft.behaviour.scenario import (
    Scenario,
    ScenarioFault,
    ScenarioRun,
    Step,
    read_scenario,
    run_scenario,
)
from asleft.behaviour.search import Budget, SearchReport
from asleft.behaviour.settings import SettingFault
from asleft.behaviour.state import Outcome
from asleft.behaviour.tables import LossRow, StationRow, Tables, WireRow, tables_of
from asleft.behaviour.unread import CannotTell
from asleft.behaviour.words import outcome_words

__all__ = [
    "BehaviourDiff",
    "Budget",
    "CannotTell",
    "Characteristic",
    "Coverage",
    "Difference",
    "Drive",
    "Duration",
    "Event",
    "Invariant",
    "LossRow",
    "Outcome",
    "Point",
    "Run",
    "Scenario",
    "ScenarioFault",
    "ScenarioRun",
    "ScenarioVerdict",
    "SearchReport",
    "SettingFault",
    "StationRow",
    "Step",
    "Tables",
    "Verdict",
    "WireRow",
    "WitnessStep",
    "characteristics",
    "check_invariant",
    "check_invariants",
    "check_scenario",
    "compare_behaviour",
    "coverage_of",
    "durations",
    "outcome_words",
    "read_scenario",
    "run_scenario",
    "tables_of",
]
