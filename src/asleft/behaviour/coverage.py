"""How far the simulation follows a set: every key of it, in one of six states. No verdict without it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from importlib import resources
from typing import Any

from asleft.behaviour.drive import Drive
from asleft.vocabulary import vocabulary


@dataclass(frozen=True, slots=True)
class Coverage:
    """The keys of a set by state, and what was taken for granted.

    ``limited`` and ``assumed`` give words beside each key; ``assumed`` are keys and options that the set
    and the model lack and that count here; ``not_read`` are those that count and were not read.
    """

    modelled: tuple[str, ...]
    limited: Mapping[str, str]
    not_modelled: tuple[str, ...]
    no_effect: tuple[str, ...]
    not_understood: tuple[str, ...]
    not_read: tuple[str, ...]
    assumed: Mapping[str, str]


@cache
def _rules() -> Mapping[str, Any]:
    text = resources.files("asleft.behaviour").joinpath("coverage.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def coverage_of(drive: Drive) -> Coverage:
    """What the simulation makes of each key of a drive's set."""
    used, known = drive.settings.used, vocabulary()
    states: dict[str, list[str]] = {
        "modelled": [],
        "limited": [],
        "not_modelled": [],
        "no_effect": [],
        "no": [],
    }
    limited = {}
    for key in drive.values:
        note = _note(key)
        if key in used and note:
            limited[key] = note
        elif key in used:
            states["modelled"].append(key)
        elif key not in known:
            states["no"].append(key)
        else:
            harmless = any(fnmatchcase(key, pattern) for pattern in _rules()["no_effect"]["keys"])
            states["no_effect" if harmless else "not_modelled"].append(key)
    return Coverage(
        modelled=tuple(states["modelled"]),
        limited=limited,
        not_modelled=tuple(states["not_modelled"]),
        no_effect=tuple(states["no_effect"]),
        not_understood=tuple(states["no"]),
        not_read=tuple(sorted(drive.settings.unread)),
        assumed=_that_count(drive),
    )


def _note(key: str) -> str:
    return next((note for pattern, note in _rules()["limits"].items() if fnmatchcase(key, pattern)), "")


def _that_count(drive: Drive) -> dict[str, str]:
    """The assumptions that can matter: those of dormant parts of the drive are left out."""
    c, assumed = drive.config, drive.settings.assumed
    asleep = ["presets.jog_*"] if not {"jog_forward", "jog_reverse"} & set(c.contacts) else []
    asleep += [] if c.sleep.controller else ["process.pid_*"]
    asleep += [] if c.sleep.sleep else ["process.sleep_[fd]*", "process.wake_*"]
    asleep += [] if c.brake.on else ["mechanical_brake.[!c]*"]
    asleep += [] if c.faults.attempts else ["recovery.auto_reset_[dwfr]*"]
    asleep += (
        []
        if "comms" in (*c.stations.command, *c.stations.reference)
        else ["protection.comms_*", "reference.comms_*"]
    )
    return {
        key: value
        for key, value in assumed.items()
        if not any(fnmatchcase(key, pattern) for pattern in asleep)
    }
