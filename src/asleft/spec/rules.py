"""What a rule and a spec are once read, and what judging one rule gives."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

from asleft.record import Value
from asleft.record.findings import Result, Severity
from asleft.spec.operands import Known, NotKnown
from asleft.spec.subject import View
from asleft.spec.wanted import Wanted

IfAbsent = Literal["breached", "not_applicable", "met", "cannot_tell"]
"""What a rule says where the drive has no such setting. A requirement nobody can set is a breach by default:
the drive cannot do what the machine needs. A prohibition of something the drive lacks is ``met``, and a rule
about an option that is not fitted is ``not_applicable``; the rule's ``if_absent`` says so."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one part of a rule came to.

    ``keys`` may name a setting of another drive as ``TAG/key``. ``words`` is a whole sentence; ``targets``
    are the values that would meet the rule, ``do`` what else to do, ``notes`` how far the result goes.
    """

    result: Result
    keys: tuple[str, ...] = ()
    values: Mapping[str, Value] = field(default_factory=dict)
    found: str = ""
    required: str = ""
    words: str = ""
    targets: Mapping[str, Value] = field(default_factory=dict)
    do: str = ""
    notes: tuple[str, ...] = ()


class Body(Protocol):
    """What is particular to one kind of rule."""

    def judge(self, view: View) -> Iterable[Outcome]:
        """The parts of the rule, each with its result."""

    def aloud(self) -> str:
        """The requirement as a person says it, without reason."""

    def names(self) -> tuple[str, ...]:
        """The names of all values it looks at, as the file has them."""


@dataclass(frozen=True, slots=True)
class Condition:
    """A rule applies where the value of ``name`` is as ``wanted``."""

    name: str
    wanted: Wanted

    def holds(self, view: View) -> bool | str:
        """Whether it holds, or why that cannot be told. What the drive lacks, does not hold."""
        found = view.look(self.name)
        if isinstance(found, Known):
            return self.wanted.holds(found.value)
        return found.reason if isinstance(found, NotKnown) else False

    def aloud(self) -> str:
        """``the controller mode is speed_from_pid``."""
        from asleft.spec.operands import operand

        found = operand(self.name)
        return f"the {found.label} is {self.wanted.words(found)}" if found else self.name


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of a spec.

    ``application`` is the machine type it is for, ``*`` for any letters, or ``any``; ``own_application`` is
    whether the rule names it itself and does not take the spec's. ``blanks`` are values left to fill in: with
    any of them it judges nothing. ``do`` says what to do about a breach where setting the value found would
    be wrong; ``proved_by`` how a person shows at the machine that it holds.
    """

    id: str
    spec: str
    kind: str
    text: str
    reason: str
    severity: Severity
    source: str = ""
    owner: str = ""
    revision: str = ""
    application: str = "any"
    own_application: bool = False
    when: tuple[Condition, ...] = ()
    body: Body | None = None
    blanks: tuple[str, ...] = ()
    do: str = ""
    proved_by: str = ""
    where: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Spec:
    """The rules of one machine type, in the order of the file."""

    name: str
    title: str
    revision: str
    owner: str
    application: str
    rules: tuple[Rule, ...]
    version: str = ""
    where: str = ""

    def rule(self, rule_id: str) -> Rule | None:
        """The rule of that id, or None."""
        return next((rule for rule in self.rules if rule.id == rule_id), None)


def read_aloud(rule: Rule) -> str:
    """The whole rule as a person says it: requirement, when it applies, reason."""
    required = rule.body.aloud() if rule.body else f"to be filled in: {'; '.join(rule.blanks)}"
    when = f", where {' and '.join(condition.aloud() for condition in rule.when)}" if rule.when else ""
    return f"Rule {rule.id}: {required}{when}. {sentence(rule.reason)}"


def sentence(words: str) -> str:
    """The words with a capital and a full stop."""
    words = words.strip()
    if not words:
        return ""
    return words[0].upper() + words[1:] + ("" if words.endswith((".", "?", "!")) else ".")
