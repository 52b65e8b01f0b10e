"""The digits of a code never reach the disk, by whatever door they come."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import pytest
from tests.conftest import run_in

CODE = "47114711"
READING = ("--reading", "as-found", "--occasion", "service", "--by", "T. Example")
HEAD = 'format = 1\nasset = "E1"\n[motor]\nrated_current_a = 28.5\n'

TAKEN = {
    "a code of the list, by its id": f"id,value\n5010sub1,{CODE}\n",
    "a code of the list, under native": f'{HEAD}[native]\n5010sub1 = "{CODE}"\n',
    "names that no list has": f"id,value\n2F00sub2,2.4\nPIN code,{CODE}\nService code,{CODE}\n",
    "names under native": f'{HEAD}[native]\nPassword = "{CODE}"\n"Panel PIN" = "{CODE}"\n',
    "the reason why a code was not read": f'{HEAD}[not_read]\n"access.pin_state" = "it is {CODE}"\n',
}
REFUSED = {
    "a code for its state": f"key,value\naccess.pin_state,{CODE}\n",
    "a code for its state, in neutral terms": f'{HEAD}[access]\npin_state = "{CODE}"\n',
    "a code for the person who holds it": f"key,value\naccess.pin_held_by,{CODE}\n",
}


def snapshot(site: Path, content: str, monkeypatch: pytest.MonkeyPatch) -> tuple[int, str]:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content.encode()), encoding="utf-8"))
    ran = run_in(site, "snapshot", "E1", "--from", "-", *READING)
    return ran.code, ran.out + ran.err


def record_holds(site: Path, text: str) -> bool:
    command = ["git", "cat-file", "--batch-all-objects", "--batch"]
    return text.encode() in subprocess.run(command, cwd=site, capture_output=True, check=True).stdout


def test_the_search_finds_what_is_recorded(own_demo: Path) -> None:
    assert record_holds(own_demo, "accel_time_1_s")


@pytest.mark.parametrize("content", TAKEN.values(), ids=TAKEN)
def test_it_is_withheld(own_demo: Path, content: str, monkeypatch: pytest.MonkeyPatch) -> None:
    code, told = snapshot(own_demo, content, monkeypatch)
    assert code == 0, told
    assert CODE not in told
    assert not record_holds(own_demo, CODE)
    assert not [file for file in own_demo.rglob("*.toml") if CODE in file.read_text(encoding="utf-8")]


@pytest.mark.parametrize("content", REFUSED.values(), ids=REFUSED)
def test_it_is_refused_and_not_repeated(
    own_demo: Path, content: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    code, told = snapshot(own_demo, content, monkeypatch)
    assert code == 2
    assert CODE not in told
    assert not record_holds(own_demo, CODE)
