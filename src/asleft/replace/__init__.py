"""From one drive to another: what to copy, convert, put right, in which order."""

from asleft.replace.decisions import Judge
from asleft.replace.ledger import OUTCOMES, Decision, LedgerRow, Option, Outcome, entries_of
from asleft.replace.put_right import PutRight, put_right
from asleft.replace.steps import Step
from asleft.replace.unasked import Unasked

__all__ = [
    "OUTCOMES",
    "Decision",
    "Judge",
    "LedgerRow",
    "Option",
    "Outcome",
    "PutRight",
    "Step",
    "Unasked",
    "entries_of",
    "put_right",
]
