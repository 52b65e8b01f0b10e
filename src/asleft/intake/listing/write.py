"""A drive model file from a parameter list and what its rows mean."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from asleft.intake.listing.propose import Proposal
from asleft.intake.listing.rows import ListRow
from asleft.intake.listing.score import choice_for
from asleft.record import kept_digits
from asleft.vocabulary import vocabulary

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_NOT_THERE = "not in the list this model was made from"
_BY_ITSELF = "drive.model"


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the top of the file. ``size`` names the one size that the list is of."""

    name: str
    title: str
    maker: str
    firmware: tuple[str, str]
    size: str
    register_base: int
    source: str


@dataclass(frozen=True, slots=True)
class Meant:
    """A row with the key it carries, empty for none, its form, and the base of a per-cent form.

    ``choices`` are neutral choices by code, empty where none is clear; ``perhaps`` the keys it may carry.
    """

    row: ListRow
    key: str = ""
    form: str = ""
    base: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)
    perhaps: tuple[str, ...] = ()


def meant_by(
    proposals: Iterable[Proposal], bases: Mapping[str, str], decided: Mapping[tuple[str, str], str]
) -> list[Meant]:
    """What each row means where that is sure.

    ``bases`` by row id for rows in per cent, ``decided`` neutral choices by row id and code.
    """
    found = []
    for proposal in proposals:
        row = proposal.row
        fits = proposal.fits[:1] if proposal.sure else ()
        form = fits[0].form if fits else ""
        if not fits or not form or (form == "percent" and row.id not in bases) or not _has_bounds(row, form):
            found.append(Meant(row, perhaps=tuple(fit.key for fit in proposal.fits)))
        else:
            key = fits[0].key
            found.append(Meant(row, key, form, bases.get(row.id, ""), _choices(row, key, decided)))
    return found


def _choices(row: ListRow, key: str, decided: Mapping[tuple[str, str], str]) -> dict[str, str]:
    """The neutral choice of each code; empty where it is not clear, or another code has it already."""
    found = {code: decided[row.id, code] for code in row.choices if (row.id, code) in decided}
    for code in row.choices:
        name = choice_for(row, code, vocabulary()[key])
        found.setdefault(code, name if name not in found.values() else "")
    return found


def _has_bounds(row: ListRow, form: str) -> bool:
    return form in ("choice", "bits", "text", "secret") or (row.low is not None and row.high is not None)


def model_bytes(head: Head, rows: Sequence[Meant]) -> bytes:
    """The file, in the order of the list. The same list gives the same bytes."""
    lines = [
        f"# Made from {head.source}. Look through it, complete it, and run: asleft model check",
        "format = 1",
        f"name = {_text(head.name)}",
        f"maker = {_text(head.maker)}",
        f"title = {_text(head.title)}",
        f"firmware = {_inline(head.firmware)}",
        f"register_base = {head.register_base}",
    ]
    levels = tuple(dict.fromkeys(meant.row.access for meant in rows if meant.row.access))
    lines += [f"levels = {_inline(levels)}"] if levels else []
    lines += ["", "[absent]", *(f"{_text(key)} = {_text(why)}" for key, why in _absent(rows))]
    lines += ["", f"[sizes.{_key(head.size)}]"]
    for meant in rows:
        lines += ["", f"[parameters.{_key(meant.row.id)}]"]
        lines += [f"{name} = {_inline(value)}" for name, value in _fields(meant)]
    return ("\n".join(lines) + "\n").encode("utf-8")


def _absent(rows: Sequence[Meant]) -> Iterator[tuple[str, str]]:
    """Keys no row carries, with the reason; a whole group by its pattern."""
    carried = {meant.key for meant in rows} | {_BY_ITSELF}
    perhaps = {key: meant.row.id for meant in reversed(rows) for key in meant.perhaps}
    groups: dict[str, list[str]] = {}
    for key in vocabulary():
        groups.setdefault(key.partition(".")[0], []).append(key)
    for group, keys in groups.items():
        if carried.isdisjoint(keys) and perhaps.keys().isdisjoint(keys):
            yield f"{group}.*", _NOT_THERE
            continue
        for key in keys:
            if key not in carried:
                yield key, f"not decided yet: {perhaps[key]} may be it" if key in perhaps else _NOT_THERE


def _fields(meant: Meant) -> Iterator[tuple[str, Any]]:
    row, form = meant.row, meant.form
    yield "text", row.text
    yield "menu", row.menu or "List"
    if meant.key:
        yield "key", meant.key
    if form and form not in ("number", "choice"):
        yield "form", form
    if meant.base:
        yield "base", meant.base
    yield from _number_fields(row, form)
    if row.choices:
        named = meant.choices
        yield "choices", {code: _choice(text, named.get(code, "")) for code, text in row.choices.items()}
    yield from _other_fields(row, form)


def _choice(text: str, name: str) -> list[str]:
    return [text, name] if name else [text]


def _number_fields(row: ListRow, form: str) -> Iterator[tuple[str, Any]]:
    if row.unit:
        yield "unit", row.unit
    if form in ("text", "secret") or row.choices:
        if row.factory and form != "secret":
            yield "factory", row.factory
        return
    step = step_of_row(row)
    if row.low is not None and row.high is not None:
        yield "range", [_digits(row.low, step), _digits(row.high, step)]
        yield "step", _plain(step)
    number = _decimal(row.factory)
    if row.factory:
        yield "factory", row.factory if number is None else _digits(number, step)


def step_of_row(row: ListRow) -> Decimal:
    """The step as given, else the finest digit among limits and factory value."""
    if row.step is not None and row.step > 0:
        return row.step
    numbers = [number for number in (row.low, row.high, _decimal(row.factory)) if number is not None]
    exponents = [number.as_tuple().exponent for number in numbers]
    finest = min((exponent for exponent in exponents if isinstance(exponent, int)), default=0)
    return Decimal(1).scaleb(min(finest, 0))


def _decimal(text: str) -> Decimal | None:
    try:
        number = Decimal(text)
    except ArithmeticError:
        return None
    return number if number.is_finite() else None


def _other_fields(row: ListRow, form: str) -> Iterator[tuple[str, Any]]:
    if row.locked:
        yield "locked", True
    if row.access:
        yield "access", row.access
    if row.register is not None:
        yield "register", row.register
        kind = row.kind or ("text" if form == "text" else _register_kind(row))
        if kind != "u16":
            yield "type", kind
        if kind == "text" and row.words:
            yield "words", row.words
    if row.read_only:
        yield "read_only", True


def _register_kind(row: ListRow) -> str:
    """The smallest register type that holds the range."""
    if row.low is None or row.high is None:
        return "u16"
    step = step_of_row(row)
    low, high = row.low / step, row.high / step
    if low < 0:
        return "i16" if low >= -(2**15) and high < 2**15 else "i32"
    return "u16" if high < 2**16 else "u32"


def _digits(number: Decimal, step: Decimal) -> str:
    return _plain(kept_digits(number, step))


def _plain(number: Decimal) -> str:
    return f"{number:f}"


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _text(name)


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _inline(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_text(name)} = {_inline(held)}" for name, held in value.items()) + " }"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_inline(held) for held in value) + "]"
    return _text(str(value))
