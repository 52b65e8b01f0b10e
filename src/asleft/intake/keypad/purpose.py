"""What the guide is used for, and the words that differ by it."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Purpose:
    """``reading`` a drive, or planning.

    ``otherwise`` heads what differs. ``held`` names the value Enter confirms, ``enter`` says what Enter does,
    ``doubt`` asks about a value in doubt, ``again`` asks for another one, ``together`` asks for a whole menu
    and ``agreed`` says that it was taken, ``last`` ends the work.
    """

    reading: bool
    held: str
    enter: str
    doubt: str
    again: str
    together: str
    agreed: str
    last: str
    otherwise: str = "Other than recorded last:"


READING = Purpose(
    reading=True,
    held="was",
    enter="it reads the same as shown",
    doubt="Does the drive show {}?",
    again="Type what the drive shows.",
    together="Do all {} read as shown? It is recorded as confirmed together.",
    agreed="{} as shown",
    last="Record this reading?",
)
PLANNING = Purpose(
    reading=False,
    held="is",
    enter="it stays as it is",
    doubt="Is {} meant?",
    again="Type what it is to be.",
    together="Are all {} to stay as they are?",
    agreed="{} stay as they are",
    last="Plan these changes?",
)
RETURNING = replace(
    READING,
    held="should be",
    otherwise="Other than it should be:",
    last="Record this reading as left?",
)
