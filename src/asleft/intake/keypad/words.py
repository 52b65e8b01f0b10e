"""The words of the guide beside values: what each does, and its line of help."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from asleft.intake.keypad import screen
from asleft.intake.keypad.answers import Answer
from asleft.intake.keypad.asking import Reply, Why, YesOrNo
from asleft.intake.keypad.calling import Called, called, meant
from asleft.intake.keypad.rows import Row

if TYPE_CHECKING:
    from asleft.intake.keypad.guide import Guide

_MOST_FOUND = 12
_LEVEL = "not shown at access level"


class Word(NamedTuple):
    """``takes`` names what may stand behind the word; empty where nothing may. ``planning`` is the help in a
    plan where that differs; empty where the word does nothing there."""

    run: Callable[[Guide, str], Reply]
    takes: str
    help: str
    planning: str | None = None


def command_of(text: str) -> Called[Guide] | None:
    """The word of the guide a line calls, or None where the line is a value."""
    return called(WORDS, text)


def meant_word(text: str) -> str:
    """A question naming the word of the guide that was meant; empty where none is near."""
    return meant(WORDS, text)


def is_also_a_choice(row: Row, text: str) -> bool:
    """Whether a line is a word of the guide and a choice of this entry."""
    wanted = text.lower()
    return any(
        wanted in (choice.text.lower(), *map(str.lower, choice.sets.values()))
        for choice in row.native.choices.values()
    )


def _same(guide: Guide, _: str) -> Reply:
    row = guide.row
    if row is None:
        return guide.refuse("All entries are answered.")
    held = row.shown if row.shown is not None else row.factory
    if held is None:
        return guide.as_shown(row)
    return guide.accept(Answer(row.id, "same", held))


def _keep(guide: Guide, _: str) -> Reply:
    row, text = guide.row, guide.refused_text
    if row is None or not text:
        return guide.refuse("There is nothing to keep: type a value first.")
    return guide.accept(Answer(row.id, "typed", text), (f"  kept as the drive shows it: {text}",))


def _skip(guide: Guide, reason: str) -> Reply:
    row = guide.row
    if row is None:
        return guide.refuse("All entries are answered.")
    if not guide.purpose.reading:
        return guide.refuse("Nothing is skipped in a plan: Enter leaves the entry as it is.")

    def then(why: str) -> Reply:
        return guide.accept(Answer(row.id, "skipped", reason=why), (f"  not read: {why}",))

    return _ask_why(guide, f"Why is {row.title} not read?", then, reason)


def _ask_why(guide: Guide, question: str, then: Callable[[str], Reply], reason: str = "") -> Reply:
    """Ask for a reason, or take the one given. A word of the guide is none."""

    def checked(why: str) -> Reply:
        called = command_of(why)
        if called is not None and not called.argument:
            stops = called.run is _stop
            return Reply(end="stopped") if stops else guide.refuse("Type a reason first, or back.")
        guide.asked = None
        return then(why)

    asked = Why(question, checked, lambda: _give_up(guide))
    if reason:
        return asked.take(reason)
    guide.asked = asked
    return Reply()


def _give_up(guide: Guide) -> Reply:
    guide.asked = None
    return Reply()


def _back(guide: Guide, steps: str) -> Reply:
    count = int(steps) if steps.isdecimal() and int(steps) else 1
    if steps and not steps.isdecimal():
        return guide.refuse("Type back, or back and how many entries: back 3.")
    here = guide.at if guide.at is not None else len(guide.rows)
    for _ in range(count):
        here = guide.trail.pop() if guide.trail else max(here - 1, 0)
    return guide.jump(here, remember=False)


def _go(guide: Guide, wanted: str) -> Reply:
    if not wanted:
        return guide.refuse("Go where? Type go and an id, a menu or some words.")
    for match in (_by_id, _by_menu, _by_text, _by_words):
        places = match(guide, wanted.lower())
        if places and (match is not _by_words or len(places) == 1):
            return guide.jump(places[0])
    return _find(guide, wanted)


def _by_id(guide: Guide, wanted: str) -> list[int]:
    return [place for place, row in enumerate(guide.rows) if row.id.lower() == wanted]


def _by_text(guide: Guide, wanted: str) -> list[int]:
    return [place for place, row in enumerate(guide.rows) if row.native.text.lower() == wanted]


def _by_menu(guide: Guide, wanted: str) -> list[int]:
    """By the number of the menu, its name, or both; its first open entry first."""
    found = [place for place, row in enumerate(guide.rows) if _is_menu(row.native.menu, wanted)]
    return sorted(found, key=lambda place: guide.rows[place].id in guide.answers)


def _is_menu(menu: str, wanted: str) -> bool:
    parts = [part.strip().lower() for part in menu.split("/")]
    return any(wanted in (part, part.partition(" ")[0], part.partition(" ")[2]) for part in parts)


def _by_words(guide: Guide, wanted: str) -> list[int]:
    """Entries in which each of the words begins a word, before those that have it elsewhere."""
    parts = wanted.replace("_", " ").replace(".", " ").split()
    texts = [f" {row.title} {row.native.menu} {_labels(row)}".lower() for row in guide.rows]
    found = [place for place, text in enumerate(texts) if all(part in text for part in parts)]
    return sorted(found, key=lambda place: not all(f" {part}" in texts[place] for part in parts))


def _labels(row: Row) -> str:
    from asleft.vocabulary import vocabulary

    keys = " ".join(row.native.keys).replace("_", " ").replace(".", " ")
    return f"{' '.join(vocabulary()[key].label for key in row.native.keys)} {keys}"


def _find(guide: Guide, wanted: str) -> Reply:
    if not wanted:
        return guide.refuse("Find what? Type find and some words: find ramp.")
    places = _by_words(guide, wanted.lower())
    if not places:
        return guide.refuse(f"No entry has {wanted} in its id, text, menu or name.")
    shown = [guide.rows[place] for place in places[:_MOST_FOUND]]
    more = (f"  and {len(places) - _MOST_FOUND} more",) if len(places) > _MOST_FOUND else ()
    lines = screen.listed(shown, guide.answers, guide.row.id if guide.row else "", guide.purpose)
    return Reply((*lines, *more, "Go to one with: go and its id."))


def _rest(guide: Guide, _: str) -> Reply:
    row = guide.row
    if row is None:
        return guide.refuse("All entries are answered.")
    menu = row.native.menu
    still = [one for one in guide.menu_rows(menu) if one.id not in guide.answers]
    ready = [one for one in still if one.offered is not None and not one.native.secret]
    if not ready:
        return guide.refuse("Nothing of this menu is left that could read as shown.")

    def yes() -> Reply:
        guide.asked = None
        taken = tuple(Answer(one.id, "together", one.offered or "") for one in ready)
        left = len(still) - len(ready)
        note = (f"  {left} of this menu have to be typed",) if left > 1 else ()
        return guide.take(taken, (f"  {guide.purpose.agreed.format(len(ready))}", *note))

    lines = screen.wrapped((f"  {one.title}: {one.words(one.offered or '')}" for one in ready), "    ")
    guide.asked = YesOrNo(
        guide.purpose.together.format(len(ready)),
        yes,
        lambda: _give_up(guide),
        guide.entry,
    )
    return Reply(lines)


def _list(guide: Guide, _: str) -> Reply:
    """The menu; after the last entry, all that differs from what was recorded."""
    row = guide.row
    if row is None:
        return Reply(screen.wrapped(screen.changes(guide.rows, guide.answers) or ["Nothing differs."]))
    rows = guide.menu_rows(row.native.menu)
    lines = screen.listed(rows, guide.answers, row.id, guide.purpose)
    return Reply((f"{screen.plain_menu(row.native.menu)}:", *lines))


def _menus(guide: Guide, _: str) -> Reply:
    return Reply((*screen.menus(guide.rows, guide.answers), "Go to one with: go and its number."))


def _level(guide: Guide, wanted: str) -> Reply:
    """Entries above the access level the keypad stands at cannot be read; those up to it are asked again."""
    levels = guide.model.levels
    if not levels or not guide.purpose.reading:
        return guide.refuse("This drive's list names no access levels.")
    if wanted.lower() not in levels:
        return guide.refuse(f"The access levels are {', '.join(levels)}. Type level and one of them.")
    above = levels[levels.index(wanted.lower()) + 1 :]
    hidden = [row for row in guide.rows if row.native.access in above and row.id not in guide.answers]
    answers = [Answer(row.id, "skipped", reason=f"{_LEVEL} {wanted.lower()}") for row in hidden]
    again = [
        Answer(row.id, "open")
        for row in guide.rows
        if row.native.access not in above and guide.answers.get(row.id, _NONE).reason.startswith(_LEVEL)
    ]
    asked = f", {len(again)} asked again" if again else ""
    here = guide.at
    reply = guide.take((*answers, *again), (f"  {len(hidden)} not read: {_LEVEL} {wanted.lower()}{asked}",))
    if here is not None and guide.rows[here].id not in guide.answers:
        guide.jump(here, remember=False)
    return reply


_NONE = Answer("", "open")


def _finish(guide: Guide, _: str) -> Reply:
    still = [row for row in guide.rows if row.id not in guide.answers]
    if not still or not guide.purpose.reading:
        guide.at = None
        return Reply()

    def then(why: str) -> Reply:
        return guide.take(tuple(Answer(row.id, "skipped", reason=why) for row in still))

    return _ask_why(guide, f"{len(still)} entries are open. Why were they not read?", then)


def _stop(guide: Guide, _: str) -> Reply:
    return Reply(end="stopped")


def _about(guide: Guide, _: str) -> Reply:
    return _help(guide, "") if guide.row is None else Reply(screen.about(guide.row))


def _help(guide: Guide, _: str) -> Reply:
    lines = [
        f"Enter        {guide.purpose.enter}",
        "VALUE        as the drive shows it or in words: 8.0, 0.5 min, coast",
        "=VALUE       the same, also where VALUE is one of these words",
    ]
    for name, word in WORDS.items():
        said = word.help if guide.purpose.reading or word.planning is None else word.planning
        if said:
            lines.append(f"{f'{name} {word.takes}':<12} {said}")
    return Reply(tuple(lines))


WORDS = {
    "?": Word(_about, "", "about this entry: meaning, range, choices"),
    "skip": Word(_skip, "REASON", "not read; the reason is asked if left out", ""),
    "keep": Word(_keep, "", "take what was refused: the drive really shows it", ""),
    "same": Word(_same, "", "as recorded last, also where Enter is not taken", "as it is, as Enter does"),
    "rest": Word(
        _rest, "", "all the rest of this menu as shown; asks once", "the rest of this menu stays; asks once"
    ),
    "back": Word(_back, "N", "to the entry before, or N entries"),
    "go": Word(_go, "WHERE", "to an id, a menu number or name"),
    "find": Word(_find, "WORDS", "entries with these words"),
    "list": Word(_list, "", "the entries of this menu and what was said"),
    "menus": Word(_menus, "", "all menus and how many entries are open"),
    "level": Word(_level, "NAME", "the access level the keypad shows; above it is not read", ""),
    "finish": Word(_finish, "", "end here; what is open is not read", "end here; what is open stays"),
    "stop": Word(_stop, "", "stop for now; all is kept, go on with --resume"),
    "help": Word(_help, "", ""),
}
