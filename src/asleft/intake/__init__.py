"""Sources of a reading: files, keypad, field bus."""

from asleft.intake.sources import take
from asleft.intake.taken import Taken

__all__ = ["Taken", "take"]
