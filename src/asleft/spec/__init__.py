"""Application specs: rules as data, judged against a drive, with waivers.

A rule is a table of a TOML file and can be read aloud; there is no formula language. ``judge`` gives one
finding a rule.
"""

from asleft.spec.engine import judge, judge_rule
from asleft.spec.reader import SpecFile, read_spec
from asleft.spec.rules import Condition, Rule, Spec, read_aloud
from asleft.spec.subject import Subject
from asleft.spec.waivers import WaiverFile, read_waivers

__all__ = [
    "Condition",
    "Rule",
    "Spec",
    "SpecFile",
    "Subject",
    "WaiverFile",
    "judge",
    "judge_rule",
    "read_aloud",
    "read_spec",
    "read_waivers",
]
