"""A value against one of another drive: a relation with ``other`` and ``other_of``.

``other`` is ``receiver`` (what this drive feeds into), ``feeder`` (what feeds into it) or ``alike`` (drives
marked as alike, such as two on one pulley).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from asleft.spec.claims import IF_ABSENT
from asleft.spec.kinds.relation import FIELDS as RELATION_FIELDS
from asleft.spec.kinds.relation import Comparison, Relation, compare
from asleft.spec.kinds.relation import read as read_relation
from asleft.spec.links import OTHERS, linked
from asleft.spec.operands import Operand
from asleft.spec.rules import IfAbsent, Outcome, sentence
from asleft.spec.selection import IF_NONE
from asleft.spec.subject import View
from asleft.spec.table import Table

FIELDS = (*RELATION_FIELDS, "other", "if_none")


@dataclass(frozen=True, slots=True)
class Between:
    """``left`` of this drive against ``right`` of each drive linked to it."""

    left: Operand
    right: Operand
    comparison: Comparison
    other: str
    if_absent: IfAbsent
    if_none: str

    def judge(self, view: View) -> Iterator[Outcome]:
        """One outcome a linked drive."""
        tags = linked(view, self.other)
        if not tags:
            words = sentence(f"the slot does not record {OTHERS[self.other]}")
            yield Outcome(self.if_none, ("slot.links",), {"slot.links": "none"}, "", self.aloud(), words)  # type: ignore[arg-type]
        for tag in tags:
            there = view.of(tag)
            if there is None:
                yield Outcome(
                    "cannot_tell", (), {}, "", self.aloud(), f"{tag} has no reading to compare with."
                )
            else:
                found = view.look(self.left.name), there.look(self.right.name)
                yield compare(*found, self.comparison, self.aloud(), self.if_absent, view, tag)

    def aloud(self) -> str:
        """``the stop time must be at most the stop time − 2 s of the drive it feeds into``."""
        right = self.comparison.aloud(f"the {self.right.label} of {OTHERS[self.other]}", self.right.unit)
        return f"the {self.left.label} must be {right}"

    def names(self) -> tuple[str, ...]:
        """Both sides."""
        return self.left.name, self.right.name


def read(table: Table) -> Between | None:
    """A relation, and which other drives it holds for."""
    other = table.choice("other", OTHERS, "receiver")
    if "other" not in table:
        table.fault("", "other is missing.", f"One of {', '.join(OTHERS)}.")
    relation: Relation | None = read_relation(table)
    if relation is None:
        return None
    absent: IfAbsent = table.choice("if_absent", IF_ABSENT, "breached")  # type: ignore[assignment]
    none = table.choice("if_none", IF_NONE, "cannot_tell")
    return Between(relation.left, relation.right, relation.comparison, other, absent, none)
