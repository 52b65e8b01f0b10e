"""The answers to ``alike`` and ``rollout``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from asleft.compare.alike import Cell, Row
from asleft.compare.rollout import Progress
from asleft.documents import broken
from asleft.documents.blocks import BLANK, Block, Line, Sheet, count, rows, section
from asleft.documents.data import value
from asleft.explain import capital, said
from asleft.jobs.fleet import Alike, RolledOut
from asleft.vocabulary import vocabulary

_MARKS = {
    "outlier": "<",
    "differs": "?",
    "allowed": "ok",
    "not_read": "not read",
    "absent": "none",
    "dormant": "idle",
}
_STATES = {"done": "done", "differs": "differs", "not_read": "not read", "not_applicable": "not applicable"}


def blocks(result: Alike) -> Sheet:
    """Who stands apart, then the matrix."""
    drift = result.drift
    shown = [row for row in drift.rows if row.outliers or _told(row)]
    good = drift.is_clean and not (result.unread or result.broken or result.doubtful)
    return (
        *broken.lines(result.broken, "compared"),
        Line(headline(result), "good" if good else "alarm"),
        Line(_next(result)),
        Line(_ages(result)),
        *section("Stand apart", _outliers(result)),
        *section("Addresses held twice", _doubled(result)),
        *section(f"Settings that differ ({len(shown)})", _matrix(result, shown)),
        *section("Never read", [Line(", ".join(result.unread), "warn", 1)] if result.unread else []),
        *section("Cannot tell whether they belong", broken.doubtful(result.doubtful)),
    )


def headline(result: Alike) -> str:
    """What matters most."""
    drift = result.drift
    number = len(drift.columns)
    if drift.doubled:
        key, held, tags = drift.doubled[0]
        return (
            f"{' and '.join(tags)} have the same {vocabulary()[key].label}, {value(held)}: both can drop out."
        )
    apart = drift.outliers
    if not apart:
        return f"{number} drives are alike in {drift.alike} settings; none stands apart."
    if len(_undecided(result)) == sum(1 for row in drift.rows if row.outliers):
        settings = count(len(_undecided(result)), "setting")
        return f"{' and '.join(apart)} differ in {settings}, and no value has the majority."
    worst = max(apart, key=lambda tag: len(apart[tag]))
    most = f", most of all {worst} in {count(len(apart[worst]), 'setting')}" if len(apart) > 1 else ""
    names = ", ".join(apart) if len(apart) <= 6 else f"{len(apart)} drives"
    return f"{names} of {number} {'stands' if len(apart) == 1 else 'stand'} apart{most}."


def _next(result: Alike) -> str:
    apart = result.drift.outliers
    if not apart:
        return _mend(result) or "Nothing to do."
    tag = max(apart, key=lambda one: len(apart[one]))
    return f"Put it right or say why it differs; what to enter: asleft plan {tag} KEY=VALUE …"


def _mend(result: Alike | RolledOut) -> str:
    """What to do about files that cannot be read; "" where all can."""
    if result.broken:
        return "Mend the file named above and ask again."
    tags = ", ".join(one.asset for one in result.doubtful)
    return f"Mend the file named below and ask again, since {tags} may belong here too." if tags else ""


def _ages(result: Alike) -> str:
    ages = [column.age_days for column in result.drift.columns if column.age_days is not None]
    alike = f"{result.drift.alike} settings are the same in effect on every drive"
    if not ages:
        return f"{alike}."
    span = f"{min(ages)}" if min(ages) == max(ages) else f"{min(ages)} to {max(ages)}"
    return f"{alike}; readings are {span} days old."


def _outliers(result: Alike) -> Iterator[Block]:
    for tag, keys in result.drift.outliers.items():
        for row in _rows_of(result, keys):
            if row.reference is not None:
                yield Line(_stands_apart(row, tag), depth=1)
    for row in _undecided(result):
        held = (f"{tag} {_held(row, tag)}" for tag in row.outliers)
        yield Line(
            f"{capital(vocabulary()[row.key].label)}: {', '.join(held)}; no value has the majority.", depth=1
        )


def _rows_of(result: Alike, keys: tuple[str, ...]) -> list[Row]:
    return [row for row in result.drift.rows if row.key in keys]


def _undecided(result: Alike) -> list[Row]:
    return [row for row in result.drift.rows if row.reference is None and row.outliers]


def _stands_apart(row: Row, tag: str) -> str:
    parameter = vocabulary()[row.key]
    others = said(parameter, row.reference) if row.reference is not None else ""
    why = f" {row.cells[tag].why}" if row.cells[tag].why else ""
    return f"{tag}: {parameter.label} {_held(row, tag)}; the others {others}.{why}"


def _held(row: Row, tag: str) -> str:
    held = row.cells[tag].value
    return said(vocabulary()[row.key], held) if held is not None else "nothing"


def _doubled(result: Alike) -> Iterator[Block]:
    for key, held, tags in result.drift.doubled:
        yield Line(f"{capital(vocabulary()[key].label)} {value(held)}: {', '.join(tags)}", "alarm", 1)


def _told(row: Row) -> bool:
    return any(cell.state in ("allowed", "cannot_tell", "dormant", "differs") for cell in row.cells.values())


def _matrix(result: Alike, shown: list[Row]) -> list[Block]:
    """Every drive a column where they fit, else only those that stand apart."""
    tags = [column.tag for column in result.drift.columns]
    if len(tags) > 8:
        apart = {tag for row in shown for tag, cell in row.cells.items() if cell.state != "same"}
        tags = [tag for tag in tags if tag in apart][:12]
    return rows(("setting", "most", *tags), (_cells(row, tags) for row in shown))


def _cells(row: Row, tags: list[str]) -> list[str]:
    parameter = vocabulary()[row.key]
    most = said(parameter, row.reference) if row.reference is not None else "-"
    return [capital(parameter.label), most, *(_cell(row, row.cells[tag]) for tag in tags)]


def _cell(row: Row, cell: Cell) -> str:
    if cell.state == "same":
        return "="
    held = said(vocabulary()[row.key], cell.value) if cell.value is not None else ""
    mark = _MARKS.get(cell.state, cell.state.replace("_", " "))
    return f"{held} {mark}".strip()


def data(result: Alike) -> dict[str, Any]:
    """The matrix for machines."""
    drift = result.drift
    return {
        "headline": headline(result),
        "group": result.group or None,
        "drives": [
            {"asset": one.tag, "age_days": one.age_days, "not_read": drift.unread[one.tag]}
            for one in drift.columns
        ],
        "alike": drift.alike,
        "outliers": {tag: list(keys) for tag, keys in drift.outliers.items()},
        "rows": [
            {
                "key": row.key,
                "reference": value(row.reference),
                "cells": {
                    tag: {"state": cell.state, "value": value(cell.value), "why": cell.why}
                    for tag, cell in row.cells.items()
                },
            }
            for row in drift.rows
        ],
        "doubled": [
            {"key": key, "value": value(held), "assets": list(tags)} for key, held, tags in drift.doubled
        ],
        "never_read": list(result.unread),
        "broken": broken.data(result.broken),
        "doubtful": broken.data(result.doubtful),
    }


def _rollout_next(result: RolledOut, done: bool) -> str:
    if done:
        return "Nothing to do."
    if result.result.is_done and not result.unread:
        return f"Nothing to enter. {_mend(result)}"
    drives = result.result.drives
    if drives and all(one.state == "not_applicable" for one in drives):
        return "No drive can have this change: see why beside each, and mend what is set."
    return "Enter it at the drives listed, read each again and record it."


def rollout_blocks(result: RolledOut) -> Sheet:
    """Progress, then what is still to be entered where."""
    drives = result.result.drives
    done = result.is_done
    return (
        *broken.lines(result.broken, "looked at"),
        Line(rollout_headline(result), "good" if done else "warn"),
        Line(_rollout_next(result, done)),
        *section("The change", (Line(_planned(result, key), depth=1) for key in result.planned)),
        BLANK,
        *rows(("asset", "state", "age", "now", "enter", "why"), (_progress(one) for one in drives)),
        *section(
            "Never read, or not since", [Line(", ".join(result.unread), "warn", 1)] if result.unread else []
        ),
        *section("Cannot tell whether they belong", broken.doubtful(result.doubtful)),
    )


def rollout_headline(result: RolledOut) -> str:
    """How far it has come."""
    counted: dict[str, int] = {str(state): number for state, number in result.result.counts.items()}
    counted["not_read"] = counted.get("not_read", 0) + len(result.unread)
    return f"{', '.join(f'{counted[state]} {words}' for state, words in _STATES.items())}."


def _planned(result: RolledOut, key: str) -> str:
    one, parameter = result.planned[key], vocabulary()[key]
    if one.share_of:
        share = f"{float(one.value) * 100:g}" if not isinstance(one.value, (str, tuple)) else ""
        return (
            f"{capital(parameter.label)}: {share} % of {vocabulary()[one.share_of].label}, each drive its own"
        )
    return f"{capital(parameter.label)}: {said(parameter, one.value)}"


def _progress(one: Progress) -> tuple[str, ...]:
    age = "-" if one.age_days is None else count(one.age_days, "day")
    if one.state == "done":
        return (one.tag, "done", age, "-", "-", "")
    items = [item for item in one.items if item.state != "done"]
    enter = "; ".join(
        f"{item.native} {item.enter}".strip() for item in items if item.state != "not_applicable"
    )
    return (
        one.tag,
        _STATES[one.state],
        age,
        "; ".join(item.shows for item in items) or "-",
        enter or "-",
        "; ".join(item.why for item in items if item.why),
    )


def rollout_data(result: RolledOut) -> dict[str, Any]:
    """Progress for machines."""
    return {
        "headline": rollout_headline(result),
        "counts": {**result.result.counts, "never_read": len(result.unread)},
        "drives": [
            {
                "asset": one.tag,
                "state": one.state,
                "age_days": one.age_days,
                "items": [
                    {
                        "key": item.key,
                        "state": item.state,
                        "now": value(item.now),
                        "wanted": value(item.wanted),
                        "id": item.native or None,
                        "menu": item.menu or None,
                        "shows": item.shows,
                        "enter": item.enter,
                        "why": item.why,
                    }
                    for item in one.items
                ],
            }
            for one in result.result.drives
        ],
        "never_read": list(result.unread),
        "broken": broken.data(result.broken),
        "doubtful": broken.data(result.doubtful),
    }
