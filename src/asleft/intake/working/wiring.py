"""The wire list: what goes from which old terminal to which new one, and how switches and links stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.asking import Reply

if TYPE_CHECKING:
    from asleft.intake.working.work import Work

TASK = "wires"


def take(work: Work, text: str) -> Reply:
    """One line at the wire list."""
    word = text.lower()
    if word in ("done", "none"):
        return _end(work, word)
    if word == "undo":
        return _undo(work)
    if "=" in text:
        name, _, position = (part.strip() for part in text.partition("="))
        return _keep(work, f"switch:{name}", (name, position)) if name and position else _shape(work)
    parts = tuple(part.strip() for part in text.replace(";", ",").replace("\t", ",").split(","))
    if len(parts) != 3 or not all(parts):
        return _shape(work)
    return _keep(work, f"wire:{parts[0]}", parts)


def _shape(work: Work) -> Reply:
    return work.refuse(
        "A wire is its number, old terminal, new terminal, with commas: 12, X1.3, 41",
        "A switch or link is its name = its position. done ends the list.",
    )


def _rows(work: Work) -> list[str]:
    return [name for name in work.answers if name.startswith(("wire:", "switch:"))]


def _keep(work: Work, id_: str, parts: tuple[str, ...]) -> Reply:
    before = work.answers.pop(id_, None)
    answer = Answer(id_, "typed", "\t".join(parts))
    work.answers[id_] = answer
    instead = f", instead of {' to '.join(before.value.split(chr(9))[1:])}" if before else ""
    to = f"{parts[1]} to {parts[2]}" if len(parts) == 3 else f"at {parts[1]}"
    return Reply((f"  {parts[0]}: {to}{instead}. {len(_rows(work))} in the list.",), (answer,))


def _undo(work: Work) -> Reply:
    rows = _rows(work)
    if not rows:
        return work.refuse("The list is empty.")
    answer = work.answers.pop(rows[-1])
    return Reply((f"  taken back: {answer.value.partition(chr(9))[0]}",), (Answer(answer.id, "open"),))


def _end(work: Work, word: str) -> Reply:
    rows = _rows(work)
    if word == "none" and rows:
        return work.refuse(f"{len(rows)} are in the list. Type done, or undo.")
    if word == "done" and not rows:
        return work.refuse("The list is empty. Type none where nothing was moved; or skip and why.")
    return work.accept(Answer(TASK, "typed", word))
