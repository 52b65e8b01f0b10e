"""Working through a list as a state machine: typed lines in, screen lines and answers out.

It knows no terminal and no file. Each answer given out is to be kept before the next line is taken. No code
is ever an answer: secret entries are no steps, and a line of digits alone is taken only as a read-back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from asleft.intake.keypad.answers import Answer, next_open, standing
from asleft.intake.keypad.asking import Reply, YesOrNo
from asleft.intake.keypad.screen import wrapped
from asleft.intake.keypad.slips import likeness
from asleft.intake.keypad.typed import displayed_of
from asleft.intake.working import deciding, screen, wiring
from asleft.intake.working.asking import Asked
from asleft.intake.working.tasks import Task, tasks_of
from asleft.intake.working.words import command_of, meant_word
from asleft.models import Model, displayed_words, outside
from asleft.record import Value
from asleft.replace import Decision, PutRight, Step
from asleft.replace.standing import Standing, same_shown

LONGEST = 400
END = "end"
Plan = Callable[[Mapping[str, Value]], PutRight]
"""The list once some settings were decided: values by neutral key."""


class Work:
    """One person at one drive. ``shows`` is what the unit was read at, ``answers`` were kept before."""

    def __init__(
        self,
        plan: Plan,
        model: Model,
        shows: Mapping[str, str],
        by: str,
        answers: Iterable[Answer] = (),
        tonight: bool = False,
        replaced: bool = True,
    ) -> None:
        self.plan, self.model, self.shows, self.by = plan, model, shows, by
        self.tonight, self.replaced = tonight, replaced
        self.answers = standing(answers)
        self.asked: YesOrNo | Asked | None = None
        self.trail: list[str] = []
        self.listed: PutRight
        self.decisions: dict[str, Decision]
        self.tasks: tuple[Task, ...]
        self._shown = ""
        self._clear = ""
        self._stopped = False
        self._read = ""
        self._settle()
        self.at: int | None = None
        self.move_on(-1)

    def _settle(self) -> None:
        """Work out the list anew: what was decided changes it, and a new list can ask for more."""
        self.decisions = {}
        decided: dict[str, Value] = {}
        while True:
            self.listed = self.plan(decided)
            for one in self.listed.decide:
                self.decisions.setdefault(one.key, one)
            chosen = deciding.values(self.decisions, self.answers)
            if chosen == decided:
                break
            decided = chosen
        self.tasks = tasks_of(self.listed, self.decisions.values(), self.tonight, self.replaced)

    @property
    def task(self) -> Task | None:
        """What is asked now; None where all is answered."""
        return None if self.at is None else self.tasks[self.at]

    @property
    def done(self) -> int:
        """How many tasks are answered."""
        return sum(1 for task in self.tasks if task.id in self.answers)

    @property
    def finished(self) -> bool:
        """Whether the person went on to the full read-back."""
        return END in self.answers and self.at is None

    @property
    def skipped(self) -> frozenset[str]:
        """Native ids of entries that were left out and not made at another step."""
        made: set[str] = set()
        left: set[str] = set()
        for task in self.tasks:
            answer = self.answers.get(task.id)
            if task.kind == "entry" and task.step is not None and answer is not None:
                (made if answer.is_read else left).add(task.step.native)
        return frozenset(left - made)

    def move_on(self, reached: int) -> None:
        """To the first open task after a place, else the first open one of all."""
        self.at = next_open([task.id for task in self.tasks], self.answers, reached)

    def ask(self) -> tuple[str, ...]:
        """The lines to show before a line is typed; the last one is where it is typed."""
        task = self.task
        if task is None:
            lines = screen.summary(self.tasks, self.answers) if self._shown != END else ()
            self._shown = END
            return (*lines, "Go on to the full read-back? yes or no > ")
        lines = self._screen(task) if self._shown != task.id else ()
        self._shown = task.id
        if self.asked is None:
            self.asked = self._caution(task)
        return (*lines, *(self.asked.prompt if self.asked is not None else (screen.prompt(task),)))

    def _screen(self, task: Task) -> tuple[str, ...]:
        lines = screen.screen(task, self.done, len(self.tasks))
        before = self.answers.get(task.id)
        said = f"  Said before: {screen.state(task, before)}. next leaves it so."
        return (*lines, *wrapped([said])) if before is not None else lines

    def _caution(self, task: Task) -> YesOrNo | None:
        """A drive confirmed as stopped stays so until a step that may turn the shaft, or a pause."""
        step = task.step
        if step is None or self._clear == task.id or not screen.caution(step):
            return None
        if self._stopped and step.stopped and not step.turns:
            return None

        def yes() -> Reply:
            self.asked, self._clear, self._stopped = None, task.id, step.stopped
            return Reply()

        def no() -> Reply:
            self.asked = None
            return self.refuse("Then do that first. Nothing is entered before it; stop keeps all for later.")

        return YesOrNo(screen.caution(step), yes, no, self.line)

    def feed(self, line: str) -> Reply:
        """Take one typed line."""
        text = "".join(letter for letter in line if letter.isprintable() or letter == "\t").strip()
        if len(text) > LONGEST:
            return self.refuse("That line is too long.")
        return self.asked.take(text) if self.asked is not None else self.line(text)

    def line(self, text: str) -> Reply:
        """A line at a task, or after the last one."""
        self.asked = None
        command = command_of(text)
        if command is not None:
            return command.run(self, command.argument)
        task = self.task
        if task is None:
            return self._after_the_last(text)
        if not text:
            self._shown = ""
            return Reply()
        if self._caution(task) is not None:
            return self.refuse("Type yes or no first.")
        return self._answer(task, text)

    def _answer(self, task: Task, text: str) -> Reply:
        if task.decision is not None:
            return deciding.choose(self, task, task.decision, text)
        if task.kind == "wires":
            return wiring.take(self, text)
        if task.kind == "entry" and task.step is not None:
            return self._read_back(task, task.step, text)
        if task.kind == "do":
            return (
                self.accept(Answer(task.id, "typed", "done"))
                if text.lower() == "done"
                else self._not_done(text)
            )
        if not any(letter.isalpha() for letter in text):
            return self.refuse("Answer in words.")
        return self.accept(Answer(task.id, "typed", text))

    def _not_done(self, text: str) -> Reply:
        return self.refuse(*filter(None, ("Type done when it is done; or skip and why.", meant_word(text))))

    def _after_the_last(self, text: str) -> Reply:
        if text.lower() not in ("yes", "y"):
            return self.refuse("Type yes to read all of it back; look again with back, go or list; or stop.")
        answer = Answer(END, "typed", "yes")
        self.answers[END] = answer
        return Reply((), (answer,), "finished")

    def _read_back(self, task: Task, step: Step, text: str) -> Reply:
        native = self.model.natives[step.native]
        try:
            displayed = displayed_of(native, text, self.known)
        except ValueError as problem:
            return self.refuse(*filter(None, (str(problem), meant_word(text))))
        if same_shown(native, displayed, step.displayed):
            return self.accept(Answer(task.id, "typed", displayed))
        return self._other_than_wanted(task, step, displayed)

    def _other_than_wanted(self, task: Task, step: Step, displayed: str) -> Reply:
        native = self.model.natives[step.native]
        shows = f"It shows {displayed_words(native, displayed)} and should show {step.enter}"
        if step.kind == "read" and self._read != task.id and not outside(native, displayed):
            self._read = task.id
            return Reply(wrapped([f"{shows}: enter it now, then type what it shows."]))
        likely = likeness(native, displayed, step.displayed)
        return self.refuse(
            f"WRONG. {shows}{f': {likely}' if likely else ''}.",
            "Enter it again and read it back. Where the drive will not take it: skip and why.",
        )

    def known(self) -> Mapping[str, Value]:
        """The neutral values as they stand by now."""
        entered = {
            task.step.native: answer.value
            for task in self.tasks
            if task.step is not None and task.kind == "entry"
            if (answer := self.answers.get(task.id)) is not None and answer.is_read
        }
        return {**self.model.fixed, **Standing(self.model, {**self.shows, **entered})}

    def refuse(self, *lines: str) -> Reply:
        """Lines saying why what was typed was not done."""
        return Reply(wrapped(lines), refused=True)

    def accept(self, *answers: Answer, lines: Sequence[str] = ()) -> Reply:
        """Take answers and go on. An entry made again undoes what it resets: that is asked again."""
        again = self._undone(answers)
        for answer in (*answers, *again):
            self.answers.pop(answer.id, None)
            if answer.how != "open":
                self.answers[answer.id] = answer
        self._go_on()
        more = (f"Asked again, for this resets it: {len(again)}.",) if again else ()
        return Reply(wrapped([*lines, *more]), (*answers, *again))

    def _undone(self, answers: Sequence[Answer]) -> tuple[Answer, ...]:
        at, task = self.at, self.task
        if at is None or task is None or task.kind != "entry" or task.step is None or not answers[0].is_read:
            return ()
        resets = self.model.natives[task.step.native].sets
        return tuple(
            Answer(other.id, "open")
            for other in self.tasks[at + 1 :]
            if other.step is not None and other.step.native in resets and other.id in self.answers
        )

    def _go_on(self) -> None:
        here = self.task
        if here is None:
            return
        self.trail.append(here.id)
        if here.step is not None and here.step.turns:
            self._stopped = False
        self._clear = self._read = ""
        if here.kind == "decide":
            self._settle()
        places = {task.id: place for place, task in enumerate(self.tasks)}
        self.move_on(places.get(here.id, -1))

    def jump(self, place: int) -> Reply:
        """To a task, answered or not."""
        self.at, self.asked, self._shown = place, None, ""
        self._clear, self._stopped = "", False
        return Reply()

    def show_again(self) -> None:
        """The whole screen comes again with the next prompt."""
        self._shown = ""
