"""Asset tags, and the names by which a person asks for a set."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import NamedTuple

from asleft.record.faults import Fault, Refused

SUFFIXES = (".toml", ".csv", ".xlsx", ".dcf", ".eds", ".json")
POINTS = ("left", "found", "planned", "factory")
_TAG = r"[A-Za-z0-9][A-Za-z0-9_.+=-]{0,63}"
_DEVICE = r"(?i)(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?"


def check_tag(tag: str) -> str:
    """The tag itself where it may name an asset. Raises ``Refused`` otherwise."""
    problem = ""
    if not re.fullmatch(_TAG, tag):
        problem = (
            "a tag is 1 to 64 letters, digits and _ . + = - and starts with a letter or digit; "
            "the plant's own text goes into the designation"
        )
    elif tag.endswith("."):
        problem = "a tag does not end in a full stop"
    elif tag.lower().endswith(SUFFIXES):
        problem = "it ends like a file name, so it would be taken for one"
    elif re.fullmatch(_DEVICE, tag):
        problem = "Windows keeps that name for a device"
    if problem:
        raise Refused(Fault(f"{tag!r} cannot be a tag: {problem}.", "Choose another tag.", "tag"))
    return tag


class SetName(NamedTuple):
    """A parsed name of a set: standard input, a path, or a tag with a point and steps back."""

    text: str
    path: str = ""
    tag: str = ""
    point: str = "left"
    back: int = 0

    @property
    def is_input(self) -> bool:
        """Standard input."""
        return self.text == "-"


def parse_set_name(text: str) -> SetName:
    """``"-" | PATH | TAG ["@" POINT] ["~" N]``. Raises ``Refused`` where it is none of them."""
    if text == "-":
        return SetName(text)
    if "/" in text or "\\" in text or text.lower().endswith(SUFFIXES):
        return SetName(text, path=text)
    found = re.fullmatch(r"(?P<tag>[^@~]+)(?:@(?P<point>[^~]+))?(?:~(?P<back>\d{1,6}))?", text)
    if found is None:
        raise Refused(
            Fault(
                f"{text!r} names no set.",
                "Write TAG, TAG@left, TAG@found, TAG@factory, TAG@2026-03-12, TAG~1, a path, or - for input.",
            )
        )
    tag = check_tag(found["tag"])
    point = found["point"] or "left"
    return SetName(
        text, tag=tag, point=point.lower() if point[0].isalpha() else point, back=int(found["back"] or 0)
    )


def parse_moment(text: str) -> date | datetime | None:
    """A date or a date-time (ISO 8601), or None where the text is neither."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        pass
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None
