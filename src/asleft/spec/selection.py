"""Which of several like inputs or relays a rule means: the one whose function is so and so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from asleft.spec.operands import operand
from asleft.spec.rules import Condition
from asleft.spec.subject import View
from asleft.spec.table import Table, numbers_of, operand_of_pattern

ENABLES = ("run_enable",)
FIELDS = ("where", "serves", "if_none")
SERVES = ("", "feeder")
IF_NONE = ("breached", "not_applicable", "met", "cannot_tell")


@dataclass(frozen=True, slots=True)
class Picked:
    """The keys meant; ``unsure`` says why some number could not be told."""

    keys: tuple[str, ...]
    unsure: str = ""


@dataclass(frozen=True, slots=True)
class Selection:
    """Conditions over numbered keys (``outputs.relay_n.function``), and what the relay serves.

    ``serves = "feeder"`` means the relays that permit a drive which feeds this one; where the slot records
    no relay that permits another drive, every relay that meets the conditions.
    """

    where: tuple[Condition, ...] = ()
    serves: str = ""
    if_none: str = "breached"

    def pick(self, pattern: str, view: View) -> Picked:
        """The keys of this pattern whose number meets every condition."""
        if "_n" not in pattern:
            return Picked((pattern,))
        keys, unsure = [], ""
        for number, key in numbers_of(pattern):
            answer = self._meets(number, view)
            if answer is True:
                keys.append(key)
            elif isinstance(answer, str):
                unsure = unsure or answer
        return Picked(tuple(keys), unsure)

    def _meets(self, number: int, view: View) -> bool | str:
        unsure = ""
        for condition in self.where:
            answer = Condition(_numbered(condition.name, number), condition.wanted).holds(view)
            if answer is False:
                return False
            unsure = unsure or (answer if isinstance(answer, str) else "")
        served = _serves_feeder(number, view) if self.serves == "feeder" else True
        if served is False:
            return False
        return unsure or served

    def looked_at(self) -> tuple[str, ...]:
        """Every numbered key the conditions look at."""
        return tuple(key for condition in self.where for _, key in numbers_of(condition.name))

    def make_one(self, what: str) -> str:
        """``set the function of one relay to running``."""
        asked = [f"the {head} of one {what} to {wanted}" for head, wanted in self._heads()]
        return f"set {' and '.join(asked)}" if asked else ""

    def aloud(self) -> str:
        """``the relay whose function is running``."""
        words = [f"whose {head} is {wanted}" for head, wanted in self._heads()]
        served = "which permits what feeds this drive" if self.serves == "feeder" else ""
        return " and ".join([*words, *([served] if served else [])])

    def _heads(self) -> Iterator[tuple[str, str]]:
        """Of each condition what it looks at, without the thing it belongs to, and what it wants."""
        for condition in self.where:
            found = operand_of_pattern(condition.name) or operand(condition.name)
            if found is not None:
                yield found.label.partition(" of ")[0], condition.wanted.words(found)


def read_selection(table: Table, pattern: str) -> Selection:
    """The selection fields of a rule. A key with ``_n`` needs one."""
    conditions = []
    for name, raw in table.mapping("where").items():
        found = table.operand(name, "where")
        wanted = None if found is None else table.wanted(found, raw, "where")
        if wanted is not None:
            conditions.append(Condition(name, wanted))
    if ("_n" in pattern) and not conditions and numbers_of(pattern):
        table.fault("key", f"which {pattern} is meant?", "Say so under where, or name the number.")
    return Selection(
        tuple(conditions),
        table.choice("serves", SERVES, ""),
        table.choice("if_none", IF_NONE, "breached"),
    )


def _numbered(pattern: str, number: int) -> str:
    return next((key for at, key in numbers_of(pattern) if at == number), pattern)


def _serves_feeder(number: int, view: View) -> bool | str:
    permits = view.asset.permits
    if not permits:
        return True
    unsure = ""
    for permit in permits:
        if permit.relay != number:
            continue
        other = view.of(permit.to)
        if other is None:
            if permit.input in ENABLES:
                return True
            unsure = f"what {permit.to} feeds is not known, and relay {number} serves it"
        elif any(feed.into == view.asset.tag for feed in other.asset.feeds):
            return True
    return unsure or False
