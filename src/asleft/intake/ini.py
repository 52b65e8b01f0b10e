"""Sections and keys of an EDS or DCF file as it stands, with what is odd about it.

CiA 306 describes the file as an ASCII text of sections, ``key=value`` rows and comments after a semicolon.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from asleft.record import Fault, Refused

MOST_BYTES = 8_000_000
_LINE_END = re.compile(r"\r\n|\n|\r")
_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


@dataclass(frozen=True, slots=True)
class Entry:
    """One key's text and line; ``others`` are different texts given for the same key elsewhere."""

    text: str
    line: int
    others: tuple[str, ...] = ()


@dataclass
class Section:
    """One section by the name first written. Keys are looked up without case."""

    name: str
    line: int
    entries: dict[str, Entry] = field(default_factory=dict)

    def get(self, key: str) -> str | None:
        """The text of a key, None where it is missing or empty."""
        entry = self.entries.get(key.lower())
        return entry.text if entry is not None and entry.text else None


@dataclass
class Ini:
    """Sections by name in lower case, in file order, and warnings."""

    where: str
    sections: dict[str, Section] = field(default_factory=dict)
    warnings: list[Fault] = field(default_factory=list)

    def warn(self, what: str, do_next: str = "", line: int = 0) -> None:
        """Keep a warning at a line of the file."""
        self.warnings.append(Fault(what, do_next, self.where, line))


def read_ini(content: bytes, where: str) -> Ini:
    """Read leniently: any line end, encoding and order. Raises ``Refused`` for what is no such file."""
    if len(content) > MOST_BYTES:
        raise Refused(Fault(f"the file is larger than {MOST_BYTES:,} bytes.", "Check the name.", where))
    ini = Ini(where)
    section: Section | None = None
    for number, line in enumerate(_LINE_END.split(_text(content, ini)), start=1):
        row = line.strip().strip("\0\x1a")
        if not row or row[0] in ";#":
            continue
        if row.startswith("["):
            section = _section(ini, row, number)
        elif section is None or "=" not in row:
            ini.warn(f"{row[:40]!r} belongs to no section and is no key=value.", "It is ignored.", number)
        else:
            _entry(ini, section, row, number)
    if not ini.sections:
        raise Refused(Fault("the file has no sections: it is no EDS or DCF.", "Check the name.", where))
    return ini


def _text(content: bytes, ini: Ini) -> str:
    for bom, encoding in _BOMS:
        if content.startswith(bom):
            ini.warn("the file starts with a byte order mark.", "It is read all the same.", 1)
            return content.decode(encoding, "replace")
    if b"\0" in content.rstrip(b"\0\x1a"):
        raise Refused(Fault("the file is binary.", "Name an EDS or DCF file.", ini.where))
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as problem:
        line = content[: problem.start].count(b"\n") + 1
        ini.warn("the file is not UTF-8.", "Its texts are read as Western European (Windows-1252).", line)
        return content.decode("cp1252", "replace")


def _section(ini: Ini, row: str, line: int) -> Section:
    name, bracket, rest = row[1:].partition("]")
    name = name.strip()
    if not bracket:
        ini.warn(f"the section {row[:40]!r} has no closing bracket.", "It is read all the same.", line)
    elif rest.strip() and not rest.strip().startswith((";", "#")):
        ini.warn(f"{rest.strip()[:40]!r} stands behind the section [{name}].", "It is ignored.", line)
    known = ini.sections.get(name.lower())
    if known is not None:
        ini.warn(f"the section [{name}] stands here again (first in line {known.line}).", "", line)
        return known
    section = ini.sections[name.lower()] = Section(name, line)
    return section


def _entry(ini: Ini, section: Section, row: str, line: int) -> None:
    key, _, text = (part.strip() for part in row.partition("="))
    text = text[1:-1] if len(text) > 1 and text[0] == text[-1] == '"' else text
    known = section.entries.get(key.lower())
    if known is None:
        section.entries[key.lower()] = Entry(text, line)
    elif known.text != text:
        ini.warn(
            f"[{section.name}] gives {key} as {known.text!r} in line {known.line} and as {text!r} here.",
            "Which one is right is not known.",
            line,
        )
        section.entries[key.lower()] = Entry(known.text, known.line, (*known.others, text))


def numbers_of(section: Section | None) -> Mapping[int, str]:
    """Rows of a section that are numbered, as ``1=0x1000``."""
    entries = section.entries if section is not None else {}
    return {int(key): entry.text for key, entry in entries.items() if key.isdecimal()}
