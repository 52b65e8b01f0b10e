"""What is asked at the drive, one after another: decisions, the wire list, questions, steps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from typing import Literal

from asleft.replace import Decision, PutRight, Step

Kind = Literal["decide", "wires", "ask", "entry", "do"]
AT_THE_END = "Read the whole unit back"
"""How the step begins which the guide does itself, entry by entry, when the list is done."""


@dataclass(frozen=True, slots=True)
class Task:
    """One thing asked. ``id`` names it in the journal: the same task of the same list has the same.

    Of ``decision``, ``question`` and ``step`` it holds the one its kind needs; ``wires`` needs none.
    """

    id: str
    kind: Kind
    decision: Decision | None = None
    question: str = ""
    step: Step | None = None


def tasks_of(
    listed: PutRight, decisions: Iterable[Decision], tonight: bool = False, replaced: bool = True
) -> tuple[Task, ...]:
    """The tasks in order; ``tonight`` keeps the steps that must be done before the first start. Wires and the
    questions before energising are only asked of a unit that is ``replaced``."""
    steps = listed.tonight if tonight else listed.steps
    asked = (Task(f"ask:{question}", "ask", question=question) for question in listed.before_energising)
    return (
        *(Task(f"decide:{one.key}", "decide", decision=one) for one in decisions),
        *((Task("wires", "wires"), *asked) if replaced else ()),
        *_steps(steps),
    )


def _steps(steps: Iterable[Step]) -> Iterator[Task]:
    met: dict[str, int] = {}
    for step in steps:
        if step.kind == "do" and step.text.startswith(AT_THE_END):
            continue
        name = f"do:{step.text}" if step.kind == "do" else f"enter:{step.native}={step.displayed}"
        met[name] = met.get(name, 0) + 1
        times = f"#{met[name]}" if met[name] > 1 else ""
        yield Task(f"{name}{times}", "do" if step.kind == "do" else "entry", step=step)


def fingerprint(tasks: Iterable[Task]) -> str:
    """Tells a list from another one: of another reading, record or model file."""
    return sha256("\n".join(task.id for task in tasks).encode("utf-8")).hexdigest()[:16]
