"""Typed changes between two sets: within the display step, by meaning."""

from asleft.compare.changes import Change, Comparison, NotRead, Undecided
from asleft.compare.sides import Side
from asleft.compare.walk import compare

__all__ = ["Change", "Comparison", "NotRead", "Side", "Undecided", "compare"]
