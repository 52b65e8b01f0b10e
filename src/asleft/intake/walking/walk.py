"""Walking through a sheet as a state machine: typed lines in, screen lines and answers out.

It knows no terminal and no file. Each answer given out is to be kept before the next line is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from hashlib import sha256

from asleft.files.entry import convert, split_number
from asleft.intake.keypad.answers import Answer, next_open, standing
from asleft.intake.keypad.asking import Reply, YesOrNo
from asleft.intake.keypad.screen import wrapped
from asleft.intake.walking import screen
from asleft.intake.walking.words import command_of, meant_word
from asleft.intake.working.asking import Asked
from asleft.prove.judge import NO, judge, pair_of
from asleft.prove.sheet import Step
from asleft.prove.verdict import verdict

LONGEST = 400
NOT_SEEN = "what it did was not seen"

Seen = Mapping[Step, str]
Explain = Callable[[Seen, Seen], Mapping[Step, tuple[str, ...]]]
"""From what failed and what passed so far to what would explain each failure."""


def mark(step: Step) -> str:
    """Names a step in the journal: another name where it starts, asks or predicts otherwise."""
    words = (step.start, step.words, step.predicted, str(step.tolerance), step.cannot)
    return f"{step.id}={sha256(chr(10).join(words).encode('utf-8')).hexdigest()[:12]}"


def _wrong_unit(step: Step, text: str) -> str:
    """That a unit is another quantity than the step's; "" for nothing."""
    number = split_number(text)
    if number is None or number[1] in ("", step.unit):
        return ""
    try:
        convert(*number, step.unit)
    except ValueError:
        return f"{number[1]} is no unit for this step, which is read in {step.unit}."
    return ""


class Walk:
    """One person going through the steps of one sheet. ``answers`` were kept before an interruption."""

    def __init__(self, steps: Sequence[Step], explain: Explain, answers: Iterable[Answer] = ()) -> None:
        self.steps = tuple(steps)
        self.names = tuple(map(mark, self.steps))
        self.explain = explain
        self.answers = standing(answer for answer in answers if answer.id in self.names)
        self.trail = [self.names.index(name) for name in self.answers]
        self.refused_text = ""
        self._shown: int | None = -1
        self.at: int | None = None
        self.move_on(self.trail[-1] if self.trail else -1)
        self.asked: YesOrNo | Asked | None = self._ready() if self.at is not None else None
        self._started = self.at is None

    def _ready(self) -> YesOrNo:
        """Nothing is asked before the usual cautions are confirmed, once a sitting."""

        def yes() -> Reply:
            self.asked, self._started = None, True
            return Reply()

        def other(line: str) -> Reply:
            called = command_of(line)
            if called is not None and line.strip("/ ").lower() in ("stop", "help", "?"):
                return called.run(self, "")
            return self.refuse("Type yes or no first.")

        unready = "Then do that first; stop keeps all for later."
        return YesOrNo("Is all of that so?", yes, lambda: self.refuse(unready), other)

    @property
    def step(self) -> Step | None:
        """The step asked for; None where all are answered."""
        return None if self.at is None else self.steps[self.at]

    @property
    def done(self) -> int:
        """How many steps are answered."""
        return len(self.answers)

    @property
    def said(self) -> list[Answer | None]:
        """The answer of each step, None where it is open."""
        return [self.answers.get(name) for name in self.names]

    @property
    def open(self) -> tuple[str, ...]:
        """The names of the steps nothing was said of."""
        return tuple(name for name in self.names if name not in self.answers)

    def ask(self) -> tuple[str, ...]:
        """The lines to show before a line is typed; the last one is where it is typed."""
        if not self._started and self.asked is not None:
            return self.asked.prompt
        step, first = self.step, self._shown != self.at
        self._shown = self.at
        if step is None:
            return (
                *(screen.summary(self.steps, self.said) if first else ()),
                "Record this test? yes or no > ",
            )
        lines = self._screen(step) if first else ()
        return (*lines, *(self.asked.prompt if self.asked is not None else (screen.prompt(step),)))

    def _screen(self, step: Step) -> tuple[str, ...]:
        lines = screen.screen(step, self.done, len(self.steps))
        if self._hangs_in_the_air(step):
            lines += ("  The step before was not done: do it first, or skip this one too.",)
        before = self.answers.get(mark(step))
        told = f"  Said before: {screen.state(before)}. Enter leaves it so."
        return (*lines, *wrapped([told], "    ")) if before is not None else lines

    def _hangs_in_the_air(self, step: Step) -> bool:
        """Whether a step goes on from one that was not done."""
        place = self.names.index(mark(step))
        before = self.said[place - 1] if place else None
        return step.goes_on and before is not None and not before.is_read

    def feed(self, line: str) -> Reply:
        """Take one typed line."""
        text = " ".join("".join(letter if letter.isprintable() else " " for letter in line).split())
        if len(text) > LONGEST:
            return self.refuse("That line is too long.")
        return self.asked.take(text) if self.asked is not None else self.line(text)

    def line(self, text: str) -> Reply:
        """A line at a step, or after the last one."""
        self.asked = None
        command = command_of(text)
        if command is not None:
            return command.run(self, command.argument)
        step = self.step
        if step is None:
            return self._after_the_last(text)
        if not text:
            return self._enter(step)
        return self._observe(step, text)

    def _after_the_last(self, text: str) -> Reply:
        if text.lower() not in ("yes", "y"):
            return self.refuse("Type yes when it is right; or look again with list, go or back; or stop.")
        if not any(answer.is_read for answer in self.answers.values()):
            return self.refuse("Nothing was seen, so there is nothing to record; go or back leads to a step.")
        return Reply(end="finished")

    def _enter(self, step: Step) -> Reply:
        if mark(step) in self.answers:
            return self.next()
        self._shown = -1
        return Reply()

    def _observe(self, step: Step, text: str) -> Reply:
        judged = judge(step, text)
        if judged.result == "not_done":
            return self.skip(judged.because) if judged.because else self.line("skip")
        if text.casefold() in NO and not pair_of(step):
            return self._what_instead()
        problem = self._problem(step, text)
        if problem:
            return problem
        if judged.result == "cannot_tell" and not step.cannot:
            return self._unclear(step, text, judged.because)
        return self.take(text)

    def _problem(self, step: Step, text: str) -> Reply | None:
        """What is wrong with a note where nothing is predicted: its unit, or no word in it."""
        if not step.cannot:
            return None
        number = split_number(text)
        if number is None:
            return None
        if not step.unit:
            return self.refuse("Type yes or no, or what you see in words; or skip and why.")
        wrong = _wrong_unit(step, text)
        return self._again(text, wrong) if wrong else None

    def _unclear(self, step: Step, text: str, because: str) -> Reply:
        near = meant_word(text)
        if step.value is not None:
            return self._again(text, _wrong_unit(step, text) or f"Cannot tell: {because}.", near)
        if near or not any(letter.isalpha() for letter in text):
            return self.refuse(*filter(None, ("Type yes, or no and what it did; or skip and why.", near)))
        if pair_of(step):
            return self.refuse(f"Type {' or '.join(pair_of(step))}; or skip and why.")
        self.asked = YesOrNo(
            f"Is that as expected: {screen.expected(step).removeprefix('Expect: ').rstrip('.')}?",
            lambda: self.take(f"yes: {text}"),
            lambda: self.take(f"no: {text}"),
            self.line,
        )
        return Reply()

    def _again(self, text: str, *lines: str) -> Reply:
        self.refused_text = text
        return self.refuse(*filter(None, lines), "Type it again; or if that is what you saw: keep.")

    def _what_instead(self) -> Reply:
        self.asked = Asked(
            "What did it do instead? Enter: not seen",
            lambda what: self.take(f"no: {what}"),
            self.give_up,
            NOT_SEEN,
        )
        return Reply()

    def take(self, text: str) -> Reply:
        """What was seen at this step, judged at once; a bare number gets the step's unit."""
        step = self.step
        assert step is not None
        number = split_number(text)
        if number is not None and not number[1] and step.unit:
            text = f"{text} {step.unit}"
        judged = judge(step, text)
        explained: tuple[str, ...] = ()
        if judged.result == "fail":
            failed = {**self._with("fail", step), step: text}
            explained = tuple(self.explain(failed, self._with("pass", step)).get(step, ()))
        told = f"  {text}. {verdict(step, text, judged, explained)}"
        return self._accept(Answer(mark(step), "typed", text), told)

    def _with(self, result: str, but: Step) -> dict[Step, str]:
        """What was seen at the other steps that stand so."""
        return {
            step: answer.value
            for step, answer in zip(self.steps, self.said, strict=True)
            if answer is not None and step is not but and screen.result(step, answer) == result
        }

    def skip(self, why: str) -> Reply:
        """This step is not done."""
        step = self.step
        assert step is not None
        return self._accept(Answer(mark(step), "skipped", reason=why), f"  not done: {why}")

    def _accept(self, answer: Answer, told: str) -> Reply:
        self.asked = None
        self.answers.pop(answer.id, None)
        self.answers[answer.id] = answer
        self.next()
        return Reply(wrapped([told], "    "), (answer,))

    def finish(self, answers: tuple[Answer, ...]) -> Reply:
        """The open steps are answered so, and the end is reached."""
        self.answers.update({answer.id: answer for answer in answers})
        self.at = None
        return Reply(answers=answers)

    def next(self) -> Reply:
        """On to the next open step."""
        if self.at is not None:
            self.trail.append(self.at)
            self.move_on(self.at)
        return Reply()

    def move_on(self, reached: int) -> None:
        """To the first open step after a place, else the first open one of all."""
        self.refused_text = ""
        self.at = next_open(self.names, self.answers, reached)

    def jump(self, place: int) -> Reply:
        """To a step, answered or not."""
        self.at, self.asked, self.refused_text, self._shown = place, None, "", -1
        return Reply()

    def give_up(self) -> Reply:
        """The question in between is taken back."""
        self.asked = None
        return Reply()

    def refuse(self, *lines: str) -> Reply:
        """Lines saying why what was typed was not done."""
        return Reply(wrapped(lines), refused=True)
