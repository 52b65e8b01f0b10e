"""Values that rise or fall one after another: ``keys``, ``is = "rising"`` or ``"falling"``, ``strictly``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from asleft.spec.claims import IF_ABSENT, read_keys
from asleft.spec.operands import ABSENT, Absent, Known, NotKnown
from asleft.spec.rules import IfAbsent, Outcome, sentence
from asleft.spec.subject import View
from asleft.spec.table import Table

FIELDS = ("keys", "is", "strictly", "if_absent")


@dataclass(frozen=True, slots=True)
class Order:
    """Each value against the next."""

    keys: tuple[str, ...]
    labels: tuple[str, ...]
    falling: bool
    strictly: bool
    if_absent: IfAbsent

    def judge(self, view: View) -> Iterator[Outcome]:
        """One outcome a neighbouring pair."""
        for first, second in pairwise(self.keys):
            yield self._pair(first, second, view)

    def _pair(self, first: str, second: str, view: View) -> Outcome:
        pair = (first, second)
        looked = [view.look(name) for name in pair]
        for found in looked:
            if isinstance(found, NotKnown):
                return Outcome("cannot_tell", pair, {}, "", self.aloud(), sentence(found.reason))
            if isinstance(found, Absent):
                absent = {name: ABSENT for name in pair if isinstance(view.look(name), Absent)}
                return Outcome(self.if_absent, pair, absent, ABSENT, self.aloud(), sentence(found.reason))
        low, high = (found for found in looked if isinstance(found, Known))
        values = {first: low.value, second: high.value}
        shown = f"{low.words}, then {high.words}"
        if self._in_order(low.value, high.value):
            return Outcome("met", pair, values, shown, self.aloud(), "The order is right.")
        more = "more" if self.falling else "less"
        words = (
            f"The {low.operand.label} is {low.words} and the {high.operand.label} {high.words}: "
            f"the first must be {more}."
        )
        do = f"set the {low.operand.label} {'above' if self.falling else 'below'} the {high.operand.label}"
        return Outcome("breached", pair, values, shown, self.aloud(), words, do=do)

    def _in_order(self, first: object, second: object) -> bool:
        if not isinstance(first, Decimal) or not isinstance(second, Decimal):
            return False
        if self.falling:
            first, second = second, first
        return first < second if self.strictly else first <= second

    def aloud(self) -> str:
        """``rising: preset 1, preset 2``."""
        return f"{'falling' if self.falling else 'rising'}, in this order: {', '.join(self.labels)}"

    def names(self) -> tuple[str, ...]:
        """The keys."""
        return self.keys


def read(table: Table) -> Order | None:
    """At least two numbers."""
    pairs = read_keys(table)
    for name, found in pairs:
        if found.kind not in ("number", "integer"):
            table.fault("keys", f"{name} is no number, so it has no order.")
    if len(pairs) < 2:
        table.fault("keys", "an order needs two keys or more.")
        return None
    return Order(
        tuple(name for name, _ in pairs),
        tuple(found.label for _, found in pairs),
        table.choice("is", ("rising", "falling"), "rising") == "falling",
        table.truth("strictly", True),
        table.choice("if_absent", IF_ABSENT, "not_applicable"),  # type: ignore[arg-type]
    )
