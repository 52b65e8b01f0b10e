"""Working through a put-right list at the drive: decide, answer, enter, read back, next."""

from asleft.intake.working.result import Decided, LeftOut, Worked, worked
from asleft.intake.working.tasks import Task, fingerprint, tasks_of
from asleft.intake.working.work import Work

__all__ = [
    "Decided",
    "LeftOut",
    "Task",
    "Work",
    "Worked",
    "fingerprint",
    "tasks_of",
    "worked",
]
