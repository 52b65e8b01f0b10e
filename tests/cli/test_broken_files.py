"""One broken file stops nobody else's answer: it is named first, with file, line and what to do."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from junitparser import Error, JUnitXml
from tests.conftest import Ran, run_in

ON = ("--on", "2026-09-02")
ALL = [("asset", "list"), ("check", "--all", *ON), ("audit", "--all", "--no-behaviour", *ON)]
IDS = ["list", "check", "audit"]
SARIF = Path(__file__).parents[1] / "outside/values/sarif-2.1.0-rtm.5.json"


def git(site: Path, *words: str) -> str:
    done = subprocess.run(["git", *words], cwd=site, capture_output=True, text=True, check=True)
    return done.stdout.strip()


def broken_slot(site: Path) -> str:
    path = site / "assets/F1/asset.toml"
    path.write_text(path.read_text(encoding="utf-8") + "[machine\n", encoding="utf-8", newline="\n")
    return f"assets/F1/asset.toml, line {_lines(path)}"


def _lines(path: Path) -> int:
    return path.read_text(encoding="utf-8").count("\n")


def broken_reading(site: Path) -> str:
    path = site / "assets/F1/as_left.toml"
    path.write_text(path.read_text(encoding="utf-8") + "nonsense\n", encoding="utf-8", newline="\n")
    git(site, "commit", "-q", "-am", "By hand")
    commit = git(site, "rev-parse", "HEAD")[:10]
    return f"assets/F1/as_left.toml (commit {commit}), line {_lines(path)}"


def table_of_wrong_type(site: Path) -> str:
    path = site / "assets/F1/asset.toml"
    text = 'format = 1\ntag = "F1"\nplate = 3\npermits = "all"\nfeeds = { E1 = { tonnes_per_hour = [] } }\n'
    path.write_text(text, encoding="utf-8", newline="\n")
    return "assets/F1/asset.toml, line 3"


def missing_spec(site: Path) -> str:
    done = run_in(site, "asset", "set", "F1", "specs=")
    assert done.code == 0
    path = site / "assets/F1/asset.toml"
    text = path.read_text(encoding="utf-8").replace('tag = "F1"\n', 'tag = "F1"\nspecs = ["gone"]\n')
    path.write_text(text, encoding="utf-8", newline="\n")
    return "specs/gone.toml"


BREAKS: list[Callable[[Path], str]] = [broken_slot, broken_reading, table_of_wrong_type]


FLEET = [
    ("alike", "aeration", "--on", "2026-09-02"),
    ("rollout", "aeration", "--set", "limits.frequency_max_hz=50", "--on", "2026-09-02"),
]


@pytest.mark.parametrize("words", FLEET, ids=["alike", "rollout"])
@pytest.mark.parametrize("breaks", BREAKS, ids=lambda one: one.__name__)
def test_a_group_is_answered_without_the_one_that_cannot_be_read(
    own_demo: Path, breaks: Callable[[Path], str], words: tuple[str, ...]
) -> None:
    sound = run_in(own_demo, *words, "--format", "json").data
    place = breaks(own_demo)
    ran = run_in(own_demo, *words)
    assert ran.code == 2, ran.err
    first, second = ran.out.splitlines()[:2]
    assert f"{place}:" in ran.out
    if breaks is broken_reading:
        assert first.startswith("F1 could not be ")
    else:
        assert second.endswith("Mend the file named below and ask again, since F1 may belong here too.")
    data = run_in(own_demo, *words, "--format", "json").data
    where = "broken" if breaks is broken_reading else "doubtful"
    assert [one["asset"] for one in data[where]] == ["F1"] and not sound[where]
    rest = [one for one in sound["drives"] if one["asset"] != "F1"]
    assert [one["asset"] for one in data["drives"]] == [one["asset"] for one in rest]


def test_a_slot_that_may_be_of_a_group_is_told_below(own_demo: Path) -> None:
    path = own_demo / "assets/C1/asset.toml"
    path.write_text(path.read_text(encoding="utf-8") + "[machine\n", encoding="utf-8", newline="\n")
    for words in FLEET:
        ran = run_in(own_demo, *words)
        assert ran.code == 2
        first, _, rest = ran.out.partition("Cannot tell whether they belong")
        assert "C1" not in first.splitlines()[0]
        assert "C1 cannot be read:" in rest and "assets/C1/asset.toml, line" in rest
    wrong = run_in(own_demo, "alike", "aeraton")
    assert wrong.code == 2
    assert "'aeraton' is neither a group nor an asset" in wrong.err and "assets/C1/asset.toml" in wrong.err


def test_nothing_is_to_be_entered_where_only_a_file_is_broken(own_demo: Path) -> None:
    broken_slot(own_demo)
    told = run_in(own_demo, "rollout", "F1", "F2", "F3", *FLEET[1][2:]).out
    assert "Nothing to enter. Mend the file named above and ask again." in told
    assert told.startswith("F1 could not be looked at:")


def test_a_drive_held_against_a_broken_one_is_told_of_it(own_demo: Path) -> None:
    place = broken_slot(own_demo)
    for words in (("alike", "F2", "F3", "F1", "--reference", "F1"), ("alike", "F1", "F2")):
        ran = run_in(own_demo, *words)
        assert ran.code == 2 and place in ran.err and not ran.out
    assert run_in(own_demo, "alike", "F2", "F3").code in (0, 1)


@pytest.mark.parametrize("words", ALL, ids=IDS)
@pytest.mark.parametrize("breaks", BREAKS, ids=lambda one: one.__name__)
def test_the_others_are_answered_and_the_broken_one_stands_first(
    own_demo: Path, breaks: Callable[[Path], str], words: tuple[str, ...]
) -> None:
    sound = run_in(own_demo, *words, "--format", "json").data
    place = breaks(own_demo)
    ran = run_in(own_demo, *words)
    assert ran.code == 2, ran.err
    first, second = ran.out.splitlines()[:2]
    assert first.startswith("F1 could not be ")
    assert second.strip().startswith(f"{place}:")
    told = run_in(own_demo, *words, "--format", "json")
    assert told.code == 2
    (broken,) = told.data["broken"]
    assert broken["asset"] == "F1"
    assert broken["faults"][0]["do_next"] or breaks is table_of_wrong_type
    assert _others(told.data) == _others(sound)


def _others(data: Any) -> Any:
    if "findings" in data:
        return sorted({one["asset"] for one in data["findings"]} - {"F1"})
    return [
        one.get("tag", one.get("asset")) for one in data["assets"] if one.get("tag", one.get("asset")) != "F1"
    ]


def test_a_missing_spec_stops_its_own_drive_alone(own_demo: Path) -> None:
    place = missing_spec(own_demo)
    ran = run_in(own_demo, "check", "--all", *ON)
    assert ran.code == 2
    assert place in ran.out.splitlines()[1]
    assert "E1" in ran.out


def test_a_drive_named_is_judged_though_another_is_broken(own_demo: Path) -> None:
    before = run_in(own_demo, "check", "F2", *ON, "--format", "json")
    place = broken_slot(own_demo)
    ran = run_in(own_demo, "check", "F2", *ON, "--format", "json")
    assert ran.code == before.code
    assert ran.data["counts"]["breached"] == before.data["counts"]["breached"]
    (one,) = ran.data["left_out"]
    assert (one["asset"], one["faults"][0]["where"]) == ("F1", place.split(",")[0])
    told = run_in(own_demo, "check", "F2", *ON).out
    assert f"Rules about linked drives were judged without F1:\n        {place}:" in told
    refused = run_in(own_demo, "check", "F1", *ON)
    assert refused.code == 2
    assert place in refused.err


def test_taking_the_sound_reading_back_as_told_mends_it(own_demo: Path) -> None:
    broken_reading(own_demo)
    told = run_in(own_demo, "check", "--all", *ON, "--format", "json").data["broken"][0]["faults"][0][
        "do_next"
    ]
    command = told.split("git checkout ")[1].split(",")[0]
    git(own_demo, "checkout", *command.split())
    git(own_demo, "commit", "-q", "-m", "Take the sound one back")
    ran = run_in(own_demo, "check", "--all", *ON, "--format", "json")
    assert ran.data["broken"] == []
    audit = run_in(own_demo, "audit", "F1", "--no-behaviour", *ON)
    assert "cannot be read and is passed over: assets/F1/as_left.toml (commit " in audit.out
    told = run_in(own_demo, "history", "F1").out
    assert "It was put back, read anew or taken out since." in told
    assert told.startswith("F1: 3 readings"), "a reading that is taken back is no further one"


def test_sarif_and_junit_say_it_too(own_demo: Path) -> None:
    place = broken_slot(own_demo)
    sarif = run_in(own_demo, "check", "--all", *ON, "--format", "sarif")
    assert sarif.code == 2
    schema = json.loads(SARIF.read_text(encoding="utf-8-sig"))
    jsonschema.Draft4Validator(schema).validate(json.loads(sarif.out))
    (invocation,) = sarif.data["runs"][0]["invocations"]
    assert invocation["executionSuccessful"] is False
    assert place in invocation["toolExecutionNotifications"][0]["message"]["text"]
    suites = JUnitXml.fromstring(run_in(own_demo, "check", "--all", *ON, "--format", "junit").out.encode())
    errors = [one for suite in suites for case in suite for one in case.result if isinstance(one, Error)]
    assert [place in one.message for one in errors] == [True]


def test_nothing_is_accepted_while_a_drive_cannot_be_judged(own_demo: Path) -> None:
    broken_slot(own_demo)
    words = ("accept", "--all", "--until", "2026-12-01", "--by", "T. Example", "--reason", "old plant")
    ran: Ran = run_in(own_demo, *words, *ON)
    assert ran.code == 2
    assert "assets/F1/asset.toml" in ran.err
    assert not (own_demo / "accepted.toml").exists()
