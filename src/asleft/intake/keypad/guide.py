"""The guided read-back as a state machine: typed lines in, screen lines and answers out.

It knows no terminal and no file. Each answer given out is to be kept before the next line is taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from asleft.intake.keypad import screen
from asleft.intake.keypad.answers import Answer, next_open, standing
from asleft.intake.keypad.asking import Reply, Why, YesOrNo
from asleft.intake.keypad.purpose import READING, Purpose
from asleft.intake.keypad.rows import Row
from asleft.intake.keypad.slips import Beside, slip
from asleft.intake.keypad.typed import displayed_of
from asleft.intake.keypad.words import command_of, is_also_a_choice, meant_word
from asleft.models import Model, outside
from asleft.record import Value
from asleft.replace.standing import Standing

LONGEST = 400


class Guide:
    """One person going through the entries of one drive. ``answers`` were kept before an interruption."""

    def __init__(
        self,
        model: Model,
        rows: Sequence[Row],
        purpose: Purpose = READING,
        answers: Iterable[Answer] = (),
    ) -> None:
        self.model = model
        self.rows = tuple(rows)
        self.purpose = purpose
        self.place = {row.id: place for place, row in enumerate(self.rows)}
        self.answers = standing(answer for answer in answers if answer.id in self.place)
        self.trail = [self.place[native_id] for native_id in self.answers]
        self.asked: YesOrNo | Why | None = None
        self.refused_text = ""
        self._headed = ""
        self.at: int | None = None
        self.move_on(self.trail[-1] if self.trail else -1)

    @property
    def row(self) -> Row | None:
        """The entry being asked for; None where all are answered."""
        return None if self.at is None else self.rows[self.at]

    @property
    def done(self) -> int:
        """How many entries are answered."""
        return len(self.answers)

    def ask(self) -> tuple[str, ...]:
        """The lines to show before a line is typed; the last one is where it is typed."""
        if self.asked is not None:
            return self.asked.prompt
        row = self.row
        if row is None:
            return (
                *screen.summary(self.rows, self.answers, self.purpose),
                f"{self.purpose.last} yes or no > ",
            )
        heading = self._heading(row) if row.native.menu != self._headed else ()
        self._headed = row.native.menu
        return (*heading, *screen.question(row, self.answers.get(row.id), self.purpose))

    def _heading(self, row: Row) -> tuple[str, ...]:
        held = sum(1 for other in self.rows if other.native.menu == row.native.menu)
        entries = "1 entry" if held == 1 else f"{held} entries"
        counted = f"{entries}, {self.done} of {len(self.rows)} done in all"
        return ("", *screen.wrapped([f"-- {screen.plain_menu(row.native.menu)}: {counted} --"]))

    def feed(self, line: str) -> Reply:
        """Take one typed line."""
        text = "".join(letter for letter in line if letter.isprintable()).strip()
        if len(text) > LONGEST:
            return self.refuse("That line is too long to be a value.")
        if self.asked is not None:
            return self.asked.take(text)
        return self.entry(text)

    def entry(self, text: str) -> Reply:
        """A line at an entry, or after the last one."""
        self.asked = None
        row = self.row
        if row is not None and text.startswith("="):
            return self.value(row, text[1:].strip())
        command = command_of(text)
        if command is not None and row is not None and is_also_a_choice(row, text):
            return self.refuse(f"{text} is also a choice here. Type ={text} for the choice, or /{text}.")
        if command is not None:
            return command.run(self, command.argument)
        if row is None:
            return self._after_the_last(text)
        if text.lower() in ("yes", "no") and not is_also_a_choice(row, text):
            return self.refuse(f"Enter says {self.purpose.enter}. {self.purpose.again}")
        return self.value(row, text) if text else self.as_shown(row)

    def _after_the_last(self, text: str) -> Reply:
        if text.lower() in ("yes", "y"):
            return Reply(end="finished")
        return self.refuse("Type yes when it is right; or look again with list, find, go or back; or stop.")

    def refuse(self, *lines: str) -> Reply:
        """Lines saying why what was typed was not done."""
        return Reply(screen.wrapped(lines), refused=True)

    def as_shown(self, row: Row) -> Reply:
        """The entry reads as the prompt shows it; an answer given before stays."""
        if row.id in self.answers:
            return self.next()
        if row.offered is not None:
            return self.accept(Answer(row.id, "same", row.offered))
        if row.moving and row.shown is not None:
            return self.refuse("This one moves by itself: type what it shows now, or same if it stood still.")
        return self.refuse("Nothing was recorded here before: type what the drive shows, or skip.")

    def value(self, row: Row, text: str) -> Reply:
        """A typed value: understood, held against the range, then against what was expected."""
        try:
            displayed = displayed_of(row.native, text, self.known)
        except ValueError as problem:
            return self._not_understood(row, text, str(problem))
        wrong = outside(row.native, displayed)
        if wrong:
            return self._not_understood(row, displayed, f"{row.words(displayed)} cannot be: {wrong}.")
        doubt = slip(row, displayed, text, self._beside())
        if doubt:
            return self._doubt(row, displayed, doubt)
        return self._typed(row, displayed, text)

    def _typed(self, row: Row, displayed: str, text: str) -> Reply:
        said = row.words(displayed)
        lines = () if text in (displayed, said) and not row.native.choices else (f"  {said}",)
        return self.accept(Answer(row.id, "typed", displayed), lines)

    def _not_understood(self, row: Row, text: str, problem: str) -> Reply:
        is_words = all(letter.isalpha() or letter.isspace() for letter in text)
        keeps = self.purpose.reading and not row.native.secret and not is_words
        self.refused_text = text if keeps else ""
        near = "" if row.native.secret else meant_word(text)
        return self.refuse(
            *filter(None, (problem, near, "If the drive really shows that, type keep." if keeps else ""))
        )

    def _doubt(self, row: Row, displayed: str, doubt: str) -> Reply:
        def yes() -> Reply:
            self.asked = None
            return self.accept(Answer(row.id, "typed", displayed))

        def no() -> Reply:
            self.asked = None
            return Reply((f"Not taken. {self.purpose.again}",))

        def other(line: str) -> Reply:
            if line.strip() in (displayed, row.words(displayed)):
                return yes()
            return self.entry(line)

        self.asked = YesOrNo(self.purpose.doubt.format(row.words(displayed)), yes, no, other)
        return Reply(screen.wrapped([doubt]))

    def known(self) -> Mapping[str, Value]:
        """The neutral values as far as they are known by now: answered, else as shown."""
        shown = {row.id: value for row, value in self.displayed()}
        return {**self.model.fixed, **Standing(self.model, shown)}

    def displayed(self) -> Iterator[tuple[Row, str]]:
        """Each entry with what it displays, as far as that is known."""
        for row in self.rows:
            answer = self.answers.get(row.id)
            value = answer.value if answer is not None and answer.is_read else row.shown
            if value is not None:
                yield row, value

    def _beside(self) -> tuple[Beside, ...]:
        assert self.at is not None
        near = [self.rows[place] for place in (self.at - 1, self.at + 1) if 0 <= place < len(self.rows)]
        known = {row.id: value for row, value in self.displayed()}
        return tuple(Beside(row, known[row.id]) for row in near if row.id in known)

    def accept(self, answer: Answer, lines: tuple[str, ...] = ()) -> Reply:
        """Take an answer and move on."""
        return self.take((answer,), lines)

    def take(self, answers: tuple[Answer, ...], lines: tuple[str, ...] = ()) -> Reply:
        """Take answers and move on to the next open entry."""
        for answer in answers:
            self.answers.pop(answer.id, None)
            if answer.how != "open":
                self.answers[answer.id] = answer
        if self.at is None:
            self.move_on(-1)
        else:
            self.trail.append(self.at)
            self.move_on(self.at)
        return Reply(lines, answers)

    def next(self) -> Reply:
        """On to the next open entry; nothing is said of this one."""
        if self.at is not None:
            self.trail.append(self.at)
            self.move_on(self.at)
        return Reply()

    def move_on(self, reached: int) -> None:
        """To the first open entry after a place, else the first open one of all."""
        self.refused_text = ""
        self.at = next_open([row.id for row in self.rows], self.answers, reached)

    def jump(self, place: int, remember: bool = True) -> Reply:
        """To an entry, answered or not; ``remember`` so that back leads here again."""
        if self.at is not None and remember:
            self.trail.append(self.at)
        self.at, self.refused_text, self._headed = place, "", ""
        return Reply()

    def menu_rows(self, menu: str) -> tuple[Row, ...]:
        """The entries of a menu."""
        return tuple(row for row in self.rows if row.native.menu == menu)
