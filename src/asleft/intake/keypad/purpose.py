"""What the guide is used for, and the words that differ by it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Purpose:
    """``reading`` a drive, or planning. ``held`` names the value Enter confirms, ``doubt`` asks about a value
    in doubt, ``last`` ends the work."""

    reading: bool
    held: str
    doubt: str
    last: str


READING = Purpose(True, "was", "Does the drive show {}?", "Record this reading?")
PLANNING = Purpose(False, "is", "Is {} meant?", "Plan these changes?")
