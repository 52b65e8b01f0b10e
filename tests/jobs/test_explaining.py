"""Every word the program uses can be asked, and every answer names its source."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from tests.conftest import Run, run_in
from tests.models.demo_models import FAMILIES, file_of

from asleft.cli import start
from asleft.jobs.explaining import Explanation, Known, explain, names
from asleft.record import OCCASIONS, Refused
from asleft.record.findings import RESULTS, SEVERITIES
from asleft.replace import OUTCOMES
from asleft.spec import engineering
from asleft.vocabulary import slot_fields, vocabulary
from asleft.vocabulary.parameter import Class
from asleft.vocabulary.terms import terms

KNOWN = Known([file_of(family).size(file_of(family).sizes[0]) for family in FAMILIES], engineering().rules)
EXIT_CODES = [
    start.CLEAN, start.DIFFERS, start.WRONG_USE, start.OUR_FAULT, start.DAMAGED, start.BUSY, start.INTERRUPTED,
    start.CLOSED_PIPE,
]  # fmt: skip


def kinds(name: str) -> list[str]:
    return [one.kind for one in explain(name, KNOWN)]


@pytest.mark.parametrize("key", [*vocabulary(), *slot_fields()])
def test_every_key_is_explained_with_a_source(key: str) -> None:
    first = explain(key, KNOWN)[0]
    assert first.kind == "parameter"
    assert first.says and first.source


@pytest.mark.parametrize("family", FAMILIES)
def test_every_entry_of_a_drive_is_explained(family: str) -> None:
    model = file_of(family).size(file_of(family).sizes[0])
    for native_id, native in model.natives.items():
        found = [one for one in explain(native_id, KNOWN) if one.name == native_id]
        assert found and native.text in found[0].says


def test_every_choice_is_explained_at_its_key() -> None:
    for key in vocabulary():
        for name in vocabulary()[key].choices:
            (found,) = explain(f"{key}={name}", KNOWN)
            assert found.kind.startswith("choice of") and found.says


@pytest.mark.parametrize("name", get_args(Class))
def test_every_class_is_a_term(name: str) -> None:
    assert terms()[name].kind == "class"


@pytest.mark.parametrize("result", RESULTS)
def test_every_result_is_a_term(result: str) -> None:
    assert "result" in kinds(result)


@pytest.mark.parametrize("severity", SEVERITIES)
def test_every_severity_is_explained(severity: str) -> None:
    assert "severity" in kinds(severity)


@pytest.mark.parametrize("occasion", OCCASIONS)
def test_every_occasion_is_a_term(occasion: str) -> None:
    assert "occasion" in kinds(occasion)


@pytest.mark.parametrize("code", EXIT_CODES)
def test_every_exit_code_is_explained(code: int) -> None:
    assert kinds(f"exit code {code}") == ["exit code"]
    assert "exit code" in kinds(str(code))


@pytest.mark.parametrize("outcome", OUTCOMES)
def test_every_outcome_of_a_replacement_is_a_term(outcome: str) -> None:
    name = {"slot": "outcome slot", "not_read": "not read"}.get(outcome, outcome)
    assert terms_of(name), outcome


def terms_of(name: str) -> list[Explanation]:
    return [one for one in explain(name, KNOWN) if one.name in terms()]


@pytest.mark.parametrize("group", [group.name for group in vocabulary().groups])
def test_every_group_is_explained(group: str) -> None:
    assert "group" in kinds(group)


def test_every_built_in_rule_is_explained() -> None:
    for rule in engineering().rules:
        assert any(one.kind == f"rule of {rule.spec}" for one in explain(f"rule {rule.id}", KNOWN))


def test_every_name_offered_has_a_meaning() -> None:
    missing = []
    for name in dict.fromkeys(names(KNOWN)):
        try:
            explain(name, KNOWN)
        except Refused:
            missing.append(name)
    assert not [name for name in missing if not name.isdecimal()]


def test_words_to_see_exist_and_no_word_is_claimed_twice() -> None:
    claimed: list[str] = []
    for term in terms().values():
        claimed += [term.name.lower(), *map(str.lower, term.also)]
        for other in term.see:
            assert other in terms(), f"{term.name} names {other}"
        assert term.says.endswith(".") and term.source
    assert len(claimed) == len(set(claimed))


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("acel_time_1_s", "accel_time_1_s"),
        ("as lef", "as left"),
        ("3610sub22", "3610sub2"),
        ("dorment", "dormant"),
    ],
)
def test_did_you_mean(asked: str, near: str) -> None:
    with pytest.raises(Refused) as refused:
        explain(asked, KNOWN)
    assert near in str(refused.value.faults[0])


def test_it_explains_without_a_site(tmp_path: Path) -> None:
    ran = run_in(tmp_path, "explain", "as", "left")
    assert ran.code == 0
    assert ran.out.splitlines()[0].startswith("What was read from the drive when the work was done.")


def test_an_id_needs_the_site_that_has_the_drive(tmp_path: Path, demo: Run) -> None:
    assert run_in(tmp_path, "explain", "3610sub2").code == 2
    assert "Deceleration time 1" in demo("explain", "3610sub2").out


def test_a_key_names_the_entries_of_the_sites_drives(demo: Run) -> None:
    out = demo("explain", "ramps.decel_time_1_s").out
    assert "Merrow M4: 3610sub2 Down A" in out
    assert "Skarn K: 41242 Run-down 1" in out


def test_a_rule_of_the_sites_spec(demo: Run) -> None:
    assert "a slipping belt rubs until it burns" in demo("explain", "rule", "44").out
    told = demo("explain", "39").out
    assert "to meet it: set what a change of station does to a new command needed" in told
    assert "proved by: Run standing in remote, turn the selector to local and back" in told


def test_a_code_in_the_factory_is_not_told(demo: Run) -> None:
    found = demo("explain", "5010sub5", "--format", "json").data["meanings"][0]
    assert "factory" not in [fact["label"] for fact in found["facts"]]


def test_a_word_of_many_meanings_lists_the_rest(demo: Run) -> None:
    out = demo("explain", "off").out
    assert "more meanings; ask for one of them:" in out
    assert "asleft explain " in out


def test_a_damaged_model_or_spec_keeps_no_word_from_being_explained(own_demo: Path) -> None:
    (own_demo / "models" / "broken.toml").write_text("nonsense", encoding="utf-8")
    (own_demo / "specs" / "broken.toml").write_text("nonsense", encoding="utf-8")
    assert run_in(own_demo, "explain", "3610sub2").code == 0
