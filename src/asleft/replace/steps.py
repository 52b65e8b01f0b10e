"""The put-right list: entries in their order, and the work between them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Literal

from asleft.compare import Change
from asleft.explain import consequence
from asleft.models.model import Model, Native
from asleft.models.translate import displayed_words
from asleft.record import Value
from asleft.replace.job import Do, Stage, job
from asleft.replace.order import LOCK_STAGE, Visit
from asleft.vocabulary import vocabulary

StepKind = Literal["entry", "read", "for_now", "do"]
NOT_KNOWN = "not read"
LAST_OF_THE_BASICS = 6


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the list.

    ``kind``: an entry; ``read`` first and enter only if it shows something else; ``for_now``, set again
    later; ``do``, work that is no entry. ``now`` and ``enter`` are displayed words, ``displayed`` what is
    entered as the drive has it. ``stopped``: the drive must be stopped; ``turns``: the shaft may turn.
    ``why`` is the reason of its place, ``does`` what the entry changes. ``needs`` are numbers of steps that
    come first. ``tonight`` is False for what may wait until morning.
    """

    number: int
    stage: int
    kind: StepKind
    text: str
    why: str
    native: str = ""
    menu: str = ""
    keys: tuple[str, ...] = ()
    now: str = ""
    enter: str = ""
    displayed: str = ""
    stopped: bool = False
    turns: bool = False
    does: str = ""
    needs: tuple[int, ...] = ()
    risk: str = ""
    tonight: bool = True


@dataclass
class _List:
    steps: list[Step] = field(default_factory=list)
    numbers: dict[str, int] = field(default_factory=dict)

    @property
    def next(self) -> int:
        return len(self.steps) + 1


def put_in_order(
    visits: Sequence[Visit],
    model: Model,
    old: Mapping[str, Value],
    new: Mapping[str, Value],
    met: Collection[str],
) -> tuple[Step, ...]:
    """Number entries and work. ``met`` names the conditions of conditional work that hold."""
    found = _List()
    waiting = list(visits)
    for stage in job().stages:
        here = [visit for visit in waiting if visit.stage <= stage.number]
        waiting = waiting[len(here) :]
        work = [do for do in stage.do if not do.when or do.when in met]
        _add_work(found, stage, [do for do in work if do.first])
        for visit in here:
            _add_work(found, stage, _before_run_input(visit, work, found))
            _add_entry(found, stage, visit, old, new)
        done = {step.text for step in found.steps}
        _add_work(found, stage, [do for do in work if not do.first and do.text not in done])
    return tuple(found.steps)


def _before_run_input(visit: Visit, work: Sequence[Do], found: _List) -> list[Do]:
    if not is_run_input(visit.native, visit.enter):
        return []
    done = {step.text for step in found.steps}
    return [do for do in work if do.when == "run_input" and do.text not in done]


def split(steps: Sequence[Step], model: Model, weighty: Collection[str]) -> tuple[Step, ...]:
    """Mark what may wait until morning: low risk, not of the nameplate to the limits, no rule of weight on
    it (``weighty`` keys), resetting nothing, and nothing of tonight in need of it."""
    late = {
        step.number
        for step in steps
        if step.kind in ("entry", "read")
        and step.risk == "low"
        and step.stage > LAST_OF_THE_BASICS
        and step.stage != LOCK_STAGE
        and not set(step.keys) & set(weighty)
        and not model.natives[step.native].sets
    }
    for step in reversed(steps):
        if step.number not in late:
            late -= set(step.needs)
    return tuple(replace(step, tonight=step.number not in late) for step in steps)


def is_run_input(native: Native, displayed: str) -> bool:
    """Whether this entry gives an input a function that can start the motor."""
    choice = native.choices.get(displayed)
    return choice is not None and any(
        key.startswith("digital_inputs.") and name in job().run_functions for key, name in choice.sets.items()
    )


def _add_work(found: _List, stage: Stage, work: Sequence[Do]) -> None:
    for do in work:
        found.steps.append(
            Step(found.next, stage.number, "do", do.text, do.why, stopped=do.stopped, turns=do.turns)
        )


def _add_entry(
    found: _List, stage: Stage, visit: Visit, old: Mapping[str, Value], new: Mapping[str, Value]
) -> None:
    native = visit.native
    now = NOT_KNOWN if visit.kind == "read" else "set by itself, read it"
    number = found.next
    found.steps.append(
        Step(
            number=number,
            stage=stage.number,
            kind=visit.kind,
            text=native.text,
            why=_why(visit, stage),
            native=native.id,
            menu=native.menu,
            keys=native.keys,
            now=now if visit.now is None else displayed_words(native, visit.now),
            enter=displayed_words(native, visit.enter),
            displayed=visit.enter,
            stopped=native.locked_running or any(vocabulary()[key].locked_running for key in native.keys),
            turns=job().turns(native.keys),
            does="" if visit.kind == "for_now" else " ".join(dict.fromkeys(_does(native.keys, old, new))),
            needs=tuple(sorted(found.numbers[need] for need in visit.needs if need in found.numbers)),
            risk=_risk(native.keys),
        )
    )
    found.numbers[native.id] = number


def _why(visit: Visit, stage: Stage) -> str:
    if visit.kind == "read":
        place = visit.why or stage.why
        return f"not read, and missing is not default: read this first, enter only if it differs; {place}"
    return visit.why or stage.why


def _does(keys: Sequence[str], old: Mapping[str, Value], new: Mapping[str, Value]) -> Iterator[str]:
    edges = [key for key in keys if key.startswith("skip_bands.")]
    if len(edges) == 2 and (said := _band(edges, old, new)):
        yield said
        return
    for key in keys:
        before, after = old.get(key), new.get(key)
        if before is None or after is None or type(before) is not type(after):
            yield vocabulary()[key].meaning
        elif before != after and (said := consequence(Change(key, before, after))):
            yield said


def _band(edges: Sequence[str], old: Mapping[str, Value], new: Mapping[str, Value]) -> str:
    """What an entry that moves both edges of a skip band does; empty where an edge is not known."""
    ends = [held.get(key) for held in (old, new) for key in edges]
    numbers = [end for end in ends if isinstance(end, Decimal)]
    if len(numbers) < 4:
        return ""
    (before_low, before_high), (low, high) = sorted(numbers[:2]), sorted(numbers[2:])
    if low == high:
        return "This band keeps no speed out any more."
    kept = f"{low} to {high} Hz"
    if before_low == before_high:
        return f"The motor no longer rests at {kept}: it passes through."
    return f"The speeds kept out are {kept} now, {before_low} to {before_high} Hz before."


def _risk(keys: Sequence[str]) -> str:
    risks = [vocabulary()[key].risk for key in keys]
    return next((risk for risk in ("high", "medium", "low") if risk in risks), "medium")
