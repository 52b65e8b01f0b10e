"""The guided read-back: every word of the guide, slips, and that nothing said is lost or made up."""

from __future__ import annotations

import string
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.intake import keypad_desk as desk

from asleft.intake.keypad import Answer, Guide, Journal, Reply, planned, taken
from asleft.intake.keypad.words import WORDS

TALKS = desk.cases("talks", "talk")
SLIPS = desk.cases("slips", "slip")


def started(case: dict[str, Any]) -> Guide:
    guide = desk.guide(case.get("purpose", "reading"), case.get("recorded", True))
    guide.jump(guide.place[case["at"]])
    return guide


def shown(guide: Guide, reply: Reply) -> str:
    return "\n".join(reply.lines if reply.end else (*reply.lines, *guide.ask()))


@pytest.mark.parametrize("case", TALKS, ids=[case["does"] for case in TALKS])
def test_what_is_typed_does_what_it_says(case: dict[str, Any]) -> None:
    guide = started(case)
    guide.ask()
    seen = ""
    for line in case["type"]:
        reply = guide.feed(line)
        seen = shown(guide, reply)
        assert all(len(one) <= 80 for one in seen.split("\n")), seen
    assert case.get("says", "") in seen
    assert reply.end == case.get("end", "")
    if "ends" in case:
        assert (guide.row.id if guide.row else "end") == case["ends"]
    for native_id, wanted in case.get("answers", {}).items():
        assert desk.said(guide.answers.get(native_id)) == wanted


def test_a_line_longer_than_any_value_is_not_taken() -> None:
    guide = desk.guide()
    reply = guide.feed("x" * 401)
    assert reply.refused and not reply.answers
    assert "too long" in reply.lines[0]


def test_every_word_of_the_guide_is_tried() -> None:
    typed = {line.lstrip("/").split(" ")[0] for case in TALKS for line in case["type"] if line}
    assert not WORDS.keys() - typed


@pytest.mark.parametrize("case", SLIPS, ids=[case["does"] for case in SLIPS])
def test_a_slip_is_asked_about_and_an_honest_change_is_not(case: dict[str, Any]) -> None:
    guide = started(case)
    reply = guide.feed(case["type"])
    if case.get("expects") == "none":
        assert reply.answers
        return
    assert case["says"] in " ".join(" ".join(reply.lines).split())
    assert not reply.answers
    if case.get("keeps"):
        assert reply.refused
        assert guide.feed("keep").answers[0].how == "typed"
    else:
        assert guide.feed("no").answers == ()
        assert guide.row is not None and guide.row.id == case["at"]
        guide.feed(case["type"])
        assert guide.feed("yes").answers[0].id == case["at"]


def test_at_least_twenty_slips_are_planted() -> None:
    assert sum("says" in case for case in SLIPS) >= 20


def test_all_entries_confirmed_give_the_last_reading_again() -> None:
    guide = desk.guide()
    while guide.row is not None:
        guide.feed("same")
    found = taken(guide.model, guide.rows, guide.answers)
    assert found.set.values == desk.last().values
    assert found.set.native == desk.last().native
    assert not found.set.not_read and not found.as_shown and found.how == "keypad"


def test_a_menu_confirmed_as_a_whole_is_named_and_what_was_skipped_has_its_reason() -> None:
    guide = desk.guide()
    guide.feed("go 4.3")
    guide.feed("rest")
    guide.feed("yes")
    guide.feed("go 3640sub1")
    guide.feed("skip the display was dark")
    guide.feed("finish")
    guide.feed("3")
    found = taken(guide.model, guide.rows, guide.answers)
    assert found.as_shown == ("4 Speed/4.3 Ramps",)
    assert found.set.not_read["presets.preset_1_hz"] == "the display was dark"
    assert found.set.not_read["presets.preset_2_hz"] == "could not be made out on the display"
    assert found.set.values["ramps.decel_time_1_s"] == desk.last().values["ramps.decel_time_1_s"]
    assert "presets.preset_1_hz" not in found.set.values


def test_a_value_the_list_cannot_explain_is_kept_as_the_drive_shows_it() -> None:
    guide = desk.guide()
    guide.feed("go 3210sub1")
    guide.feed("7")
    guide.feed("keep")
    guide.feed("finish")
    guide.feed("2")
    found = taken(guide.model, guide.rows, guide.answers)
    assert found.set.native["3210sub1"] == "7"
    assert "control.motor_control_mode" in found.set.not_read


def test_a_plan_holds_only_what_was_changed() -> None:
    guide = desk.guide("planning")
    for line in ("go 3610sub1", "", "15", "go 3210sub1", "vf_square", "finish", "yes"):
        guide.feed(line)
    assert planned(guide.answers, guide.rows) == {"3610sub2": "15.0", "3210sub1": "1"}


LINES = st.one_of(
    st.sampled_from(
        [
            "",
            "",
            "",
            "yes",
            "no",
            "rest",
            "same",
            "keep",
            "back",
            "back 3",
            "skip",
            "skip dark",
            "list",
            "menus",
        ]
    ),
    st.sampled_from(
        ["go 4.3", "go 7", "go 5010sub1", "find ramp", "level basic", "level expert", "finish", "?"]
    ),
    st.decimals(min_value=-100, max_value=10000, places=1).map(str),
    st.text(alphabet=string.printable, max_size=12),
)


@settings(max_examples=60)
@given(st.lists(LINES, max_size=40))
def test_whatever_is_typed_nothing_is_lost_and_no_code_is_kept(typed: list[str]) -> None:
    guide = desk.guide()
    kept: list[Answer] = []
    for line in typed:
        guide.ask()
        reply = guide.feed(line)
        kept += reply.answers
        if reply.end:
            break
    again = desk.guide(answers=tuple(kept))
    assert again.answers == guide.answers
    for answer in kept:
        native = guide.model.natives[answer.id]
        if native.secret:
            assert answer.value in ("", "set", "not_set", "factory")


def test_a_journal_gives_back_what_was_added_also_after_a_torn_line(tmp_path: Path) -> None:
    journal = Journal(tmp_path / "deep" / "e1.jsonl")
    assert journal.read() is None
    journal.begin({"asset": "E1"})
    first = Answer("3610sub1", "typed", "6.5")
    journal.add((first,))
    with journal.path.open("ab") as file:
        file.write(b'{"id": "3610sub2", "ho')
    second = Answer("3610sub2", "skipped", reason="dark")
    journal.add((second, Answer("3610sub5", "open")))
    kept = journal.read()
    assert kept is not None and kept.head["asset"] == "E1"
    assert kept.answers == (first, second, Answer("3610sub5", "open"))


def test_a_journal_begun_afresh_keeps_the_one_before_beside_it(tmp_path: Path) -> None:
    journal = Journal(tmp_path / "e1.jsonl")
    journal.begin({})
    journal.add((Answer("3610sub1", "typed", "6.5"),))
    journal.begin({})
    kept = journal.read()
    assert kept is not None and kept.answers == ()
    before = Journal(tmp_path / "e1.before").read()
    assert before is not None and len(before.answers) == 1
    journal.remove()
    assert journal.read() is None
