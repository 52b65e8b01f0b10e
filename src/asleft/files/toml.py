"""TOML bytes to plain values, bounded before they are parsed, with the line of each key."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any, NamedTuple

from asleft.record import Fault, Refused

MOST_BYTES = 2_000_000
MOST_DEPTH = 12
MOST_DIGITS = 40
GREATEST = Decimal(2**53)

_STRINGS = re.compile(r'"""(?s:.*?)"""|\'\'\'(?s:.*?)\'\'\'|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*')
_DIGITS = re.compile(rf"[0-9_]{{{MOST_DIGITS + 1},}}")
_MERGE = re.compile(r"^(<{7}|={7}|>{7}|\|{7})", re.MULTILINE)
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_LINE_IN_ERROR = r"\(at line (\d+), column \d+\)"
_PART = r'\s*(?:"((?:[^"\\]|\\.)*)"|\'([^\']*)\'|([A-Za-z0-9_-]+))\s*(\.|=|\]|$)'


class Document(NamedTuple):
    """A parsed file: ``data`` with numbers as Decimal, and the line of each key path."""

    data: Mapping[str, Any]
    text: str
    where: str

    def line(self, *path: str) -> int:
        """The line a key stands on, or that of the nearest table above it; 0 where none can be named."""
        lines = _lines(self.text)
        for end in range(len(path), 0, -1):
            if path[:end] in lines:
                return lines[path[:end]]
        return 0

    def fault(self, path: tuple[str, ...], what: str, do_next: str) -> Fault:
        """A fault at a key of this file."""
        return Fault(what, do_next, self.where, self.line(*path))

    def format_faults(self, known: int) -> Iterator[Fault]:
        """What is wrong with ``format``: a file from a newer program is not read by guess."""
        given = self.data.get("format")
        if given is None:
            what = f"the line format = {known} is missing."
            yield Fault(what, "Write it as the first line, above every [table].", self.where, 1)
        elif isinstance(given, int) and given > known:
            yield self.fault(
                ("format",), f"format {given} is newer than this program.", "Bring asleft up to date."
            )
        elif given != known or isinstance(given, bool):
            yield self.fault(("format",), f"format is {given!r}.", f"This version reads format {known}.")


def parse(content: bytes, where: str) -> Document:
    """Parse one file. Raises ``Refused`` with what is wrong, where, and what to do next."""
    text = _text(content, where)
    _bounded(text, where)
    import tomllib

    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except (tomllib.TOMLDecodeError, ValueError, RecursionError) as problem:
        found = re.search(_LINE_IN_ERROR, str(problem))
        what = re.sub(_LINE_IN_ERROR, "", str(problem)).strip()
        raise Refused(
            Fault(
                f"this is not TOML: {what}.",
                "Mend that line and try again.",
                where,
                int(found.group(1)) if found else text.count("\n") + 1,
            )
        ) from None
    return Document(data, text, where)


def _text(content: bytes, where: str) -> str:
    if len(content) > MOST_BYTES:
        raise Refused(
            Fault(
                f"the file holds {len(content):,} bytes, more than the {MOST_BYTES:,} any set needs.",
                "Check that it is the right file.",
                where,
            )
        )
    if content.startswith(b"\xef\xbb\xbf"):
        raise Refused(
            Fault("the file starts with a byte order mark.", "Save it as UTF-8 without BOM.", where, 1)
        )
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as problem:
        line = content[: problem.start].count(b"\n") + 1
        raise Refused(
            Fault("the file is not UTF-8 text.", "Save it as UTF-8, or name another file.", where, line)
        ) from None
    if "\r" in text:
        line = text[: text.index("\r")].count("\n") + 1
        raise Refused(
            Fault("the file has Windows line ends (CR LF).", "Save it with LF line ends.", where, line)
        )
    return text


def _bounded(text: str, where: str) -> None:
    if found := _CONTROL.search(text):
        line = text[: found.start()].count("\n") + 1
        raise Refused(
            Fault("the file holds control characters: it is binary.", "Name a TOML file.", where, line)
        )
    if found := _MERGE.search(text):
        line = text[: found.start()].count("\n") + 1
        raise Refused(
            Fault(
                "the file holds marks of an unfinished merge.",
                "Settle the merge: keep one side whole; a mixture is a set no drive ever held.",
                where,
                line,
            )
        )
    bare = _STRINGS.sub(lambda match: "\n" * match.group().count("\n"), text)
    if found := _DIGITS.search(bare):
        line = bare[: found.start()].count("\n") + 1
        raise Refused(Fault(f"a number has more than {MOST_DIGITS} digits.", "Check that line.", where, line))
    _check_depth(bare, where)


def _check_depth(bare: str, where: str) -> None:
    depth, line = 0, 1
    for mark in re.finditer(r"[\[\]{}\n]", bare):
        sign = mark.group()
        if sign == "\n":
            line += 1
        else:
            depth += 1 if sign in "[{" else -1
        if depth > MOST_DEPTH:
            raise Refused(
                Fault(f"values are nested more than {MOST_DEPTH} deep.", "Check that line.", where, line)
            )


def key_path(written: str) -> tuple[str, ...]:
    """The parts of a dotted key as written, quotes taken off; empty where it is no key."""
    parts: list[str] = []
    place = 0
    part = re.compile(_PART)
    while found := part.match(written, place):
        basic, literal, bare, end = found.groups()
        parts.append(next(part for part in (basic, literal, bare) if part is not None))
        place = found.end()
        if end != ".":
            return tuple(parts)
    return ()


@lru_cache(maxsize=8)
def _lines(text: str) -> Mapping[tuple[str, ...], int]:
    lines: dict[tuple[str, ...], int] = {}
    table: tuple[str, ...] = ()
    for number, line in enumerate(text.split("\n"), 1):
        stripped = line.strip()
        if stripped.startswith("["):
            table = key_path(stripped.lstrip("["))
            lines.setdefault(table, number)
        elif "=" in stripped and not stripped.startswith("#") and (path := key_path(stripped)):
            for end in range(1, len(path) + 1):
                lines.setdefault(table + path[:end], number)
    return lines
