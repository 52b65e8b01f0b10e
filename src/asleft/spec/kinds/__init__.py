"""One module a kind of rule. Each has ``FIELDS``, its own fields, and ``read``, which makes the body."""

from __future__ import annotations

from collections.abc import Callable, Collection
from importlib import import_module

from asleft.spec.rules import Body
from asleft.spec.table import Table

KINDS = {
    "limit": "a number between bounds",
    "exact": "settings at exact values",
    "one_of": "a setting at one of several choices",
    "exclude": "a set without some members, or any choice but some",
    "order": "values that rise or fall one after another",
    "outside": "speeds outside the skip bands",
    "relation": "a value against another of the drive, the motor plate or the machine",
    "between": "a value against one of another drive",
    "permit": "a relay of another drive that permits this one",
    "leaving": "how a drive is left when the work is done",
    "behaviour": "things that happen one after another, and what must be seen",
}
"""The kinds by name, with what each says. The module of a kind has its name."""


def fields_of(kind: str) -> Collection[str]:
    """The fields a kind adds to those every rule has."""
    fields: Collection[str] = import_module(f"asleft.spec.kinds.{kind}").FIELDS
    return fields


def reader_of(kind: str) -> Callable[[Table], Body | None]:
    """What reads the body of a rule of this kind; None comes back where faults were noted."""
    reader: Callable[[Table], Body | None] = import_module(f"asleft.spec.kinds.{kind}").read
    return reader
