"""Drive models: the list, one model, and what is wrong with a file."""

from __future__ import annotations

from typing import Any

from asleft.documents.blocks import BLANK, Block, Line, Sheet, count, rows, section
from asleft.jobs.modelling import Examined
from asleft.models import Model, Native, displayed_words


def list_blocks(models: tuple[Model, ...]) -> Sheet:
    """Every model and size."""
    if not models:
        return (Line("The site has no drive models yet."), Line("Put their files into models/."))
    return (
        Line(f"{count(len(models), 'drive model')} by size.", "head"),
        BLANK,
        *rows(
            ("model", "maker", "firmware", "entries", "keys settable", "fixed", "absent"),
            (
                (
                    model.name,
                    model.maker,
                    f"{model.firmware[0]} to {model.firmware[1]}",
                    str(len(model.natives)),
                    str(len(model.by_key)),
                    str(len(model.fixed)),
                    str(len(model.absent)),
                )
                for model in models
            ),
        ),
    )


def list_data(models: tuple[Model, ...]) -> dict[str, Any]:
    """The list for machines."""
    return {"models": [_head(model) for model in models]}


def _head(model: Model) -> dict[str, Any]:
    return {
        "name": model.name,
        "title": model.title,
        "maker": model.maker,
        "firmware": list(model.firmware),
        "version": model.version,
        "entries": len(model.natives),
        "settable": len(model.by_key),
        "fixed": len(model.fixed),
        "absent": len(model.absent),
    }


def blocks(model: Model) -> Sheet:
    """The native list, menu by menu."""
    menus: dict[str, list[Native]] = {}
    for native in model.natives.values():
        menus.setdefault(native.menu, []).append(native)
    body: list[Block] = []
    for menu, natives in menus.items():
        lines = [
            (
                native.id,
                native.text,
                displayed_words(native, native.factory),
                _range(native),
                ", ".join(native.keys),
            )
            for native in natives
        ]
        body += section(menu, rows(("id", "text", "factory", "range", "key"), lines))
    return (
        Line(f"{model.title}: {count(len(model.natives), 'entry', 'entries')}.", "head"),
        Line(
            f"Firmware {model.firmware[0]} to {model.firmware[1]}; "
            f"{len(model.absent)} keys of the trade are absent."
        ),
        *body,
    )


def _range(native: Native) -> str:
    if native.choices:
        joint = " + " if native.form == "bits" else ", "
        return joint.join(f"{code} ({choice.text})" for code, choice in native.choices.items())
    if native.secret:
        return "a code, never recorded"
    if native.step is None:
        return "text"
    return f"{native.low} to {native.high} {native.unit}".rstrip() + f" by {native.step}"


def data(model: Model) -> dict[str, Any]:
    """One model for machines."""
    return {
        **_head(model),
        "behaviour": dict(model.behaviour),
        "natives": [
            {"id": native.id, "text": native.text, "menu": native.menu, "keys": list(native.keys)}
            for native in model.natives.values()
        ],
    }


def check_blocks(examined: tuple[Examined, ...]) -> Sheet:
    """Faults line by line."""
    if not examined:
        return list_blocks(())
    total = sum(len(one.faults) for one in examined)
    first = Line(
        f"{count(total, 'fault')} in {count(len(examined), 'model file')}.", "alarm" if total else "good"
    )
    body: list[Block] = []
    for one in examined:
        body += [
            Line(f"{one.path}: {count(one.natives, 'entry', 'entries')}, {count(len(one.faults), 'fault')}.")
        ]
        body += [Line(str(fault), depth=1) for fault in one.faults]
    return (
        first,
        Line("Mend them from the top: one fault can cause others." if total else "Nothing to do."),
        *body,
    )


def check_data(examined: tuple[Examined, ...]) -> dict[str, Any]:
    """Faults for machines."""
    return {
        "files": [
            {
                "path": one.path,
                "models": list(one.names),
                "entries": one.natives,
                "faults": [
                    {"line": fault.line, "what": fault.what, "do_next": fault.do_next} for fault in one.faults
                ],
            }
            for one in examined
        ]
    }
