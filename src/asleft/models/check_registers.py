"""Checks of registers: collisions, and values that do not fit."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import TypeAlias

from asleft.models.looked import Looked
from asleft.models.model import Native, Register
from asleft.record import Fault

BOUNDS = {
    "u16": (0, 2**16 - 1),
    "i16": (-(2**15), 2**15 - 1),
    "u32": (0, 2**32 - 1),
    "i32": (-(2**31), 2**31 - 1),
}
"""Least and greatest count of each type."""
WORDS = {"u16": 1, "i16": 1, "u32": 2, "i32": 2}
TABLES = ("holding", "input")
Place: TypeAlias = tuple[int, int | None]
LAST = 65535
"""Address of the last register. Modbus Application Protocol V1.1b3: addresses have 16 bits."""


def _collisions(seen: Looked) -> Iterator[Fault]:
    tables: dict[str, dict[Place, Native]] = {}
    for native in seen.natives:
        if native.register is None:
            continue
        taken = tables.setdefault(native.register.table, {})
        if native.register.table not in TABLES:
            what = f"there is no register table {native.register.table!r}."
            yield seen.of(native, "table", what, f"It is {' or '.join(TABLES)}.")
        for place in _places(native.register):
            other = _holder(taken, place)
            if other is not None and other.id != native.id:
                what = f"register {place[0]} is also that of {other.id} ({other.text})."
                yield seen.of(native, "register", what, "Check numbers, types and words of both.")
                break
        taken.update(dict.fromkeys(_places(native.register), native))


def _places(register: Register) -> list[Place]:
    return [(register.number + word, register.bit) for word in range(register.words)]


def _holder(taken: dict[Place, Native], place: Place) -> Native | None:
    number, bit = place
    if bit is not None:
        return taken.get(place) or taken.get((number, None))
    return next((native for (held, _), native in taken.items() if held == number), None)


def _addresses(seen: Looked) -> Iterator[Fault]:
    base = seen.model.register_base
    for native in seen.natives:
        register = native.register
        if register is not None and not base <= register.number <= LAST + base - register.words + 1:
            yield seen.of(
                native,
                "register",
                f"register {register.number} lies outside a list that counts from {base}.",
                "Check the number and register_base.",
            )


def _types(seen: Looked) -> Iterator[Fault]:
    for native in seen.natives:
        if native.register is not None and (problem := _misfit(native, native.register)):
            yield seen.of(native, "type", problem, "Check type, range and step.")


def _misfit(native: Native, register: Register) -> str:
    kind = register.kind
    if kind != "text" and kind not in BOUNDS:
        return f"there is no type {kind!r}; it is u16, i16, u32, i32 or text."
    if (kind == "text") != (native.form == "text"):
        return f"form {native.form} does not travel as {kind}."
    if kind == "text":
        return ""
    if register.words != WORDS[kind]:
        return f"{kind} takes {('one register', 'two registers')[WORDS[kind] - 1]}, not {register.words}."
    least, greatest = BOUNDS[kind] if register.bit is None else (0, 1)
    beyond = [count for count in _counts(native) if not least <= count <= greatest]
    return f"{beyond[0]} steps do not fit {_room(register)}." if beyond else ""


def _room(register: Register) -> str:
    return register.kind if register.bit is None else "one bit"


def _counts(native: Native) -> list[Decimal]:
    """The counts that must fit: both ends of the range, or every code."""
    if native.form == "bits":
        return [Decimal(sum(1 << int(code) for code in native.choices if code.isdecimal()))]
    if native.choices:
        return [Decimal(code) for code in native.choices if code.lstrip("-").isdecimal()]
    if native.step and native.low is not None and native.high is not None:
        return [native.low / native.step, native.high / native.step]
    return []


CHECKS: tuple[Callable[[Looked], Iterator[Fault]], ...] = (_collisions, _addresses, _types)
