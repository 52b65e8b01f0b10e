"""A set in neutral terms from a TOML file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from asleft.files.sets import read_set
from asleft.intake.taken import Taken
from asleft.models import Model, encode
from asleft.record import Fault, ParameterSet, Value, shown
from asleft.vocabulary import vocabulary

MISSING = "not in the file that was read"


def take(content: bytes, where: str, model: Model | None) -> Taken:
    """The file's set, completed with a reason for each key of the model that it does not give."""
    parameters = read_set(content, where)
    if model is None:
        return Taken(parameters, "file", tuple(unlikely(parameters)))
    return completed(parameters, model, where)


def completed(parameters: ParameterSet, model: Model, where: str) -> Taken:
    """A set of a model, with a reason for each key of the model that it does not give."""
    given = parameters.values.keys() | parameters.not_read.keys()
    missing = {key: MISSING for key in model.by_key if key not in given}
    whole = replace(
        parameters,
        model=model.name,
        model_version=model.version,
        not_read={**parameters.not_read, **missing},
    )
    return Taken(whole, "file", tuple(misfits(model, parameters.values, where)))


def unlikely(parameters: ParameterSet) -> Iterator[Fault]:
    """Values no drive is believed to hold."""
    for key, value in parameters.values.items():
        parameter = vocabulary()[key]
        low, high = parameter.low, parameter.high
        if isinstance(value, Decimal) and low is not None and high is not None and not low <= value <= high:
            yield Fault(
                f"{key} = {shown(value, parameter.unit)} is outside {low} to {high} {parameter.unit}".rstrip()
                + ".",
                "It is kept as read; check it at the drive.",
                key,
            )


def misfits(model: Model, values: Mapping[str, Value], where: str) -> Iterator[Fault]:
    """Values that a drive of this model cannot hold, as warnings."""
    for key, reason in encode(model, values).cannot.items():
        parameter = vocabulary()[key]
        if parameter.class_ in ("setting", "address", "operating"):
            yield Fault(
                f"{key} = {shown(values[key], parameter.unit)}: {reason}.",
                "It is kept as read; check it at the drive, or the model named.",
                where,
            )
