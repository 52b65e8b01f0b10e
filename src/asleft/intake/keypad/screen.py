"""Lines of a screen of 80 columns, each readable aloud: prompts, lists and help. No colour, no cursor."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.purpose import Purpose
from asleft.intake.keypad.rows import Row
from asleft.vocabulary import vocabulary

WIDTH = 79
_ROOM = 14
_MOST_CHANGES = 12


def wrapped(lines: Iterable[str], indent: str = "  ") -> tuple[str, ...]:
    """The lines, none wider than the screen."""
    return tuple(
        part
        for line in lines
        for part in textwrap.wrap(line, WIDTH, subsequent_indent=indent, break_on_hyphens=False) or [""]
    )


def plain_menu(menu: str) -> str:
    """A menu path as read aloud."""
    return " / ".join(part.strip() for part in menu.split("/"))


def state(row: Row, answer: Answer | None) -> str:
    """What was said of an entry."""
    if answer is None:
        return "open"
    if not answer.is_read:
        return f"not read: {answer.reason}"
    how = {"same": ", as shown", "together": ", as shown, with the menu"}.get(answer.how, "")
    return f"{row.words(answer.value)}{how}"


def question(row: Row, answer: Answer | None, purpose: Purpose) -> tuple[str, ...]:
    """The lines that ask for one entry; the last one is where the person types."""
    asked = "; ".join(filter(None, (_known(row, answer, purpose), _ask(row))))
    whole = f"{row.title}: {asked} > "
    if len(whole) <= WIDTH - _ROOM:
        return (whole,)
    *before, last = wrapped([f"{row.title}:", f"  {asked}"])
    return (*before, f"{last} > ") if len(last) <= WIDTH - _ROOM else (*before, last, "  > ")


def _known(row: Row, answer: Answer | None, purpose: Purpose) -> str:
    if answer is not None and not answer.is_read:
        return f"now not read, {answer.reason}"
    parts = [] if answer is None else [f"now {row.words(answer.value)}"]
    if row.shown is not None:
        same = answer is None and row.shown == row.factory
        parts.append(f"{purpose.held} {row.words(row.shown)}{', factory too' if same else ''}")
    if row.factory is not None and row.factory != row.shown and answer is None:
        parts.append(f"factory {row.words(row.factory)}")
    return ", ".join(parts) or "not recorded yet"


def _ask(row: Row) -> str:
    if row.native.secret:
        return "set, not set or factory?"
    if row.moving:
        return "type what it shows now"
    return "" if row.offered is not None else _range(row)


def _range(row: Row) -> str:
    native = row.native
    if native.is_number and native.low is not None and native.high is not None:
        return f"{native.low} to {native.high} {native.unit}".rstrip()
    return "a choice, ? lists them" if native.choices else "type what it shows"


def about(row: Row) -> tuple[str, ...]:
    """What an entry is: meaning, range, choices."""
    native = row.native
    lines = [f"{row.title}, menu {plain_menu(native.menu)}"]
    for key in native.keys:
        lines.append(f"{vocabulary()[key].label}: {vocabulary()[key].meaning}")
    if native.is_number and native.low is not None:
        steps = f", in steps of {native.step}"
        lines.append(f"It takes {native.low} to {native.high} {native.unit}".rstrip() + f"{steps}.")
    if native.choices:
        lines.append("Choices: " + ", ".join(f"{code} {c.text}" for code, c in native.choices.items()))
    if native.access:
        lines.append(f"Shown at access level {native.access}.")
    return wrapped(lines)


def listed(rows: Sequence[Row], answers: dict[str, Answer], here: str, purpose: Purpose) -> tuple[str, ...]:
    """Entries with what was said of them, the present one marked."""
    lines = []
    for row in rows:
        answer = answers.get(row.id)
        told = state(row, answer)
        if answer is None and row.shown is not None:
            told = f"open, {purpose.held} {row.words(row.shown)}"
        lines.append(f"{'>' if row.id == here else ' '} {row.title}: {told}")
    return wrapped(lines, "    ")


def menus(rows: Sequence[Row], answers: dict[str, Answer]) -> tuple[str, ...]:
    """Every menu with how many entries are open, in two columns that fit one screen."""
    counted: dict[str, list[int]] = {}
    for row in rows:
        counted.setdefault(row.native.menu, []).append(row.id not in answers)
    cells = [f"{menu.split('/')[-1]}: {_open(marks)}" for menu, marks in counted.items()]
    half = (len(cells) + 1) // 2
    right = [*cells[half:], ""]
    return tuple(f"{one[:38]:<40}{other[:39]}".rstrip() for one, other in zip(cells, right, strict=False))


def _open(marks: list[int]) -> str:
    still = sum(marks)
    return f"{still} open" if still else "done"


def summary(rows: Sequence[Row], answers: dict[str, Answer], purpose: Purpose) -> tuple[str, ...]:
    """What was said in all, and what differs from the last reading."""
    changed = changes(rows, answers)
    shown = changed[:_MOST_CHANGES]
    more = (
        [f"  and {len(changed) - len(shown)} more; see them with: list"] if len(changed) > len(shown) else []
    )
    if not purpose.reading:
        head = f"{len(changed)} of {len(rows)} entries are to change."
        return wrapped([head, *shown, *more])
    return wrapped([_totals(rows, answers), *([purpose.otherwise] if shown else []), *shown, *more])


def changes(rows: Sequence[Row], answers: dict[str, Answer]) -> list[str]:
    """A line for each entry answered other than recorded."""
    return [
        f"  {row.title}: {row.words(row.shown)} -> {row.words(answer.value)}"
        for row in rows
        if (answer := answers.get(row.id)) is not None
        and answer.is_read
        and row.shown is not None
        and row.shown != answer.value
    ]


def _totals(rows: Sequence[Row], answers: dict[str, Answer]) -> str:
    words = (
        ("same", "as shown"),
        ("typed", "typed"),
        ("together", "as shown with their menu"),
        ("skipped", "not read"),
    )
    hows = [answer.how for answer in answers.values()]
    parts = [f"{hows.count(how)} {said}" for how, said in words if how in hows]
    return f"{len(answers)} of {len(rows)} entries answered: {', '.join(parts)}."
