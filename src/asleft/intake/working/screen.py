"""The screen of one task: at most 24 lines of 79 columns, each readable aloud."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from asleft.explain import capital, said
from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.screen import plain_menu, wrapped
from asleft.intake.working.tasks import Task
from asleft.record import Value
from asleft.replace import Decision, Option, Step
from asleft.replace.job import job
from asleft.vocabulary import vocabulary

MOST_OPTIONS = 6
MOST_LINES = 20
_LISTED = 16
ENTER = {"entry": "enter", "read": "should be", "for_now": "enter, only for now"}
PROMPTS = {
    "decide": "Number, or what is done instead in your words > ",
    "wires": "Wire, switch, or done > ",
    "ask": "Answer in your words, or skip and why > ",
    "do": "Type done when it is done > ",
}


def screen(task: Task, done: int, total: int, whole: bool = False) -> tuple[str, ...]:
    """What is shown before the prompt; ``whole`` leaves nothing out."""
    heading = f"-- {_title(task)}: {done} of {total} done in all --"
    lines = wrapped(["", heading, *_body(task, whole)])
    if whole or len(lines) <= MOST_LINES:
        return lines
    return (*lines[: MOST_LINES - 1], "  and more; see all of it with: ?")


def prompt(task: Task) -> str:
    """The line behind which the person types."""
    if task.step is not None and task.kind == "entry":
        return "What does it show now? > " if task.step.kind == "read" else "Read it back: it shows > "
    return PROMPTS[task.kind]


def caution(step: Step) -> str:
    """The question to be answered with yes before a step; empty where it needs none."""
    if step.turns:
        ready = "Is the drive stopped, and everybody clear" if step.stopped else "Is everybody clear of it"
        return f"THE SHAFT MAY TURN. {ready}?"
    return "Is the drive stopped?" if step.stopped else ""


def _title(task: Task) -> str:
    if task.step is not None:
        stage = job().stages[task.step.stage - 1]
        return f"Step {task.step.number}, {stage.title}"
    return {"decide": "Decide first", "wires": "Wire list", "ask": "Before energising"}[task.kind]


def _body(task: Task, whole: bool) -> list[str]:
    if task.decision is not None:
        return _decision(task.decision, whole)
    if task.step is not None:
        return (
            _entry(task.step) if task.kind == "entry" else [task.step.text, f"  Why here: {task.step.why}."]
        )
    return [task.question] if task.question else list(_WIRES)


_WIRES = (
    "Each wire in a line of its own: wire number, old terminal, new terminal.",
    "  For example: 12, X1.3, 41",
    "Each switch or link: its name = its position. For example: S4 = 4-20 mA",
    "undo takes the last one back. done ends the list; none says that there are none.",
    "What each terminal has to do is told by: asleft tables, and the tag.",
)


def _entry(step: Step) -> list[str]:
    lines = [
        f"{step.native} {step.text}, menu {plain_menu(step.menu)}",
        f"  now: {step.now}",
        f"  {ENTER[step.kind]}: {step.enter}",
        f"  Why here: {step.why.rstrip('.')}.",
    ]
    if step.kind == "read":
        lines.append("  Read it first; enter it only if it shows something else.")
    return [*lines, f"  What it does: {step.does}"] if step.does else lines


def _decision(one: Decision, whole: bool) -> list[str]:
    lines = [f"{name(one.key)}: the record has {_said(one.key, one.wanted)}; {one.reason}.", one.consequence]
    if one.breached:
        lines.append(f"What it does instead breaches {_rules(one.breached)}.")
    lines += [f"  {place} {_option(option)}" for place, option in enumerate(_offered(one, whole), 1)]
    hidden = len(one.options) - len(_offered(one, whole))
    if hidden:
        lines.append(f"  and {hidden} more; see them with: ?")
    holds = "as it is" if one.holds is None else f"as it is, {_said(one.key, one.holds)}"
    lines.append(f"  0 leave it {holds}")
    if one.along:
        lines.append(f"Decided with it: {', '.join(map(name, one.along))}.")
    return [*lines, one.remedy] if one.remedy else lines


def _offered(one: Decision, whole: bool) -> Sequence[Option]:
    return one.options if whole else one.options[:MOST_OPTIONS]


def _option(option: Option) -> str:
    met = f" Meets {_rules(option.met)}." if option.met else ""
    breached = f" Breaches {_rules(option.breached)}." if option.breached else ""
    return f"{option.words}.{met}{breached}"


def _rules(numbers: Sequence[str]) -> str:
    return f"{'rule' if len(numbers) == 1 else 'rules'} {', '.join(numbers)}"


def name(key: str) -> str:
    """What is decided, in words; a native id stands for itself."""
    parameter = vocabulary().get(key)
    return capital(parameter.label) if parameter else key


def _said(key: str, value: Value) -> str:
    parameter = vocabulary().get(key)
    return said(parameter, value) if parameter else str(value)


def state(task: Task, answer: Answer | None) -> str:
    """What was said of a task."""
    if answer is None:
        return "open"
    if not answer.is_read:
        return f"left out: {answer.reason}"
    if task.kind == "decide":
        return answer.value.replace("=", ": ")
    return f"reads {answer.value}" if task.kind == "entry" else answer.value


def title(task: Task) -> str:
    """A task in one short line."""
    if task.step is not None:
        return f"{task.step.number} {task.step.native} {task.step.text}".replace("  ", " ")
    return name(task.decision.key) if task.decision is not None else task.question or "Wire list"


def listed(tasks: Sequence[Task], answers: Mapping[str, Answer], here: int) -> tuple[str, ...]:
    """The tasks around one, with what was said of each."""
    first = max(0, min(here - _LISTED // 2, len(tasks) - _LISTED))
    lines = []
    for place, task in enumerate(tasks[first : first + _LISTED], first):
        said_of = state(task, answers.get(task.id))
        lines.append(f"{'>' if place == here else ' '} {title(task)[:44]}: {said_of}"[:78])
    return tuple(lines)


def summary(tasks: Sequence[Task], answers: Mapping[str, Answer]) -> tuple[str, ...]:
    """What was done in all, and what was left out."""
    entries = [task for task in tasks if task.kind == "entry"]
    made = sum(1 for task in entries if (answer := answers.get(task.id)) and answer.is_read)
    left = [task for task in tasks if (answer := answers.get(task.id)) and not answer.is_read]
    shown = [f"  {title(task)}: {answers[task.id].reason}" for task in left[:_LISTED]]
    more = [f"  and {len(left) - len(shown)} more"] if len(left) > len(shown) else []
    heading = ["", f"{made} of {len(entries)} entries made and read back."]
    return wrapped([*heading, *([f"Left out ({len(left)}):"] if left else []), *shown, *more])
