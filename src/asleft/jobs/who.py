"""Who records, when, and why: what every writer is told."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Who:
    """``by`` read the drive at ``at``; ``email`` and ``now`` stand in the commit. Times are aware."""

    by: str
    email: str
    at: datetime
    now: datetime
    reason: str = ""
    work_order: str = ""

    def trailers(
        self, asset: str, reading: str = "", occasion: str = "", corrects: str = ""
    ) -> list[tuple[str, str]]:
        """The commit's trailers, those that are known."""
        pairs = (
            ("Asset", asset),
            ("Reading", reading),
            ("Occasion", occasion),
            ("Reason", self.reason),
            ("Work-order", self.work_order),
            ("By", self.by),
            ("Corrects", corrects),
        )
        return [(name, value) for name, value in pairs if value]
