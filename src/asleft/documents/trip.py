"""The answer to ``trip``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from asleft.documents.blocks import Block, Line, Sheet, count, rows, section
from asleft.documents.data import value
from asleft.documents.diff import change_data, told
from asleft.explain import capital, said
from asleft.jobs.naming import words_of
from asleft.jobs.tripping import Trip
from asleft.vocabulary import vocabulary


def blocks(result: Trip) -> Sheet:
    """What changed first, then what stands, then what to look at beside the settings."""
    return (
        Line(_headline(result), "alarm" if result.changed else ""),
        Line(_next(result)),
        Line(f"As read: {words_of(result.reading)}. Read the drive again if it may have changed since."),
        *section(f"Changed since {_since(result)} ({len(result.changed)})", told(result.changed)),
        *section(f"These settings decide it ({len(result.stands)})", _stands(result)),
        *section("Not read", (Line(f"{_label(key)}: {why}.", "dim", 1) for key, why in result.not_read)),
        *section("Look beside the settings", (Line(text, depth=1) for text in result.cause.look)),
        *section(
            "Before you touch it",
            [
                Line(
                    "Isolate, wait for the time on the label and measure the DC link; the shaft may turn.",
                    "warn",
                    1,
                )
            ],
        ),
    )


def _headline(result: Trip) -> str:
    tag, says = result.asset.tag, result.cause.says
    if result.since is None:
        return f"{tag}, {says}: there is no earlier as-left reading to hold it against."
    if result.changed:
        number = count(len(result.changed), "setting that decides it has", "settings that decide it have")
        return f"{tag}, {says}: {number} changed since {_since(result)}."
    return f"{tag}, {says}: no setting that decides it has changed since {_since(result)}."


def _next(result: Trip) -> str:
    if result.changed:
        return f"Look at what changed first: {result.changed[0].words}"
    return "The settings are as left: look at the machine, the motor and the wiring."


def _since(result: Trip) -> str:
    return words_of(result.since) if result.since else "nothing"


def _label(key: str) -> str:
    return capital(vocabulary()[key].label)


def _stands(result: Trip) -> Iterator[Block]:
    yield from rows(
        ("setting", "stands at", "key"),
        ((_label(key), said(vocabulary()[key], stands), key) for key, stands in result.stands),
    )


def data(result: Trip) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "asset": result.asset.tag,
        "cause": result.cause.name,
        "says": result.cause.says,
        "headline": _headline(result),
        "reading": words_of(result.reading),
        "since": words_of(result.since) if result.since else None,
        "stands": [{"key": key, "value": value(stands)} for key, stands in result.stands],
        "changed": [change_data(one) for one in result.changed],
        "not_read": [{"key": key, "why": why} for key, why in result.not_read],
        "look": list(result.cause.look),
    }
