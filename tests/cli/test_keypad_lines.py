"""The keypad guide over plain lines, without a terminal or with one that only claims to be one."""

from __future__ import annotations

import io
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.conftest import Ran, run_in

from asleft.intake.keypad import Answer, Journal

ASKED = (
    "snapshot", "E1", "--from", "keypad", "--reading", "as-found", "--occasion", "service", "--by", "T. Example",
)  # fmt: skip
Key = Callable[..., Ran]


class Lines(io.TextIOWrapper):
    """Standard input that holds some lines; ``terminal`` where a person is said to sit there."""

    def __init__(self, content: bytes, terminal: bool) -> None:
        super().__init__(io.BytesIO(content), encoding="utf-8")
        self.terminal = terminal

    def isatty(self) -> bool:
        return self.terminal


@pytest.fixture
def key(own_demo: Path, monkeypatch: pytest.MonkeyPatch) -> Key:
    """Runs a command line in a copy of the demo with what is typed at standard input."""

    def run(typed: str | bytes, *arguments: str, terminal: bool = False) -> Ran:
        content = typed.encode() if isinstance(typed, str) else typed
        monkeypatch.setattr(sys, "stdin", Lines(content, terminal))
        return run_in(own_demo, *(arguments or ASKED))

    return run


def journals(site: Path) -> str:
    folder = site / ".git" / "asleft" / "keypad"
    return "".join(file.read_text(encoding="utf-8") for file in sorted(folder.glob("*.jsonl")))


def test_answers_from_a_pipe_need_no_terminal(key: Key, own_demo: Path) -> None:
    tried = key("\n6\ngo 4.3\nrest\nyes\nfinish\nno time left\nyes\n", *ASKED, "--dry-run")
    assert tried.code == 0, tried.err
    done = key("yes\n", *ASKED, "--resume", "--format", "json")
    assert done.code == 0, done.err
    assert " > " not in done.err
    assert done.data["how"] == "keypad"
    recorded = (own_demo / "assets" / "E1" / "as_found.toml").read_text(encoding="utf-8")
    assert tomllib.loads(recorded)["reading"]["as_shown"] == ["4 Speed/4.3 Ramps"]
    assert journals(own_demo) == ""


def test_a_pipe_that_ends_early_keeps_what_it_said_and_exits_130(key: Key, own_demo: Path) -> None:
    done = key("\n2.5.1\nfoo\nlevel nowhere\n")
    assert done.code == 130
    assert "line 4: The access levels are basic, expert." in done.err
    assert "asleft snapshot E1 --from keypad" in done.err and "--resume" in done.err
    assert '"2.5.1"' in journals(own_demo)
    assert "keypad" not in run_in(own_demo, "history", "E1").out
    waits = key("\n")
    assert waits.code == 2
    assert "waits: 3 answers" in waits.err


def test_a_model_file_changed_meanwhile_asks_again_what_no_longer_fits(key: Key, own_demo: Path) -> None:
    key("go 3610sub1\n6.5\n15\ngo 3210sub1\nvf_linear\ngo 5010sub1\nset\nskip dark\n")
    model = own_demo / "models" / "merrow-m4.toml"
    text = model.read_text(encoding="utf-8")
    was = 'key = "ramps.accel_time_1_s"\nrange = ["0.1", "3600.0"]'
    assert text.count(was) == 1
    model.write_text(text.replace(was, was.replace('"0.1"', '"7.0"')), encoding="utf-8", newline="\n")
    done = key("go 3610sub1\n\n", *ASKED, "--resume")
    assert "asked again" in done.err
    assert "Stopped with 5 of 271 entries kept" in done.err
    assert '"3610sub1", "how": "same", "value": "8.0"' in journals(own_demo)


def test_a_reading_begun_with_another_model_is_not_gone_on_with(key: Key, own_demo: Path) -> None:
    key("SK-001\n", *ASKED, "--model", "skarn-k-15k")
    done = key("\n", *ASKED, "--resume")
    assert done.code == 2
    assert "begun with the model skarn-k-15k" in done.err


def test_nothing_waits_to_be_resumed(key: Key) -> None:
    done = key("\n", *ASKED, "--resume")
    assert done.code == 2
    assert "no reading of E1 at the keypad waits" in done.err


def test_resume_goes_with_the_keypad_only(key: Key) -> None:
    for command in (
        ("snapshot", "E1", "--from", "-", "--reading", "as-found", "--occasion", "service", "--resume"),
        ("plan", "E1", "3610sub2=15", "--from", "left", "--resume"),
    ):
        done = key("", *command)
        assert done.code == 2
        assert "--resume goes with --from keypad" in done.err


def test_a_slot_without_a_model_says_so(key: Key, own_demo: Path) -> None:
    assert run_in(own_demo, "asset", "add", "P9").code == 0
    done = key("\n", *("P9" if word == "E1" else word for word in ASKED))
    assert done.code == 2
    assert "no drive model is named" in done.err


def test_at_a_terminal_it_prompts_and_asks_whether_to_go_on(key: Key) -> None:
    first = key("\n", terminal=True)
    assert first.code == 130
    assert "2F00sub1 Serial no.: was M4-25-01587 > " in first.err
    assert "2F00sub2 Firmware: was 2.4 > " in first.err
    again = key("perhaps\nyes\n", terminal=True)
    assert "A reading of E1 at the keypad waits: 1 answer by T. Example" in again.err
    assert "Going on: 1 of 271 entries are answered." in again.err


def test_bytes_of_another_alphabet_are_taken_as_text(key: Key, own_demo: Path) -> None:
    key("go 5000sub3\nFran\xe7ais\n".encode("latin-1"))
    assert "Fran\\u00e7ais" in journals(own_demo)


def test_ctrl_c_while_an_answer_is_written_loses_nothing(
    key: Key, own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    add, given = Journal.add, []

    def interrupted(self: Journal, answers: tuple[Answer, ...]) -> None:
        given.append(answers)
        if len(given) == 1:
            raise KeyboardInterrupt
        add(self, answers)

    monkeypatch.setattr(Journal, "add", interrupted)
    done = key("M4-25-99999\n2.4\n")
    assert done.code == 130
    assert "Stopped with 1 of 271 entries kept" in done.err
    assert '"M4-25-99999"' in journals(own_demo)
    assert '"2F00sub2"' not in journals(own_demo)


def test_a_plan_by_the_guide_takes_further_values_from_the_line(key: Key, own_demo: Path) -> None:
    plan = ("plan", "E1", "3610sub1=9", "--from", "keypad", "--until", "2030-01-31", "--reason", "too fast")
    stopped = key("go down a\n15\n", *plan)
    assert stopped.code == 130
    again = "asleft plan E1 3610sub1=9 --from keypad --until 2030-01-31"
    assert again in stopped.err and "--reason 'too fast'" in stopped.err
    done = key("finish\nyes\n", *plan, "--resume", "--format", "json")
    assert done.code == 0, done.err
    assert sorted(change["new"] for change in done.data["changes"]) == [9, 15]
    assert done.data["until"] == "2030-01-31"
    recorded = (own_demo / "assets" / "E1" / "planned.toml").read_text(encoding="utf-8")
    assert tomllib.loads(recorded)["reading"]["how"] == "keypad"


def test_a_plan_of_a_drive_never_read_starts_from_factory_values(key: Key, own_demo: Path) -> None:
    assert run_in(own_demo, "asset", "add", "P9", "model=skarn-k-15k").code == 0
    done = key("go run-up 1\n12\nfinish\nyes\n", "plan", "P9", "--from", "keypad", "--format", "json")
    assert done.code == 0, done.err
    assert [(step["id"], step["enter"]) for step in done.data["entries"]] == [("41241", "12.0 s")]
    assert done.data["undo"] == []
