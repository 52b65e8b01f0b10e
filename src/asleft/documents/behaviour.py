"""Differences in behaviour, with the sequence that shows each and how far was looked."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Literal

from asleft.documents.blocks import Block, Line, count, section
from asleft.explain import capital, said
from asleft.vocabulary import vocabulary

if TYPE_CHECKING:
    from asleft.behaviour import BehaviourDiff, CannotTell, Coverage, Difference, Duration
    from asleft.jobs.behaving import Behaving

_ALARMING = ("unwanted start", "runs on", "no protection", "direction", "faster")


def blocks(
    behaving: Behaving, differing: Collection[str] = (), title: str = "Behaves differently"
) -> list[Block]:
    """The part of a sheet that speaks of behaviour; nothing where nobody asked. ``differing`` are the keys
    whose values differ."""
    if not behaving.asked:
        return []
    diff = behaving.diff
    if diff is None:
        return section("Behaviour", [Line(f"Not examined: {behaving.why_not}.", depth=1)])
    body: list[Block] = [block for one in diff.differences for block in _difference(one)]
    body += [Line(_time(one), depth=1) for one in diff.durations]
    body += [Line(_open(one), "warn", 1) for one in diff.cannot_tell]
    if not body:
        body = [Line("No difference found.", "good", 1)]
    body.append(Line(how_far(diff), "dim", 1))
    body += [Line(text, "dim", 1) for text in _coverage(diff, differing)]
    return section(f"{title} ({len(diff.differences)})", body)


def lines(behaving: Behaving) -> Iterator[Block]:
    """The differences alone, for a place within a longer answer."""
    for one in behaving.diff.differences if behaving.diff else ():
        yield Line(f"Behaviour: {one.words}", _tone(one), 2)


def _difference(one: Difference) -> Iterator[Block]:
    yield Line(one.words, _tone(one), 1)
    if one.causes:
        yield Line(f"Because of: {', '.join(map(_cause, one.causes))}.", depth=2)
    if one.setup:
        yield Line(f"From: {'; '.join(text.rstrip('.') for text in one.setup)}.", "dim", 2)
    yield from (Line(f"Also: {text}", depth=2) for text in one.also)


def _tone(one: Difference) -> Literal["alarm", "warn"]:
    return "alarm" if one.kind in _ALARMING and not one.hidden else "warn"


def _cause(key: str) -> str:
    if key.startswith("option "):
        return f"how this model behaves ({key.removeprefix('option ').replace('_', ' ')})"
    parameter = vocabulary().get(key)
    return parameter.label if parameter else key


def _taken(key: str, given: str) -> str:
    """A value assumed, given as text, in words."""
    parameter = vocabulary().get(key)
    if parameter is None:
        return given.replace("_", " ")
    if parameter.kind == "set":
        return said(parameter, tuple(given.split()))
    try:
        return said(parameter, Decimal(given) if parameter.is_number else given)
    except ArithmeticError:
        return f"{given} {parameter.unit}"


def _time(one: Duration) -> str:
    if one.shape:
        return f"{capital(one.name)}: the same time, along another curve."
    return f"{capital(one.name)}: {_seconds(one.before)} before, {_seconds(one.after)} now."


def _seconds(given: Any) -> str:
    return "none" if given is None else f"{float(given):.4g} s"


def _open(one: CannotTell) -> str:
    return f"Cannot tell: {one.words}"


def how_far(diff: BehaviourDiff) -> str:
    """How far was looked, in words: nothing is said to be alike beyond that."""
    search = diff.search
    if search.complete:
        settled = "every sequence of inputs that settle was looked at"
    else:
        settled = (
            f"sequences of up to {search.depth} settled inputs were looked at, then the search was ended"
        )
    if search.k == 0:
        return f"Looked: {settled}."
    quick = "each followed by one quick change at once, half-way and just after"
    rest = "" if search.unsettled_complete else ", the shortest ones only"
    return f"Looked: {settled}, {quick}{rest}."


def _coverage(diff: BehaviourDiff, differing: Collection[str]) -> Iterator[str]:
    old, new = diff.coverage
    counts = f"{len(new.limited)} with limits, {len(new.not_modelled)} not"
    yield f"Of the entries {len(new.modelled)} are modelled in full, {counts}."
    missing = [key for key in differing if key in new.not_modelled or key in old.not_modelled]
    if missing:
        said = ", ".join(map(_cause, missing))
        yield f"These differ and are not modelled, so nothing is said of them: {said}."
    if new.not_read:
        yield f"Not read, and they count: {', '.join(map(_cause, new.not_read))}."
    if new.assumed:
        taken = (f"{_cause(key)}: {_taken(key, given)}" for key, given in new.assumed.items())
        yield f"Taken for granted: {'; '.join(taken)}."


def headline(behaving: Behaving) -> str:
    """A start nobody asked for, for the first line; empty where there is none."""
    if behaving.diff is None or not behaving.diff.differences:
        return ""
    worst = behaving.diff.differences[0]
    return worst.words if worst.kind == "unwanted start" and not worst.hidden else ""


def summary(behaving: Behaving) -> str:
    """How many differences in behaviour, for a first line; empty where behaviour was not examined."""
    if behaving.diff is None:
        return ""
    number = len(behaving.diff.differences)
    return (
        f"{count(number, 'difference', 'differences')} in behaviour"
        if number
        else "no difference in behaviour"
    )


def data(behaving: Behaving) -> list[dict[str, Any]]:
    """The differences for machines."""
    diff = behaving.diff
    if diff is None:
        return []
    return [
        {
            "kind": one.kind,
            "words": one.words,
            "setup": list(one.setup),
            "witness": [{"event": step.sentence, "moment": step.moment or "settled"} for step in one.witness],
            "causes": list(one.causes),
            "also": list(one.also),
            "hidden": one.hidden,
        }
        for one in diff.differences
    ]


def coverage_data(behaving: Behaving) -> dict[str, Any]:
    """How far behaviour was examined, for machines."""
    diff = behaving.diff
    if diff is None:
        return {"examined": False, "why_not": behaving.why_not}
    search = diff.search
    return {
        "examined": True,
        "settled_complete": search.complete,
        "depth": search.depth,
        "states": search.states,
        "unsettled_changes": search.k,
        "unsettled_complete": search.unsettled_complete,
        "durations": [
            {"name": one.name, "old": _number(one.before), "new": _number(one.after)}
            for one in diff.durations
        ],
        "cannot_tell": [
            {"key": one.key, "choices": list(one.choices), "words": one.words} for one in diff.cannot_tell
        ],
        "old": _coverage_data(diff.coverage[0]),
        "new": _coverage_data(diff.coverage[1]),
    }


def _number(given: Any) -> float | None:
    return None if given is None else float(given)


def _coverage_data(one: Coverage) -> dict[str, Any]:
    return {
        "modelled": len(one.modelled),
        "limited": dict(one.limited),
        "not_modelled": list(one.not_modelled),
        "not_understood": list(one.not_understood),
        "not_read": list(one.not_read),
        "assumed": dict(one.assumed),
    }
