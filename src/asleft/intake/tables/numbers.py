"""Numbers as spreadsheets of any country write them: decimal comma, thousands marks, a unit behind."""

from __future__ import annotations

import re
from collections.abc import Iterable

MARKS = {"comma": ",", "point": "."}
_NUMBER = re.compile(r"([-+−]?)\s*(\d[\d.,'’\u00a0\u202f\u2009 ]*|[.,]\d+)\s*(.*)", re.DOTALL)
_BLANKS = re.compile(r"(?<=\d)['’\u00a0\u202f\u2009 ](?=\d{3}(?!\d))")
_GROUPED = {mark: re.compile(rf"\d{{1,3}}(?:{re.escape(mark)}\d{{3}})+") for mark in ",."}


def written(text: str, decimal: str = "") -> tuple[str, ...]:
    """What a text may mean, each as number with point and unit; empty where it is no number.

    ``decimal`` is the decimal mark where it is known. Without it ``1,500`` may be 1.5 or 1500, and both are
    given.
    """
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        return ()
    digits = _BLANKS.sub("", found[2].strip())
    unit = found[3].strip()
    sign = "-" if found[1] in ("-", "−") else ""
    if unit[:1].isdigit() or re.search(r"[^\d.,]", digits):
        return ()
    return tuple(f"{sign}{plain} {unit}".rstrip() for plain in _plain(digits, decimal))


def _plain(digits: str, decimal: str) -> Iterable[str]:
    commas, points = digits.count(","), digits.count(".")
    if not commas and not points:
        return (digits,)
    if commas and points:
        last = "," if digits.rfind(",") > digits.rfind(".") else "."
        return _split(digits, last) if decimal in ("", last) else ()
    mark = "," if commas else "."
    grouped = _GROUPED[mark].fullmatch(digits) is not None and not digits.startswith("0")
    as_thousands = (digits.replace(mark, ""),) if grouped else ()
    as_decimal = (digits.replace(mark, "."),) if digits.count(mark) == 1 else ()
    if decimal:
        return as_decimal if decimal == mark else as_thousands
    return as_decimal + as_thousands


def _split(digits: str, last: str) -> tuple[str, ...]:
    whole, _, rest = digits.rpartition(last)
    other = "," if last == "." else "."
    return (f"{whole.replace(other, '')}.{rest}",) if _GROUPED[other].fullmatch(whole) else ()


def decimal_mark(texts: Iterable[str]) -> str:
    """The decimal mark that the texts give away; empty where none does, or where they disagree."""
    seen = set()
    for text in texts:
        if len(written(text)) == 1 and re.search(r"[.,]", text):
            seen |= {mark for mark in ",." if written(text, mark)}
    return seen.pop() if len(seen) == 1 else ""
