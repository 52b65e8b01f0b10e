"""A spec checked itself: contradictions, what no setting can meet, what is missing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from asleft.models import Model
from asleft.spec.claims import Claim, Claims
from asleft.spec.kinds.leaving import Leaving
from asleft.spec.operands import operand
from asleft.spec.reach import cannot_meet
from asleft.spec.reader import SpecFile
from asleft.spec.rules import Rule
from asleft.spec.wanted import disjoint

About = Literal["fault", "contradiction", "cannot_be_met", "blank", "no_source", "untested", "twice"]


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing to say of a spec. ``rule`` is empty where it concerns the file."""

    about: About
    words: str
    rule: str = ""
    where: str = ""
    line: int = 0


def check_spec(
    file: SpecFile, models: Iterable[Model] = (), beside: Iterable[SpecFile] = ()
) -> tuple[Remark, ...]:
    """Everything to be said of a spec file, worst first.

    ``models`` are the drive models at hand, ``beside`` the specs that judge the same drives, for
    contradictions between them.
    """
    spec = file.spec
    others = [rule for other in beside if other.spec.name != spec.name for rule in other.spec.rules]
    remarks = [
        Remark("fault", f"{fault.what} {fault.do_next}".strip(), "", spec.where, fault.line)
        for fault in file.faults
    ]
    remarks += _contradictions(spec.rules, others)
    for model in models:
        remarks += _unmeetable(spec.rules, model)
    for rule in spec.rules:
        remarks += _missing(rule)
    return tuple(remarks)


def _claims(rule: Rule) -> Sequence[Claim]:
    body = rule.body.claims if isinstance(rule.body, Leaving) else rule.body
    return body.claims if isinstance(body, Claims) else ()


def _contradictions(own: Sequence[Rule], others: Sequence[Rule]) -> Iterator[Remark]:
    pairs = [*combinations(own, 2), *((rule, other) for rule in own for other in others)]
    for one, other in pairs:
        if _never_together(one, other):
            continue
        for first in _claims(one):
            for second in _claims(other):
                if _same_value(first, second) and disjoint(first.wanted, second.wanted):
                    yield _contradiction(one, other, first, second)


def _same_value(first: Claim, second: Claim) -> bool:
    return (first.key, first.to_hz) == (second.key, second.to_hz) and first.selection == second.selection


def _never_together(one: Rule, other: Rule) -> bool:
    """Whether no drive is under both rules: other machine types, or conditions that exclude each other."""
    types = {one.application, other.application} - {"any"}
    if len(types) == 2 and not any("*" in name for name in types):
        return True
    return any(
        first.name == second.name and disjoint(first.wanted, second.wanted)
        for first in one.when
        for second in other.when
    )


def _contradiction(one: Rule, other: Rule, first: Claim, second: Claim) -> Remark:
    both = f"rule {other.id}" if one.spec == other.spec else f"rule {other.id} of {other.spec}"
    where = "" if not (one.when or other.when) else " where both apply"
    words = f"Rule {one.id} and {both} contradict each other{where}: {first.aloud()}; {second.aloud()}."
    return Remark("contradiction", words, one.id, one.where, one.line)


def _unmeetable(rules: Sequence[Rule], model: Model) -> Iterator[Remark]:
    for rule in rules:
        for claim in _claims(rule):
            why = cannot_meet(claim, model)
            if why:
                words = f"Rule {rule.id} cannot be met on {model.title}: {why}."
                yield Remark("cannot_be_met", words, rule.id, rule.where, rule.line)


def _missing(rule: Rule) -> Iterator[Remark]:
    if rule.blanks:
        words = f"Rule {rule.id} judges nothing until it is filled in: {'; '.join(rule.blanks)}."
        yield Remark("blank", words, rule.id, rule.where, rule.line)
    if not rule.source:
        words = f"Rule {rule.id} names no source. Name one, or say: common practice, no source."
        yield Remark("no_source", words, rule.id, rule.where, rule.line)
    if rule.severity in ("danger", "high") and not rule.proved_by and _about_behaviour(rule):
        words = f"Nothing tests rule {rule.id}: say under proved_by how the machine shows that it holds."
        yield Remark("untested", words, rule.id, rule.where, rule.line)


def _about_behaviour(rule: Rule) -> bool:
    """Whether the machine can show it: not where a rule is about the record, the slot or a rating."""
    names = rule.body.names() if rule.body else ("",)
    return (rule.kind != "leaving" and any(_settable(name) for name in names)) or rule.kind == "behaviour"


def _settable(name: str) -> bool:
    found = operand(name)
    return found is None or found.settable
