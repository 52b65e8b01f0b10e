"""A functional test typed step by step over plain lines, at a terminal that only claims to be one."""

from __future__ import annotations

import shlex
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.cli.test_keypad_lines import Lines
from tests.conftest import Ran, run_in

from asleft.intake.keypad import Answer, Journal

ASKED = ("test", "record", "E1", "--by", "R. Example", "--at", "2026-09-03T10:00")
Key = Callable[..., Ran]


@pytest.fixture
def key(own_demo: Path, monkeypatch: pytest.MonkeyPatch) -> Key:
    """Runs a command line in a copy of the demo with what is typed at a terminal."""

    def run(typed: str, *arguments: str, terminal: bool = True) -> Ran:
        monkeypatch.setattr(sys, "stdin", Lines(typed.encode(), terminal))
        return run_in(own_demo, *(arguments or ASKED))

    return run


def journal(site: Path) -> str:
    path = site / ".git" / "asleft" / "test" / "E1.jsonl"
    return path.read_text(encoding="utf-8") if path.exists() else ""


def recorded(site: Path) -> list[dict[str, Any]]:
    folder = site / "assets" / "E1" / "tests"
    return [tomllib.loads(file.read_text(encoding="utf-8")) for file in sorted(folder.glob("*.toml"))]


TYPED = "yes\n45.0\nyes\n7.2 s\nno\nit coasted\nfinish\nshift is over\nyes\n"


def test_what_is_typed_is_recorded_with_the_reading(key: Key, own_demo: Path) -> None:
    tried = key(TYPED, *ASKED, "--dry-run")
    assert "nothing recorded (dry run)" in tried.out
    assert journal(own_demo) and not recorded(own_demo)
    done = key("yes\n", *ASKED, "--resume", "--witness", "H. Example", "--format", "json")
    assert done.code == 1, done.err
    (test,) = recorded(own_demo)
    assert test["reading"] == done.data["reading"]
    assert (test["test"]["by"], test["test"]["witness"]) == ("R. Example", "H. Example")
    steps = list(test["steps"].values())
    assert [(step.get("observed"), step["result"]) for step in steps[:4]] == [
        ("45.0 Hz", "pass"),
        ("yes", "pass"),
        ("7.2 s", "pass"),
        ("no: it coasted", "fail"),
    ]
    assert {(step["result"], step["because"]) for step in steps[4:]} == {("not_done", "shift is over")}
    assert journal(own_demo) == ""


def test_a_step_not_done_is_never_passed(key: Key, own_demo: Path) -> None:
    key(TYPED.replace("no\nit coasted", "yes"))
    ran = run_in(own_demo, "test", "show", "E1")
    assert "is not passed" in ran.out.splitlines()[0]
    assert f"Steps 5 to {len(recorded(own_demo)[0]['steps'])}: shift is over." in ran.out


def test_the_same_as_a_file_gives_the_same(key: Key, own_demo: Path) -> None:
    typed = key(TYPED, *ASKED, "--dry-run", "--format", "json").data
    steps = [f"{n},{text}" for n, text in enumerate(("45.0 Hz", "yes", "7.2 s", "no: it coasted"), 1)]
    rest = [f"{n},not done: shift is over" for n in range(5, len(typed["steps"]) + 1)]
    (own_demo / "same.csv").write_text("\n".join(["step,observed", *steps, *rest]) + "\n", encoding="utf-8")
    filed = key("", *ASKED, "--from", "same.csv", "--dry-run", "--format", "json").data
    assert typed["steps"] == filed["steps"]


def test_the_usual_cautions_come_first_and_a_step_is_judged_at_once(key: Key) -> None:
    ran = key("yes\n40.5\n")
    assert ran.code == 130
    text = " ".join(ran.err.split())
    assert (
        text.index("Keep people clear, guards on")
        < text.index("Is all of that so?")
        < text.index("SHAFT TURNS")
    )
    assert "40.5 Hz. OUTSIDE: 4.5 Hz below 45.0 Hz, ± 0.1 Hz allowed." in text
    assert "Go on with: asleft test record E1 --by 'R. Example' --resume" in text


def test_the_line_that_goes_on_names_the_site_it_was_told(key: Key, own_demo: Path) -> None:
    for asked in (
        ASKED,
        ("snapshot", "E1", "--from", "keypad", "--reading", "as-found", "--occasion", "service"),
    ):
        ran = key("", *asked, "--site", str(own_demo))
        assert ran.code == 130
        assert f"--site {shlex.quote(str(own_demo))} --resume" in ran.err


def test_ctrl_c_while_an_answer_is_written_loses_nothing(
    key: Key, own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add, given = Journal.add, []

    def interrupted(self: Journal, answers: tuple[Answer, ...]) -> None:
        given.extend(answers)
        if len(given) == 1:
            raise KeyboardInterrupt
        add(self, answers)

    monkeypatch.setattr(Journal, "add", interrupted)
    ran = key("yes\n45.0\nyes\n")
    assert ran.code == 130
    assert "Stopped: 1 of " in ran.err
    assert '"45.0 Hz"' in journal(own_demo)


def test_without_a_terminal_a_file_is_asked_for(key: Key, own_demo: Path) -> None:
    ran = key("yes\n45.0\n", terminal=False)
    assert ran.code == 2
    assert "Give a file: asleft test record E1 --from FILE, or --from - for standard input." in ran.err
    assert journal(own_demo) == ""


FORMS = [
    "step,observed\n1,45.0\n4,no\n",
    "\ufeffstep;observed\r\n1;45.0\r\n4;no\r\n",
    '[observed]\n1 = "45.0"\n4 = "no"\n',
]


@pytest.mark.parametrize("content", FORMS, ids=["csv", "csv of a spreadsheet", "toml"])
def test_either_form_of_file_is_taken_from_standard_input(key: Key, content: str) -> None:
    ran = key(content, *ASKED, "--from", "-", "--dry-run", "--format", "json", terminal=False)
    assert ran.code == 1, ran.err
    assert [step["result"] for step in ran.data["steps"][:4]] == ["pass", "not_done", "not_done", "fail"]


@pytest.mark.parametrize("option", ["--resume", "--again"])
def test_what_goes_with_typing_does_not_go_with_a_file(key: Key, option: str) -> None:
    ran = key("", *ASKED, "--from", "e1.csv", option)
    assert ran.code == 2
    assert f"{option} goes with steps typed at a terminal" in ran.err


def test_nothing_waits_to_be_resumed(key: Key) -> None:
    ran = key("", *ASKED, "--resume")
    assert ran.code == 2
    assert "no functional test of E1 waits" in ran.err


def test_a_draft_is_offered_again_and_a_fresh_start_keeps_it(key: Key, own_demo: Path) -> None:
    key("yes\n45.0\n")
    offered = key("no\nyes\n44.0\n")
    assert "A functional test of E1 waits: 1 answer by R. Example, begun 2026-09-03 10:00." in offered.err
    assert '"44.0 Hz"' in journal(own_demo)
    before = (own_demo / ".git" / "asleft" / "test" / "E1.before").read_text(encoding="utf-8")
    assert '"45.0 Hz"' in before
    assert "Going on: 1 of" in key("yes\nyes\n").err


def read_again(site: Path, was: str, now: str) -> None:
    """Another reading as left, with one line changed."""
    text = (site / "assets" / "E1" / "as_left.toml").read_text(encoding="utf-8")
    assert text.count(was) == 1
    head, _, rest = text.replace(was, now).partition("[reading]")
    (site / "again.toml").write_text(head + "[" + rest.split("\n[", 1)[1], encoding="utf-8", newline="\n")
    ran = run_in(
        site, "snapshot", "E1", "--from", "again.toml", "--reading", "as-left", "--occasion", "change",
        "--by", "R. Example", "--at", "2026-09-05T09:00",
    )  # fmt: skip
    assert ran.code == 0, ran.err


CHANGED = [
    ("accel_time_1_s = 8.0", "accel_time_1_s = 9.0", 2),
    ('serial_number = "M4-25-01587"', 'serial_number = "M4-26-00001"', 0),
    ("run_time_h = 905", "run_time_h = 906", 3),
]


@pytest.mark.parametrize(("was", "now", "stand"), CHANGED, ids=["a ramp", "another unit", "a counter"])
def test_a_set_read_again_meanwhile_asks_again_what_no_longer_holds(
    key: Key, own_demo: Path, was: str, now: str, stand: int
) -> None:
    key("yes\n45.0\nyes\n7.2 s\n")
    read_again(own_demo, was, now)
    ran = key("yes\n", *ASKED, "--resume")
    assert "The set was read again since." in ran.err
    assert f"is asked again: {3 - stand}." in ran.err
    assert f"Going on: {stand} of " in ran.err


def test_only_the_steps_to_repeat_after_a_replacement(key: Key) -> None:
    sheet = key("", "test", "sheet", "E1", "--format", "json").data
    number = sum(step["again_after_replacement"] for step in sheet["steps"])
    ran = key("yes\n", *ASKED, "--again")
    assert 0 < number < len(sheet["steps"])
    assert f"E1: functional test, {number} steps" in ran.err
    assert "asleft test record E1 --again --by" in ran.err
