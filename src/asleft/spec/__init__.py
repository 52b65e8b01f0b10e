"""Application specs: rules as data, judged against a drive, with waivers.

A rule is a table of a TOML file and can be read aloud; there is no formula language. ``judge`` gives one
finding a rule. ``engineering()`` holds for every drive, ``ready()`` gives specs to start from.
"""

from asleft.spec.baseline import Acceptance, accept, read_accepted, under, write_accepted
from asleft.spec.engine import judge, judge_rule
from asleft.spec.reader import SpecFile, read_spec
from asleft.spec.ready import engineering, ready, ready_bytes, ready_names
from asleft.spec.remarks import Remark, check_spec
from asleft.spec.rules import Condition, Rule, Spec, read_aloud
from asleft.spec.subject import Subject
from asleft.spec.waiver_notes import WaiverNote, waiver_notes
from asleft.spec.waivers import WaiverFile, add_waiver, allowed_as_found, read_waivers

__all__ = [
    "Acceptance",
    "Condition",
    "Remark",
    "Rule",
    "Spec",
    "SpecFile",
    "Subject",
    "WaiverFile",
    "WaiverNote",
    "accept",
    "add_waiver",
    "allowed_as_found",
    "check_spec",
    "engineering",
    "judge",
    "judge_rule",
    "read_accepted",
    "read_aloud",
    "read_spec",
    "read_waivers",
    "ready",
    "ready_bytes",
    "ready_names",
    "under",
    "waiver_notes",
    "write_accepted",
]
