"""A functional test typed step by step: what each line leads to, what is kept, what a fresh start finds."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from tests.prove.prove_sets import load, small_sheet, values_of

from asleft.intake.keypad import Answer
from asleft.intake.walking import Walk, mark, observed
from asleft.prove.cautions import told
from asleft.prove.diagnose import Diagnosis
from asleft.prove.making import drive_of
from asleft.prove.sheet import Sheet, Step

CASES = tomllib.loads(
    (Path(__file__).parents[1] / "cases" / "walk" / "dialogues.toml").read_text(encoding="utf-8")
)["case"]
SMALL: dict[str, Any] = {"set": {}}


@cache
def made() -> tuple[Sheet, Diagnosis]:
    base = load("sets")["base"]
    sheet = small_sheet(SMALL, base)
    return sheet, Diagnosis(drive_of(values_of(SMALL, base), {}, {}), sheet.inputs, {})


def walk(answers: tuple[Answer, ...] = (), ready: bool = True) -> Walk:
    sheet, diagnosis = made()
    found = Walk(sheet.steps, diagnosis.explain, answers)
    if ready:
        found.feed("yes")
    return found


def by_id(id: str) -> Step:
    return next(step for step in made()[0].steps if step.id == id)


def shown(at: Walk, line: str) -> str:
    """All that stands on the screen after a line, its line breaks taken out."""
    reply = at.feed(line)
    asked = () if reply.end else at.ask()
    assert all(len(one) <= 80 for one in (*reply.lines, *asked))
    return " ".join(" ".join((*reply.lines, *asked, reply.end)).split())


def said(answer: Answer) -> str:
    return answer.value if answer.is_read else f"{answer.how}: {answer.reason}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_dialogue_goes_as_written(case: dict[str, Any]) -> None:
    at = walk()
    at.ask()
    if "from" in case:
        at.feed(f"go {case['from']}")
        at.ask()
    for line, words in case["typed"]:
        assert words in shown(at, line), line
    expected = {step.id: case["rest"] for step in at.steps} if "rest" in case else {}
    names = {mark(step): step.id for step in at.steps}
    assert {names[name]: said(one) for name, one in at.answers.items()} == expected | case["answers"]


def test_nothing_is_asked_before_the_cautions_are_confirmed() -> None:
    at = walk(ready=False)
    assert at.ask()[-1] == "Is all of that so? yes or no > "
    assert "Then do that first" in shown(at, "no")
    assert "Type yes or no first." in shown(at, "25.0")
    assert "skip REASON" in shown(at, "help")
    assert at.answers == {}
    assert "step 1," in shown(at, "yes")
    assert walk(ready=False).feed("stop").end == "stopped"


def test_a_step_says_what_to_heed_do_and_expect() -> None:
    text = " ".join(walk().ask())
    for words in (
        "-- Remote: step 1, 0 of 50 done in all --",
        "SHAFT TURNS: keep clear.",
        "Start: in remote, at rest, 12 mA on analog 1; any load, supply on.",
        "Do: close run forward (DI1)",
        "Expect: 25.0 Hz ± 0.1 Hz",
        "What did you read, in Hz > ",
    ):
        assert words in text


@pytest.mark.parametrize("case", load("sets")["case"], ids=lambda case: case["name"])
def test_every_step_of_every_kind_of_set_fits_a_screen(case: dict[str, Any]) -> None:
    sheet = small_sheet(case, load("sets")["base"])
    at = Walk(sheet.steps, lambda failed, passed: {})
    at.feed("yes")
    for place, step in enumerate(at.steps):
        at.jump(place)
        lines = at.ask()
        assert len(lines) <= 24
        assert all(len(line) <= 79 for line in lines)
        assert ("LOAD MAY FALL: nothing hanging on it, nobody below." in "".join(lines)) is step.hangs


def test_a_warning_stands_above_what_is_done() -> None:
    at = walk()
    for place, step in enumerate(at.steps):
        at.jump(place)
        text = " ".join(at.ask())
        assert ("SHAFT" in text or "STARTS BY ITSELF" in text) is bool(step.caution)
        if step.caution:
            assert min(text.index(word) for word in ("SHAFT", "STARTS") if word in text) < text.index("Do:")


def test_a_step_that_turns_nothing_warns_of_nothing() -> None:
    assert list(told(replace(by_id("remote.stop"), caution=""))) == []


def test_what_was_typed_is_what_a_file_would_hold() -> None:
    at = walk()
    at.ask()
    for line in ("25.0", "next", "skip no watch", "no", "it coasted"):
        at.feed(line)
    assert [(one.number, one.id, one.text) for one in observed(at)] == [
        (1, "remote.start", "25.0 Hz"),
        (3, "remote.start-time", "not done: no watch"),
        (4, "remote.stop", "no: it coasted"),
    ]


def test_an_interrupted_walk_goes_on_after_the_last_answer() -> None:
    kept = (
        Answer(mark(by_id("remote.start")), "typed", "25.0 Hz"),
        Answer("remote.stop=other", "typed", "yes"),
    )
    at = walk(kept)
    assert at.done == 1
    assert at.step is not None and at.step.id == "remote.direction"
    everything = tuple(Answer(mark(step), "typed", "yes") for step in at.steps)
    assert walk(everything, ready=False).ask()[-1] == "Record this test? yes or no > "


def test_a_step_predicted_otherwise_has_another_name() -> None:
    base = load("sets")["base"]
    slower = small_sheet({"set": {"ramps.accel_time_1_s": 20}}, base)
    changed = {
        step.id
        for step, other in zip(made()[0].steps, slower.steps, strict=True)
        if mark(step) != mark(other)
    }
    assert changed == {"remote.start-time", "local.start-time", "ramp.up.full-signal"}


def test_a_line_too_long_and_unprintable_letters_do_no_harm() -> None:
    at = walk()
    at.ask()
    assert at.feed("2" * 500).refused
    assert "Within" in shown(at, "25.0\x07 Hz\r\n")
