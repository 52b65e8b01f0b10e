"""The answer to ``correct``."""

from __future__ import annotations

from typing import Any

from asleft.documents.blocks import Line, Sheet, count, section
from asleft.documents.data import value
from asleft.documents.diff import told
from asleft.explain import capital
from asleft.jobs.correcting import Correction, unread_words
from asleft.jobs.naming import words_of


def blocks(result: Correction) -> Sheet:
    """What stands in the record now, and what stood there."""
    number = len(result.told)
    return (
        Line(headline(result), "warn" if result.dry_run else "good"),
        Line(
            f"The reading as it stood is kept: {result.wrong.commit[:10]}. "
            f"See both: asleft history {result.asset}"
        ),
        *section(f"Recorded otherwise now ({count(number, 'entry', 'entries')})", told(result.told)),
        *section(
            f"No longer taken as read ({len(result.not_read)})",
            (Line(capital(words), depth=1) for words in unread_words(result)),
        ),
    )


def headline(result: Correction) -> str:
    """What was corrected."""
    what = f"{result.asset} {words_of(result.wrong)}"
    if result.dry_run:
        return f"{what}: nothing recorded (dry run)."
    return f"{what}: corrected as {(result.commit or '')[:10]}."


def data(result: Correction) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "asset": result.asset,
        "reading": result.wrong.reading.kind,
        "at": result.wrong.at.isoformat(),
        "corrects": result.wrong.commit,
        "commit": result.commit,
        "dry_run": result.dry_run,
        "changes": [
            {
                "key": one.change.key,
                "old": value(one.change.old),
                "new": value(one.change.new),
                "words": one.words,
            }
            for one in result.told
        ],
        "no_longer_read": list(result.not_read),
    }
