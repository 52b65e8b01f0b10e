"""One value held against what is wanted of it: the part that limit, exact, one of and exclude share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from asleft.record import Value
from asleft.record.findings import Result
from asleft.spec.operands import ABSENT, Absent, Known, NotKnown, Operand, operand
from asleft.spec.rules import IfAbsent, Outcome, sentence
from asleft.spec.selection import FIELDS as SELECTION_FIELDS
from asleft.spec.selection import Selection, read_selection
from asleft.spec.subject import View
from asleft.spec.table import Table, operand_of_pattern
from asleft.spec.through import moved
from asleft.spec.tidy import tidy
from asleft.spec.wanted import Wanted, Without

IF_ABSENT: tuple[IfAbsent, ...] = ("breached", "not_applicable", "met", "cannot_tell")
FIELDS = (*SELECTION_FIELDS, "if_absent", "to")


@dataclass(frozen=True, slots=True)
class Claim:
    """``key`` must be as ``wanted``. ``to_hz`` counts a ramp time to that frequency, whatever the drive's
    own ramp reference is."""

    key: str
    wanted: Wanted
    selection: Selection = field(default_factory=Selection)
    if_absent: IfAbsent = "breached"
    to_hz: Decimal | None = None

    def judge(self, view: View) -> Iterator[Outcome]:
        """One outcome a key picked."""
        picked = self.selection.pick(self.key, view)
        for key in picked.keys:
            yield self._of_key(key, view)
        if picked.unsure:
            words = f"It cannot be told which one is meant: {picked.unsure}."
            yield Outcome("cannot_tell", (), required=self._required(), words=words)
        elif not picked.keys:
            yield self._nothing_picked(view)

    def _nothing_picked(self, view: View) -> Outcome:
        tail = self._named().label.partition(" of ")[2]
        words = f"There is no {tail} {self.selection.aloud()}, and the rule needs one."
        result: Result = self.selection.if_none  # type: ignore[assignment]
        do = self.selection.make_one(tail)
        values = {
            key: found.value
            for key in self.selection.looked_at()
            if isinstance(found := view.look(key), Known)
        }
        return Outcome(result, tuple(values), values, "none", self._required(), words, do=do)

    def _of_key(self, key: str, view: View) -> Outcome:
        found = view.look(key)
        if isinstance(found, Absent):
            words = sentence(found.reason)
            return Outcome(self.if_absent, (key,), {key: ABSENT}, ABSENT, self._required(), words)
        if isinstance(found, NotKnown):
            return Outcome(
                "cannot_tell", (key,), required=self._required(), words=f"{sentence(found.reason)}"
            )
        reference = None
        if self.to_hz is not None:
            base = view.look("derived.ramp_reference_hz")
            if not isinstance(base, Known) or not isinstance(base.value, Decimal):
                return Outcome("cannot_tell", (key,), {}, found.words, self._required(), _no_base(base))
            reference = base.value
        return self._held(found, self._judged(found.value, reference), reference, view)

    def _judged(self, value: Value, reference: Decimal | None) -> Value:
        if reference is None or self.to_hz in (None, reference) or not isinstance(value, Decimal):
            return value
        return tidy(value * (self.to_hz or reference) / reference)

    def _held(self, found: Known, value: Value, reference: Decimal | None, view: View) -> Outcome:
        named, key = found.operand, found.operand.name
        shown = named.words(value)
        if reference is not None and reference != self.to_hz:
            shown += f" to {self.to_hz} Hz ({found.words} to {tidy(reference)} Hz)"
        note = f" ({found.note})" if found.note else ""
        if self.wanted.holds(value):
            words = f"{named.label}: {shown}."
            return Outcome("met", (key,), {key: value}, shown + note, self._required(), sentence(words))
        verb = "are" if named.kind in ("set", "list") else "is"
        never = isinstance(self.wanted, Without) and verb == "is"
        words = sentence(f"{named.label} {verb} {shown} and {'must not be' if never else self._must()}")
        targets, do = self._remedy(found, value, reference, view)
        return Outcome("breached", (key,), {key: value}, shown + note, self._required(), words, targets, do)

    def _remedy(
        self, found: Known, value: Value, reference: Decimal | None, view: View
    ) -> tuple[Mapping[str, Value], str]:
        """The values that meet the claim, or what to do in words."""
        named = found.operand
        target = self.wanted.nearest(value)
        if not named.settable:
            bound = target if isinstance(target, Decimal) else None
            more = bound is not None and isinstance(value, Decimal) and bound > value
            remedy = moved(found, bound, more, view)
            return remedy.targets, remedy.do
        if target is not None:
            return {named.name: self._target(target, reference)}, ""
        return {}, f"set the {named.label} {self.wanted.way(named)}"

    def _target(self, target: Value, reference: Decimal | None) -> Value:
        if reference is None or self.to_hz is None or not isinstance(target, Decimal):
            return target
        return tidy(target * reference / self.to_hz)

    def _required(self) -> str:
        return f"{self.wanted.words(self._named())}{self._counted()}"

    def _must(self) -> str:
        return f"{self.wanted.must(self._named())}{self._counted()}"

    def _counted(self) -> str:
        return f", counted to {self.to_hz} Hz" if self.to_hz is not None else ""

    def _named(self) -> Operand:
        return operand(self.key) or operand_of_pattern(self.key) or Operand(self.key, self.key)

    def aloud(self) -> str:
        """``the acceleration time 1 must be from 6 s to 12 s``."""
        head, of, tail = self._named().label.partition(" of ")
        if not self.selection.where:
            return f"the {head}{of}{tail} {self._must()}"
        return f"the {head} of the {tail} {self.selection.aloud()} {self._must()}"

    def names(self) -> tuple[str, ...]:
        """The key, and those of the selection."""
        return (self.key, *(condition.name for condition in self.selection.where))


@dataclass(frozen=True, slots=True)
class Claims:
    """Several claims that must all hold."""

    claims: tuple[Claim, ...]

    def judge(self, view: View) -> Iterator[Outcome]:
        """The outcomes of all, one after another."""
        for claim in self.claims:
            yield from claim.judge(view)

    def aloud(self) -> str:
        """All claims joined by ``and``."""
        return " and ".join(claim.aloud() for claim in self.claims)

    def names(self) -> tuple[str, ...]:
        """The names of all claims."""
        return tuple(name for claim in self.claims for name in claim.names())


def read_keys(table: Table) -> tuple[tuple[str, Operand], ...]:
    """The keys a rule names by ``key`` or ``keys``, with their operands."""
    named = table.words("key" if "key" in table else "keys")
    if not named:
        table.fault("", "the rule names no key.", 'Give key = "…".')
    field = "key" if "key" in table else "keys"
    pairs = [(name, table.operand(name, field)) for name in named]
    return tuple((name, found) for name, found in pairs if found is not None)


def claim(table: Table, name: str, wanted: Wanted) -> Claim:
    """A claim with the rule's selection, conversion and answer for a drive that lacks the setting."""
    return Claim(
        name,
        wanted,
        read_selection(table, name),
        table.choice("if_absent", IF_ABSENT, "breached"),  # type: ignore[arg-type]
        _to_hz(table, name),
    )


def wanted_or_fault(table: Table, read: Any, field: str) -> Wanted | None:
    """What ``read`` gives, or a fault at the field and None."""
    try:
        wanted: Wanted = read()
    except ValueError as problem:
        table.fault(field, str(problem))
        return None
    return wanted


def _to_hz(table: Table, name: str) -> Decimal | None:
    if "to" not in table:
        return None
    from asleft.spec.quantities import read_quantity

    if not name.startswith(("ramps.accel_time", "ramps.decel_time", "ramps.quick_stop_time")):
        table.fault("to", f"only a ramp time counts to a frequency, and {name} is none.")
        return None
    try:
        return read_quantity(table.data["to"], "Hz")
    except ValueError as problem:
        table.fault("to", str(problem))
        return None


def _no_base(base: Known | NotKnown | Absent) -> str:
    reason = base.reason if isinstance(base, (NotKnown, Absent)) else "the ramp reference is no number"
    return f"What the ramp time counts to is not known: {reason}."
