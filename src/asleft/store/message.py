"""The text of a commit: a subject, an optional body, and trailers; and the same read back."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from asleft.store.errors import BadText

TRAILERS = ("Asset", "Reading", "Occasion", "Reason", "Work-order", "By", "Corrects")
Pairs = tuple[tuple[str, str], ...]
_LINE = re.compile(r"([A-Za-z][A-Za-z0-9-]*): (.*)")


def one_line(text: str, name: str) -> str:
    """`text` stripped; BadText where it is empty, has a line break or control character, or is not text."""
    text = text.strip()
    if not text:
        raise BadText(f"The {name} is empty.", f"Give the {name}.")
    bad = next((c for c in text if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp")), None)
    if bad is not None:
        raise BadText(
            f"The {name} has a line break or control character (U+{ord(bad):04X}) in it.",
            f"Write the {name} on one line.",
        )
    return text


def compose(subject: str, body: str, trailers: Sequence[tuple[str, str]]) -> str:
    """The whole commit text. Errors: BadText, also for a body whose end would be read as trailers."""
    parts = [one_line(subject, "subject")]
    body = body.replace("\r\n", "\n").strip()
    if body:
        for line in filter(None, body.split("\n")):
            one_line(line.replace("\t", " "), "body")
        parts.append(body)
    if trailers:
        parts.append("\n".join(_trailer_line(key, value) for key, value in trailers))
    text = "\n\n".join(parts) + "\n"
    if len(split(text)[2]) != len(trailers):
        raise BadText("The body ends in lines that read as trailers.", "Put them in words.")
    return text


def _trailer_line(key: str, value: str) -> str:
    if key not in TRAILERS:
        raise BadText(f"{key!r} is no trailer of the record.", f"It knows: {', '.join(TRAILERS)}.")
    return f"{key}: {one_line(value, key.lower().replace('-', ' '))}"


def split(text: str) -> tuple[str, str, Pairs]:
    """Subject, body and trailers of a commit text.

    The last paragraph is trailers where it is not the first and each line of it reads "Key: value".
    """
    paragraphs = [p.strip("\n") for p in re.split(r"\n[ \t]*\n", text.strip("\n"))]
    subject, rest = " ".join(paragraphs[0].split("\n")), paragraphs[1:]
    found = [_LINE.fullmatch(line) for line in rest[-1].split("\n")] if rest else []
    pairs = tuple((m[1], m[2].strip()) for m in found if m)
    if not pairs or len(pairs) != len(found):
        return subject, "\n\n".join(rest), ()
    return subject, "\n\n".join(rest[:-1]), pairs


def trailer_faults(pairs: Pairs) -> list[str]:
    """What is not well formed in a commit's trailers, in plain words. Trailers of others are let be."""
    known = {t.casefold(): t for t in TRAILERS}
    faults = []
    for key, value in pairs:
        right = known.get(key.casefold())
        if right is not None and right != key:
            faults.append(f"trailer {key!r} is spelled {right!r}")
        if right is not None and not value:
            faults.append(f"trailer {key!r} has no value")
    return faults


@dataclass(frozen=True, slots=True)
class Signed:
    """Who and when of a commit; the times must carry their zone."""

    name: str
    email: str
    author_at: datetime
    committed_at: datetime

    def env(self) -> dict[str, str]:
        """The variables commit-tree reads. Errors: BadText."""
        name, email = one_line(self.name, "name"), self.email.strip()
        if set("<>") & set(name + email) or not name.strip(" .,:;\"'\\"):
            raise BadText(f"{name!r} cannot stand as a name in the record.", "Give a name in letters.")
        email = one_line(email, "mail address") if email else ""
        return {
            "GIT_AUTHOR_NAME": name,
            "GIT_AUTHOR_EMAIL": email,
            "GIT_AUTHOR_DATE": git_date(self.author_at),
            "GIT_COMMITTER_NAME": name,
            "GIT_COMMITTER_EMAIL": email,
            "GIT_COMMITTER_DATE": git_date(self.committed_at),
        }


def git_date(at: datetime) -> str:
    """A time as git takes it: whole seconds since 1970 and the zone in hours and minutes."""
    offset = at.utcoffset()
    if offset is None or at.timestamp() < 0:
        raise BadText(f"The time {at.isoformat()} has no zone, or lies before 1970.", "Give day, time, zone.")
    sign, minutes = ("-", -offset) if offset < timedelta(0) else ("+", offset)
    hours, left = divmod(int(minutes.total_seconds()) // 60, 60)
    return f"@{int(at.timestamp())} {sign}{hours:02d}{left:02d}"
