"""The answer to ``verify``."""

from __future__ import annotations

from typing import Any

from asleft.documents.blocks import Line, Sheet, count, section
from asleft.jobs.keeping import Verified


def blocks(result: Verified) -> Sheet:
    """Sound, or what is not."""
    seen = f"{count(result.files, 'file')} of {count(result.assets, 'asset')} looked at."
    if not result.problems:
        return (Line("The record is sound.", "good"), Line(f"Nothing to do. {seen}"))
    return (
        Line(f"The record has {count(len(result.problems), 'problem')}.", "alarm"),
        Line(f"Keep this copy as it is, and fetch the record from another one. {seen}"),
        *section("Problems", (Line(f"{one.where}: {one.what}", "alarm", 1) for one in result.problems)),
    )


def data(result: Verified) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "sound": not result.problems,
        "files": result.files,
        "assets": result.assets,
        "problems": [{"where": one.where, "what": one.what} for one in result.problems],
    }
