"""One table of a spec file while it is read: typed fields, every fault with its line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from asleft.files.toml import Document
from asleft.files.value import did_you_mean
from asleft.record import Fault
from asleft.spec.operands import Operand, known_names, operand
from asleft.spec.wanted import Wanted, read_wanted
from asleft.vocabulary import vocabulary


class Table:
    """A table under ``path``. Faults go to the list handed in; what cannot be read comes back as None."""

    def __init__(
        self, data: Mapping[str, Any], path: tuple[str, ...], document: Document, faults: list[Fault]
    ) -> None:
        self.data = data
        self.path = path
        self.document = document
        self.faults = faults

    def __contains__(self, name: str) -> bool:
        return name in self.data

    def fault(self, name: str, what: str, do_next: str = "") -> None:
        """Note a fault at a field of this table."""
        self.faults.append(self.document.fault((*self.path, *([name] if name else [])), what, do_next))

    def only(self, fields: Iterable[str]) -> None:
        """Fault every field that means nothing here."""
        known = list(fields)
        for name in self.data:
            if name not in known:
                hint = did_you_mean(name, known) or f"It may hold {', '.join(sorted(known))}."
                self.fault(name, f"{name} means nothing here.", hint)

    def text(self, name: str, default: str = "") -> str:
        """A text; the default where it is missing or no text."""
        raw = self.data.get(name, default)
        if not isinstance(raw, str):
            self.fault(name, f"{name} is a text and stands in quotes.")
            return default
        return raw

    def choice(self, name: str, choices: Iterable[str], default: str) -> str:
        """One of some words; the default where it is missing or wrong."""
        known, raw = list(choices), self.data.get(name, default)
        if raw not in known:
            hint = did_you_mean(str(raw), known) or f"It may be {', '.join(known)}."
            self.fault(name, f"{name} cannot be {raw!r}.", hint)
            return default
        return str(raw)

    def truth(self, name: str, default: bool = False) -> bool:
        """true or false."""
        raw = self.data.get(name, default)
        if not isinstance(raw, bool):
            self.fault(name, f"{name} is true or false, without quotes.")
            return default
        return raw

    def mapping(self, name: str) -> Mapping[str, Any]:
        """A table below this one; empty where it is missing or none."""
        raw = self.data.get(name, {})
        if not isinstance(raw, Mapping):
            self.fault(name, f"{name} is a table.", f'Write {name} = {{ "key" = "value" }}.')
            return {}
        return raw

    def words(self, name: str) -> list[str]:
        """A list of texts, or one text alone; empty where it is missing or neither."""
        raw = self.data.get(name, [])
        listed = [raw] if isinstance(raw, str) else raw
        if not isinstance(listed, list) or not all(isinstance(one, str) for one in listed):
            self.fault(name, f"{name} is a text or a list of texts, in quotes.")
            return []
        return listed

    def operand(self, name: str, field: str) -> Operand | None:
        """The operand a field names; ``_n`` stands for every number of a repeated key."""
        found = operand(name) or operand_of_pattern(name)
        if found is None:
            self.fault(field, f"{name} is no known setting or value.", did_you_mean(name, _names()))
        return found

    def wanted(self, found: Operand, raw: Any, field: str) -> Wanted | None:
        """What a field wants of an operand."""
        try:
            return read_wanted(found, raw)
        except ValueError as problem:
            self.fault(field, str(problem))
            return None


def _names() -> list[str]:
    return [*known_names(), *(parameter.row for parameter in vocabulary().parameters.values())]


def operand_of_pattern(pattern: str) -> Operand | None:
    """The operand of a repeated key written with ``_n``: labelled without its number."""
    numbers = numbers_of(pattern)
    if not numbers:
        return None
    number, first = numbers[0]
    found = operand(first)
    if found is None:
        return None
    label = found.label.replace(f" {number} ", " ").removesuffix(f" {number}")
    return Operand(pattern, label, found.unit, found.kind, found.choices, found.settable)


@cache
def numbers_of(pattern: str) -> tuple[tuple[int, str], ...]:
    """Every number of a repeated key, with the key it makes."""
    if "_n" not in pattern:
        return ()
    return tuple(
        (parameter.number, parameter.key)
        for parameter in vocabulary().parameters.values()
        if parameter.row == pattern and parameter.number is not None
    )
