"""A sheet on a terminal of 80 columns, and with colours into a pipe."""

from __future__ import annotations

import io

import pytest

from asleft.documents import terminal
from asleft.documents.blocks import Line, Rows
from asleft.documents.terminal import wrapped

WORDS = "photograph terminals, switches, links and the label before anything is moved at all"
SLOTS = Rows(
    ("asset", "designation", "application", "model", "as left", "specs"),
    (
        (
            "C1",
            "Chain conveyor",
            "chain_conveyor",
            "merrow-m4-18k5",
            "as left 2 September",
            "every-drive, fan",
        ),
        ("E1", "Intake leg", "bucket_elevator", "merrow-m4-15k", "as left 12 March", "bucket-elevator"),
    ),
)


class Screen(io.StringIO):
    """A stream that is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> Screen:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    return Screen()


def test_a_numbered_step_hangs_under_its_words() -> None:
    lines = wrapped(Line(f"  1. {WORDS}", depth=1), 50).split("\n")
    assert lines[0].startswith("      1. photograph")
    assert all(line.startswith("         ") and line[9] != " " for line in lines[1:])
    assert all(len(line) <= 50 for line in lines)
    assert " ".join(" ".join(lines).split()) == f"1. {WORDS}"


def test_no_word_of_a_table_is_broken_where_there_is_room(screen: Screen) -> None:
    terminal.show((SLOTS,), screen, color=False)
    told = screen.getvalue()
    for word in ("chain_conveyor", "bucket_elevator", "merrow-m4-18k5", "bucket-elevator", "designation"):
        assert word in told
    assert all(len(line) <= 80 for line in told.split("\n"))


@pytest.mark.parametrize("width", [24, 60, 80, 200])
def test_a_table_keeps_every_letter_at_any_width(width: int) -> None:
    narrow = Screen()
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("COLUMNS", str(width))
        terminal.show((SLOTS,), narrow, color=False)
    told = sorted("".join(narrow.getvalue().split()))
    assert told == sorted("".join("".join(row) for row in (SLOTS.head, *SLOTS.rows)).replace(" ", ""))
    assert all(len(line.rstrip()) <= width for line in narrow.getvalue().split("\n"))


def test_without_colour_there_is_no_escape_at_all(screen: Screen) -> None:
    terminal.show((Line("Stop.", "alarm"), SLOTS), screen, color=False)
    assert "\x1b" not in screen.getvalue()


def test_the_tone_is_colour_beside_the_words(screen: Screen) -> None:
    terminal.show((Line("Stop.", "alarm"),), screen, color=True)
    assert "\x1b[1;31mStop." in screen.getvalue()


def test_colours_in_a_pipe_neither_wrap_nor_cut() -> None:
    pipe = io.StringIO()
    terminal.show((Line(WORDS * 5, "alarm"), SLOTS), pipe, color=True)
    assert WORDS * 5 in pipe.getvalue()
    assert "as left 2 September  every-drive, fan" in pipe.getvalue()
