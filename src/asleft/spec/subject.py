"""What is judged: a drive's set in its slot, and where each name a rule uses finds its value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from asleft.models import Model
from asleft.record import Asset, ParameterSet, Value
from asleft.spec.computed_names import COMPUTED, FACTS
from asleft.spec.operands import Absent, Known, Looked, NotKnown, Operand, operand, owner_and_name
from asleft.spec.tidy import tidy
from asleft.vocabulary import vocabulary


@dataclass(frozen=True, slots=True)
class Subject:
    """One drive as it is judged.

    ``facts`` holds what the record knows and no drive holds, by the names of ``computed_names.FACTS``.
    ``events`` gives the last date of each event a waiver may end with; ``replacement`` is the unit's.
    """

    asset: Asset
    set: ParameterSet
    model: Model | None = None
    facts: Mapping[str, Value] = field(default_factory=dict)
    events: Mapping[str, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class View:
    """A subject on a day, among the other drives of the site."""

    subject: Subject
    others: Mapping[str, Subject]
    on: date

    @property
    def asset(self) -> Asset:
        """The slot."""
        return self.subject.asset

    def of(self, tag: str) -> View | None:
        """The view of another drive; None where it was not handed in."""
        other = self.others.get(tag)
        return None if other is None else View(other, self.others, self.on)

    def look_at(self, key: str) -> Looked:
        """The value of a key of a finding, which may be of another drive: ``E1/outputs…``."""
        owner, name = owner_and_name(key)
        there = self.of(owner) if owner else self
        found = operand(name)
        if there is None and found is not None:
            return NotKnown(found, f"{owner} is not among the drives read")
        return (there or self).look(name)

    def look(self, name: str) -> Looked:
        """The value of a name, or why there is none. Raises ``KeyError`` for a name that does not exist."""
        found = operand(name)
        if found is None:
            raise KeyError(name)
        if name in vocabulary():
            return self._of_drive(found)
        if name in COMPUTED:
            from asleft.spec.computed import compute

            return compute(found, self)
        if name in FACTS:
            return self._fact(found)
        return self._of_slot(found)

    def _of_drive(self, found: Operand) -> Looked:
        subject, name = self.subject, found.name
        for values in (
            subject.set.values,
            subject.model.fixed if subject.model else {},
            subject.asset.values,
        ):
            if name in values:
                return Known(found, values[name])
        if name in subject.set.not_read:
            return NotKnown(found, f"the {found.label} was not read: {subject.set.not_read[name]}")
        record = vocabulary()[name].class_ == "slot"
        if subject.model is not None and not subject.model.has(name) and not record:
            why = subject.model.absent.get(name, "")
            return Absent(
                found, f"this drive has no setting for the {found.label}{': ' + why if why else ''}"
            )
        return NotKnown(found, f"the {found.label} is not in the reading")

    def _of_slot(self, found: Operand) -> Looked:
        place, _, rest = found.name.partition(".")
        values = self.asset.plate if place == "plate" else self.asset.machine
        if rest in values:
            return Known(found, values[rest])
        return NotKnown(found, f"the {found.label} is not recorded in the slot")

    def _fact(self, found: Operand) -> Looked:
        facts = self.subject.facts
        if found.name in facts:
            return Known(found, facts[found.name])
        value, note = self._own_fact(found.name)
        if value is None:
            return NotKnown(found, f"the {found.label} is not recorded")
        return Known(found, value, note)

    def _own_fact(self, name: str) -> tuple[Value | None, str]:
        reading = self.subject.set.reading
        if name == "reading.kind" and reading is not None:
            return reading.kind, ""
        if name == "reading.age_months" and reading is not None:
            age = tidy(max(Decimal(0), months_between(reading.at.date(), self.on)))
            return age, f"read on {plain_date(reading.at.date())}"
        if name == "slot.application":
            return self.asset.application or None, ""
        if name == "slot.model":
            return self.subject.set.model or self.asset.model or None, ""
        return None, ""


def months_between(start: date, end: date) -> Decimal:
    """Whole months and a share of the next, days counted as 1/31: 12 from 1 March to 1 March, then more."""
    months = (end.year - start.year) * 12 + end.month - start.month
    days = end.day - start.day
    return (Decimal(months) + Decimal(days) / 31).quantize(Decimal("0.01"))


def plain_date(day: date) -> str:
    """``30 September 2026``, in every locale."""
    names = (
        "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
        "November", "December",
    )  # fmt: skip
    return f"{day.day} {names[day.month - 1]} {day.year}"
