"""The record in git: durable writing, fast reading, history."""

from asleft.store.commits import Commit, Touched
from asleft.store.errors import (
    AlreadySite,
    BadText,
    Busy,
    CannotWriteNow,
    Damaged,
    EditedByHand,
    ForeignRepository,
    GitFailed,
    GitTooOld,
    NoGit,
    NoSite,
    NotFlushed,
    NotInRecord,
    NotRecorded,
    Overtaken,
    StoreError,
)
from asleft.store.identity import identity
from asleft.store.message import TRAILERS
from asleft.store.objects import object_name
from asleft.store.read import Joint
from asleft.store.runner import Git
from asleft.store.settings import Remote
from asleft.store.steps import Done, Steps
from asleft.store.store import Store, create, find
from asleft.store.verify import Problem

__all__ = [
    "TRAILERS",
    "AlreadySite",
    "BadText",
    "Busy",
    "CannotWriteNow",
    "Commit",
    "Damaged",
    "Done",
    "EditedByHand",
    "ForeignRepository",
    "Git",
    "GitFailed",
    "GitTooOld",
    "Joint",
    "NoGit",
    "NoSite",
    "NotFlushed",
    "NotInRecord",
    "NotRecorded",
    "Overtaken",
    "Problem",
    "Remote",
    "Steps",
    "Store",
    "StoreError",
    "Touched",
    "create",
    "find",
    "identity",
    "object_name",
]
