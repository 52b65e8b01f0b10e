"""The n-th step to the disk or to git fails, for n = 1, 2, … until a write needs fewer steps than that.

After each: the old record or the new one, whole for git, and the next write works and leaves it clean.
"""

from __future__ import annotations

import itertools
import os
import shutil
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from faulty import (
    FOUND,
    LEFT,
    NEW,
    WHO,
    Failing,
    PowerCut,
    Step,
    environment,
    is_clean,
    is_whole,
    reopened,
    started,
)

from asleft.store import Done, Git, NotFlushed, Store, StoreError

OLD = {LEFT: b"v = 1\n", FOUND: b"v = 1\n", NEW: None}
CHANGE = {LEFT: b"v = 2\n", FOUND: None, NEW: b"v = 2\n"}


def error_once(step: Step) -> Any:
    """One step is refused and not done; the disk is well again after it."""
    if step.after == 0:
        raise OSError(5, "Input/output error")
    return step.take()


def error_for_ever(_step: Step) -> Any:
    """The disk is gone for good."""
    raise OSError(5, "Input/output error")


def done_and_denied(step: Step) -> Any:
    """A step is done and still told as failed, as by a git that is ended after its work."""
    done = step.take()
    if step.after == 0:
        if isinstance(done, Done):
            return Done(128, b"", b"fatal: write error: No space left on device")
        raise OSError(28, "No space left on device")
    return done


def power_cut(step: Step) -> Any:
    """Nothing runs from here on, not even what tidies up."""
    step.take_half()
    raise PowerCut


LONG = os.environ.get("ASLEFT_LONG") == "1"
STRIDES = {error_once: 4, power_cut: 4, error_for_ever: 6, done_and_denied: 6}


@pytest.mark.parametrize("fail", STRIDES)
def test_old_or_new_at_every_step(tmp_path: Path, fail: Callable[[Step], Any]) -> None:
    """Each fourth step, or each sixth. Long form: ASLEFT_LONG=1 takes every step of all."""
    env = environment(tmp_path)
    started(tmp_path / "whole", env)
    outcomes = set()
    for nth in itertools.count(1, 1 if LONG else STRIDES[fail]):
        site = tmp_path / f"site-{nth}"
        shutil.copytree(tmp_path / "whole", site)
        steps = Failing(nth, fail)
        outcomes.add(_one_run(site, env, steps))
        shutil.rmtree(site)
        if steps.count < nth:
            break
    assert nth > 25
    assert {("old", False), ("new", True)} <= outcomes


def _one_run(site: Path, env: dict[str, str], steps: Failing) -> tuple[str, bool]:
    told: str | None = None
    unsure = False
    try:
        failing = Store(replace(reopened(site, env).place, git=Git(env, steps=steps)))
        told = failing.write(CHANGE, "New", [("Asset", "E1")], **WHO)  # type: ignore[arg-type]
    except (StoreError, PowerCut) as error:
        unsure = isinstance(error, NotFlushed | PowerCut)
    store = reopened(site, env)
    state = _state(store.read_many([("HEAD", path) for path in OLD]))
    where = f"step {steps.nth}"
    assert state == "new" if told else unsure or state == "old", where
    store.heal()
    assert store.write({LEFT: b"v = 3\n"}, "Next", [("Asset", "E1")], **WHO), where  # type: ignore[arg-type]
    store.heal()
    assert is_clean(store) and is_whole(store), where
    assert store.read(FOUND) == (CHANGE if state == "new" else OLD)[FOUND], where
    return state, told is not None


def _state(contents: list[bytes | None]) -> str:
    both: Mapping[str, Mapping[str, bytes | None]] = {"old": OLD, "new": CHANGE}
    (name,) = (name for name, files in both.items() if contents == list(files.values()))
    return name
