"""Walking through a functional test sheet at the drive: do, see, type what was seen, judged at once."""

from asleft.intake.walking.result import observed
from asleft.intake.walking.walk import Walk, mark

__all__ = ["Walk", "mark", "observed"]
