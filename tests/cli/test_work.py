"""A replaced unit put right at the drive: every prompt followed, interrupted, resumed, read back, recorded.

The drive is simulated (its rules: common practice, no source); what it shows is never taken from the guide.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from tests.cli.drive_side import MODELS, Killed, Person, drive_of, model_of, sit
from tests.conftest import Ran, run_in

from asleft.compare import Side
from asleft.files.assets import read_asset
from asleft.files.sets import read_set
from asleft.intake.keypad import Answer, Journal
from asleft.intake.working import Work
from asleft.intake.working.words import WORDS
from asleft.models import decode
from asleft.record import same_value
from asleft.replace import PutRight, put_right
from asleft.replace.plan import shown_by
from asleft.replace.standing import same_shown

DEMO = MODELS.parent
WHO = ("--by", "T. Example", "--reason", "unit burnt", "--at", "2026-10-11T23:10")
DECIDES = {"Restart after": "rewired as three-wire with a pulse", "signal loss": "1"}
SLIPS = {"3010sub3": "3.30", "3610sub1": "6.0", "3820sub1": "1", "41104": "30.3", "41141": "1"}
WORN = (
    '\n[waiver.W-{tag}-{stays}]\nrule = "16"\nspec = "every-drive"\nassets = ["{tag}"]\nreason = "Invented."\n'
    'compensating = "None."\nasked_by = "R. Example"\napproved_by = "H. Example"\nfrom = 2026-03-12\n'
    "until = 2027-03-31\nstays_with_slot = {stays}\n"
    '[waiver.W-{tag}-{stays}.allowed]\n"ramps.accel_time_1_s" = {{ at_least = "6 s" }}\n'
)


class Case(NamedTuple):
    """A slot and the unit that goes into it."""

    tag: str
    unit: str
    model: str


SAME = Case("F1", "units/f1-same.toml", "merrow-m4-18k5")
OTHER = Case("F2", "units/f2-spare.toml", "skarn-k-18k5")
CASES = [pytest.param(SAME, id="same model"), pytest.param(OTHER, id="another model")]


@cache
def sides(case: Case) -> tuple[Side, Side]:
    """The record as last left and the unit as read, straight from the demo's files."""
    unit = read_set((DEMO / case.unit).read_bytes(), case.unit)
    model = model_of("merrow-m4-18k5")
    (left,) = (DEMO / "readings" / "2026-09-02").glob(f"{case.tag}.*")
    from asleft.intake import take

    return Side(take(left.read_bytes(), left.name, model).set, model), Side(unit, model_of(case.model))


@cache
def listed(case: Case, decided: tuple[tuple[str, str], ...] = ()) -> PutRight:
    """The list, once some settings were decided."""
    from dataclasses import replace

    record, unit = sides(case)
    asset = read_asset((DEMO / "assets" / case.tag / "asset.toml").read_bytes(), case.tag)
    changed = record.set.with_values(dict(decided))
    return put_right(replace(record, set=changed), unit, asset)


def work_of(case: Case, answers: tuple[Answer, ...] = ()) -> Work:
    """The guide alone, without a site."""
    _, unit = sides(case)
    assert unit.model is not None
    shows = shown_by(unit, unit.model)
    plan: Callable[[Any], PutRight] = lambda decided: listed(case, tuple(sorted(decided.items())))  # noqa: E731
    return Work(plan, unit.model, shows, "T. Example", answers)


def strays(person: Person, target: PutRight) -> list[str]:
    """What the drive shows otherwise than the list asks for."""
    natives, shown = person.drive.model.natives, person.drive.displayed
    return [id_ for id_, wanted in target.target.items() if not same_shown(natives[id_], shown[id_], wanted)]


def left(site: Path, tag: str) -> Any:
    return read_set((site / "assets" / tag / "as_left.toml").read_bytes(), "as_left.toml")


def holds_what_the_drive_shows(site: Path, tag: str, person: Person) -> bool:
    """Every value recorded is what the drive shows, in neutral terms, and codes are states."""
    shown = {
        id_: text
        for id_, text in person.drive.displayed.items()
        if not person.drive.model.natives[id_].secret
    }
    truth, recorded = decode(person.drive.model, shown, "not shown"), left(site, tag)
    values = {key: value for key, value in recorded.values.items() if not key.endswith("pin_state")}
    return len(values) > 150 and all(same_value(truth.values[key], value) for key, value in values.items())


@pytest.fixture
def with_waivers(own_demo: Path) -> Path:
    """A site where each of the two slots has a waiver that ends with its unit, and one that stays."""
    with (own_demo / "waivers.toml").open("a", encoding="utf-8", newline="\n") as file:
        file.writelines(
            WORN.format(tag=tag, stays=stays) for tag in ("F1", "F2") for stays in ("true", "false")
        )
    return own_demo


@pytest.mark.parametrize("case", CASES)
def test_following_the_prompts_ends_in_the_target_and_in_the_record(
    case: Case, with_waivers: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = with_waivers
    person = Person(drive_of(site / case.unit), decides=DECIDES, slips=dict(SLIPS))
    done = sit(site, person, monkeypatch, "compare", case.tag, case.unit, "--work", *WHO, "--format", "json")
    assert done.code == 0, done.err[-2000:]
    decided = (("protection.signal_loss_reaction", "go_to_minimum"),) if case is OTHER else ()
    assert strays(person, listed(case, decided)) == []
    assert holds_what_the_drive_shows(site, case.tag, person)
    planted = [native_id for native_id in SLIPS if native_id in person.drive.model.natives]
    assert person.wrong == len(planted) and not set(planted) & set(person.slips)
    told = done.data
    assert told["strays"] == [] and told["left_out"] == []
    assert told["waivers_ended"] == [f"W-{case.tag}-false"]
    assert len(told["tests"]) > 20
    reading = left(site, case.tag).reading
    assert (reading.kind, reading.occasion, reading.how) == ("as_left", "replacement", "keypad")
    assert left(site, case.tag).model == case.model
    asset = tomllib.loads((site / "assets" / case.tag / "asset.toml").read_text(encoding="utf-8"))
    assert asset["model"] == case.model
    assert not list((site / ".git" / "asleft").rglob("*.jsonl"))
    assert run_in(site, "compare", case.tag, f"{case.tag}@left", "--no-behaviour").code == 0
    assert run_in(site, "verify").code == 0
    assert all(len(line) <= 80 for line in done.err.split("\n") if " > " not in line)


def test_what_was_decided_answered_and_wired_is_recorded(
    own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    person = Person(drive_of(own_demo / OTHER.unit), decides=DECIDES, leaves_out={"41247": "no time"})
    done = sit(own_demo, person, monkeypatch, "compare", "F2", OTHER.unit, "--work", *WHO)
    assert done.code == 1
    assert done.out.startswith(
        "F2 is NOT as its record: 1 entry reads otherwise than it should and 1 step left"
    )
    assert "41247 Rounding, run-up begins: reads 0.5 s, should be 0.0 s" in done.out
    (file,) = (own_demo / "assets" / "F2" / "replacements").glob("*.toml")
    assert file.name == "2026-10-11-2310.toml"
    kept = tomllib.loads(file.read_text(encoding="utf-8"))
    assert {row["key"]: (row["how"], row["chosen"], row["by"]) for row in kept["decided"]} == {
        "stations.change_restart": ("words", "rewired as three-wire with a pulse", "T. Example"),
        "protection.signal_loss_reaction": ("option", "go_to_minimum", "T. Example"),
    }
    assert {row["why"] for row in kept["decided"]} == {"weighed with the plant"}
    assert [row["wire"] for row in kept["wires"]] == ["12", "13"]
    assert kept["wires"][0] == {"wire": "12", "old_terminal": "X1.3", "new_terminal": "41"}
    assert kept["switches"] == [{"name": "S4", "position": "4-20 mA"}]
    assert len(kept["asked"]) == 9 and {row["answer"] for row in kept["asked"]} == {"looked at, all right"}
    assert [(row["enter"], row["why"]) for row in kept["left_out"]] == [("0.0 s", "no time")]
    assert kept["read"] == "F2 as left 2 September 2026, service"
    told = run_in(own_demo, "history", "F2").out
    assert "Replaced 11 October 2026 23:10 by T. Example: unit burnt." in told
    assert f"Unit {OTHER.unit}, {OTHER.model}, put right to F2 as left 2 September 2026, service." in told
    assert "0.0 s: no time." in told.split("LEFT OUT: ")[1].split("\n")[0]
    assert "rewired as three-wire with a pulse, by T. Example: weighed with the plant." in told
    assert "Wire 12: old terminal X1.3, new terminal 41." in told
    assert f"Kept in assets/F2/replacements/{file.name}" in told
    (data,) = run_in(own_demo, "history", "F2", "--format", "json").data["units_put_right"]
    assert data["replaced"] is True
    assert all(data[part] == kept[part] for part in ("decided", "asked", "wires", "switches", "left_out"))
    assert run_in(own_demo, "verify").code == 0


def alone(person: Person, work: Work, journal: Journal) -> tuple[Work, bool]:
    """Type at the guide alone until it ends or the power goes."""
    shown = ""
    try:
        while True:
            screen = f"{shown}\n" + "\n".join(work.ask())
            assert len(screen.split("\n")) <= 26, screen
            reply = work.feed(person.answer(screen))
            journal.add(reply.answers)
            shown = "\n".join(reply.lines)
            if reply.end:
                return work, True
    except Killed:
        return work, False


@pytest.mark.parametrize("case", CASES)
def test_killed_at_every_fifth_step_and_resumed_nothing_is_lost_or_made_twice(
    case: Case, tmp_path: Path
) -> None:
    person = Person(drive_of(DEMO / case.unit), decides=DECIDES, killed_at=5)
    journal, ended, kills = Journal(tmp_path / "work.jsonl"), False, 0
    journal.begin({"asset": case.tag})
    work = work_of(case)
    while not ended:
        work, ended = alone(person, work, journal)
        if not ended:
            kills += 1
            with journal.path.open("ab") as file:
                file.write(b'{"id": "enter:torn')
            kept = journal.read()
            assert kept is not None
            done = work.done
            work = work_of(case, kept.answers)
            assert work.done == done
    assert work.finished and work.skipped == frozenset()
    entries = [task for task in work.tasks if task.kind == "entry"]
    assert kills == len(person.entered) // 5 >= len(entries) // 5
    assert len(person.entered) == len(entries) + kills
    assert strays(person, work.listed) == []


def typed(work: Work, *lines: str) -> str:
    """What is shown after some lines."""
    shown = ""
    for line in lines:
        work.ask()
        shown = "\n".join(work.feed(line).lines)
    return " ".join(f"{shown} {' '.join(work.ask())}".split())


def at(place: str, case: Case = SAME) -> Work:
    """The guide at an entry by its id, or at work by how its text begins."""
    work = work_of(case)
    steps = {number: task.step for number, task in enumerate(work.tasks) if task.step is not None}
    found = (n for n, step in steps.items() if step.native == place or step.text.startswith(place))
    work.jump(next(found))
    return work


AMPS, RPM, MODE, TORQUE, CEILING = "3010sub3", "3010sub5", "3210sub1", "3220sub2", "3410sub2"
LOG = "Save the fault log"
TALKS = [
    ("a number with its point moved", AMPS, ["yes", "3.30"], "WRONG. It shows 3.3 A and should show 33.0 A: 33.0 A with the decimal point moved"),
    ("two digits swapped", RPM, ["yes", "2490"], "2940 rpm with two digits swapped"),
    ("what cannot be understood", AMPS, ["yes", "many"], "Motor amps shows a number"),
    ("a choice by its text", MODE, ["yes", "V/f square"], "3210sub7 Boost"),
    ("the wrong choice", MODE, ["yes", "0"], "It shows 0 (V/f straight) and should show 1 (V/f square)"),
    ("nothing before the drive is stopped", AMPS, ["33.0"], "Type yes or no first."),
    ("the drive still runs", AMPS, ["no"], "Nothing is entered before it"),
    ("stopped is asked once in a row", AMPS, ["yes", "33.0"], "Read it back: it shows >"),
    ("the shaft may turn", "3100sub1", [], "THE SHAFT MAY TURN. Is the drive stopped, and everybody clear?"),
    ("an empty line shows the step again", TORQUE, [""], "enter: 120.0 %"),
    ("left out with its reason", CEILING, ["skip will not take it"], "It has to stand before step"),
    ("the reason is asked for", TORQUE, ["skip"], "Why is it left out? >"),
    ("digits are no reason", TORQUE, ["skip", "4711"], "Type it in words"),
    ("a reason given up", TORQUE, ["skip", "back"], "3220sub2 Torque limit, driving, menu"),
    ("back to what was done", TORQUE, ["120", "back"], "Said before: reads 120.0. next leaves it so."),
    ("on without saying anything", TORQUE, ["120", "back", "next"], "3220sub3 Torque limit, braking, menu"),
    ("to a step by its id", TORQUE, ["go 3740sub4"], "3740sub4 On lost signal, menu"),
    ("to a step by its number", TORQUE, ["go 1"], "Step 1, isolate, look and read"),
    ("to nowhere", TORQUE, ["go nowhere"], "Type go and the number of a step"),
    ("what it is", TORQUE, ["?"], "It takes"),
    ("around here", TORQUE, ["list"], "3220sub2 Torque limit, driving: open"),
    ("what is left", TORQUE, ["skip no time", "left"], "Left out (1):"),
    ("help", TORQUE, ["help"], "go on with --resume"),
    ("a word that was meant", LOG, ["dnoe"], "Did you mean done?"),
    ("work is done by saying so", LOG, ["done"], "Read the unit as found."),
    ("a code at a step of work", LOG, ["83194702"], "Type done when it is done; or skip and why."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("place", "lines", "says"), [talk[1:] for talk in TALKS], ids=[talk[0] for talk in TALKS]
)
def test_what_is_typed_does_what_it_says(place: str, lines: list[str], says: str) -> None:
    assert says in typed(at(place), *lines)


def test_every_word_of_the_guide_is_tried() -> None:
    used = {line.split(" ")[0] for _, _, lines, _ in TALKS for line in lines}
    assert WORDS.keys() - used <= {"stop"}
    assert work_of(SAME).feed("stop").end == "stopped"


WIRE_LINES = [
    (["12, X1.3, 41"], "12: X1.3 to 41. 1 in the list."),
    (["12, X1.3, 41", "12, X1.3, 42"], "12: X1.3 to 42, instead of X1.3 to 41. 1 in the list."),
    (["12, X1.3"], "A wire is its number, old terminal, new terminal"),
    (["S4 = on"], "S4: at on. 1 in the list."),
    (["S4 ="], "A switch or link is its name = its position"),
    (["S4 = on", "undo"], "taken back: S4"),
    (["undo"], "The list is empty."),
    (["done"], "Type none where nothing was moved"),
    (["S4 = on", "none"], "1 are in the list"),
    (["none"], "Why did the old unit fail?"),
]


@pytest.mark.parametrize(("lines", "says"), WIRE_LINES, ids=[" then ".join(lines) for lines, _ in WIRE_LINES])
def test_the_wire_list_takes_wires_and_switches(lines: list[str], says: str) -> None:
    assert says in typed(work_of(SAME), *lines)


def test_an_entry_made_again_has_what_it_resets_asked_again() -> None:
    person = Person(drive_of(DEMO / SAME.unit))
    work = work_of(SAME)
    while work.task is not None:
        work.feed(person.answer("\n".join(work.ask())))
    sets = person.drive.model.natives[AMPS].sets
    resets = [task.id for task in work.tasks if task.step is not None and task.step.native in sets]
    assert resets
    shown = typed(work, f"go {AMPS}", "yes", "33.0")
    assert f"Asked again, for this resets it: {len(resets)}." in shown
    assert work.task is not None and work.task.id == resets[0]


def test_a_decision_changed_changes_the_list() -> None:
    work = work_of(OTHER)
    typed(work, "0", "", "it stays", "go_to_minimum", "", "as the plant asks")
    minimum = [task.id for task in work.tasks if task.id.startswith("enter:")]
    typed(work, "back 1", "stop_ramp", "H. Example", "better so")
    ramp = [task.id for task in work.tasks if task.id.startswith("enter:")]
    assert len(set(minimum) - set(ramp)) == 1 and len(set(ramp) - set(minimum)) == 1
    assert work.answers["by:decide:protection.signal_loss_reaction"].value == "H. Example"


@pytest.mark.parametrize("before", [[], ["none"], ["none", "skip"]], ids=["wires", "a question", "a reason"])
def test_a_code_typed_by_mistake_is_never_an_answer(before: list[str]) -> None:
    work = work_of(SAME)
    typed(work, *before)
    reply = work.feed("83194702")
    assert reply.refused and not reply.answers and "83194702" not in "".join(reply.lines)
    work = work_of(OTHER)
    assert not work.feed("83194702").answers


def test_what_was_not_read_is_read_first_and_entered_only_if_it_differs(
    own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    unit = own_demo / SAME.unit
    person = Person(drive_of(unit))
    text = unit.read_text(encoding="utf-8")
    for key, shown, stands in (("accel_time_1_s", "15.0", "3610sub1"), ("decel_time_2_s", None, "3610sub4")):
        lines = [line for line in text.splitlines() if not line.startswith(f"{key} = ")]
        assert len(lines) == len(text.splitlines()) - 1
        assert shown is None or person.drive.displayed[stands] == shown
        text = "\n".join(lines) + "\n"
    unit.write_text(text, encoding="utf-8", newline="\n")
    done = sit(own_demo, person, monkeypatch, "compare", "F1", SAME.unit, "--work", *WHO)
    assert done.code == 0, done.err[-2000:]
    assert strays(person, listed(SAME)) == []
    assert "It shows 15.0 s and should show 60.0 s: enter it now, then type what it shows." in done.err
    assert "3610sub1" in person.entered
    assert person.wrong == 0


def test_no_entry_of_a_list_is_a_code() -> None:
    for case in (SAME, OTHER):
        natives = work_of(case).model.natives
        tasks = [task.step for task in work_of(case).tasks if task.step is not None]
        assert not [step for step in tasks if step.native and natives[step.native].secret]


def test_an_interrupted_list_waits_and_another_list_asks_every_step_again(
    own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ("compare", "F1", SAME.unit, "--work", *WHO)
    person = Person(drive_of(own_demo / SAME.unit), killed_at=5)
    with pytest.raises(Killed):
        sit(own_demo, person, monkeypatch, *asked)
    monkeypatch.undo()
    journal = own_demo / ".git" / "asleft" / "work" / "F1.jsonl"
    assert len([line for line in journal.read_text(encoding="utf-8").splitlines() if '"enter:' in line]) == 4
    waits = piped(own_demo, monkeypatch, "\n", *asked)
    assert waits.code == 2 and "put-right list of F1 waits" in waits.err and "--resume" in waits.err
    unit = own_demo / SAME.unit
    text = unit.read_text(encoding="utf-8")
    assert "accel_time_1_s = 15.0" in text
    unit.write_text(
        text.replace("accel_time_1_s = 15.0", "accel_time_1_s = 60.0"), encoding="utf-8", newline="\n"
    )
    more = piped(own_demo, monkeypatch, "", *asked, "--resume")
    assert more.code == 130
    assert "The list is another one now" in more.err and "Stopped: 10 of 68 done and kept" in more.err


def piped(site: Path, monkeypatch: pytest.MonkeyPatch, lines: str, *arguments: str) -> Ran:
    import io

    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(lines.encode())))
    return run_in(site, *arguments)


BAD = [
    (("--tonight", "--morning"), "Name one."),
    (("--work", "--morning"), "asleft compare F2@planned F2@left --work"),
    (("--resume",), "--resume goes with --work."),
    (("--until", "2026-10-12"), "--until is the day of the part that waits."),
    (("--work", "--tonight"), "17 entries wait until morning, and no day is named."),
    (("--morning", "--until", "2026-10-12", "--at", "2026-10-11T23:10"), "a temporary change needs a reason"),
    (("--morning", "--until", "soon", "--reason", "late"), "'soon' is no date."),
    (("--work", "--resume"), "no put-right list of F2 waits to be resumed."),
]


@pytest.mark.parametrize(("given", "says"), BAD, ids=[" ".join(given) for given, _ in BAD])
def test_options_that_do_not_go_together_are_refused(
    given: tuple[str, ...], says: str, demo: Callable[..., Ran]
) -> None:
    done = demo("compare", "F2", OTHER.unit, *given)
    assert done.code == 2 and says in done.err


def test_the_two_parts_are_the_list(demo: Callable[..., Ran]) -> None:
    asked = ("compare", "F2", OTHER.unit, "--no-behaviour", "--format", "json")
    whole, tonight, morning = (
        [row["step"] for row in demo(*asked, *part).data["put_right"]]
        for part in ((), ("--tonight",), ("--morning",))
    )
    assert sorted([*tonight, *morning]) == whole and morning
    assert "may wait until morning" in demo(*asked[:4], "--morning").out


def overdue(site: Path, day: str) -> str:
    return run_in(site, "plan", "F2", "--on", day).out


def test_what_waits_until_morning_is_shown_when_overdue_until_it_is_made(
    own_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    person = Person(drive_of(own_demo / OTHER.unit), decides=DECIDES)
    part = ("--work", "--tonight", "--until", "2026-10-12", *WHO)
    done = sit(own_demo, person, monkeypatch, "compare", "F2", OTHER.unit, *part, "--format", "json")
    assert done.code == 0, done.err[-2000:]
    assert done.data["until"] == "2026-10-12" and len(done.data["waits"]) == 17
    assert not set(done.data["waits"]) & set(person.entered)
    assert "OVERDUE" not in overdue(own_demo, "2026-10-12")
    assert "OVERDUE by 1 day: no reading since the unit was left" in overdue(own_demo, "2026-10-13")
    again = ("compare", "F2@planned", "F2@left", "--work", *WHO[:-1], "2026-10-13T08:00", "--format", "json")
    person.typed.clear()
    done = sit(own_demo, person, monkeypatch, *again)
    assert done.code == 0, done.err[-2000:]
    assert set(person.entered) > set(json.loads(done.out)["waits"])
    assert done.data["headline"].startswith("F2 put right: ") and not done.data["waivers_ended"]
    assert left(own_demo, "F2").reading.occasion == "change"
    assert "OVERDUE" not in overdue(own_demo, "2026-10-14")
    assert "the newest reading holds all" in overdue(own_demo, "2026-10-14").lower()


def test_a_rest_named_before_the_night_waits_while_the_reading_lacks_it(own_demo: Path) -> None:
    asked = ("compare", "F1", SAME.unit, "--morning", "--until", "2026-10-12", *WHO)
    done = run_in(own_demo, *asked)
    assert "1 entry for F1 may wait until morning, to be made by 12 October 2026." in done.out
    read = ("snapshot", "F1", "--from", SAME.unit, "--reading", "as-left", "--occasion", "replacement")
    assert run_in(own_demo, *read, "--by", "T. Example", "--at", "2026-10-12T02:00").code == 0
    told = run_in(own_demo, "plan", "F1", "--on", "2026-10-14").out
    assert "OVERDUE by 2 days:" in told and "settings left over from the replacement still wait" in told
