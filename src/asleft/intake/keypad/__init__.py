"""A guided read-back at the drive's own keypad, in the drive's own menu order."""

from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.asking import Reply
from asleft.intake.keypad.guide import Guide
from asleft.intake.keypad.journal import InUse, Journal, Kept
from asleft.intake.keypad.purpose import PLANNING, READING, RETURNING, Purpose
from asleft.intake.keypad.result import planned, taken
from asleft.intake.keypad.rows import Row, enterable, rows_of

__all__ = [
    "PLANNING",
    "READING",
    "RETURNING",
    "Answer",
    "Guide",
    "InUse",
    "Journal",
    "Kept",
    "Purpose",
    "Reply",
    "Row",
    "enterable",
    "planned",
    "rows_of",
    "taken",
]
