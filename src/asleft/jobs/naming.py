"""From the name of a set to the set."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from asleft.compare import Side
from asleft.files.bounded import read_bounded
from asleft.files.sets import read_set
from asleft.record import OCCASIONS, Fault, ParameterSet, Refused
from asleft.record.days import plain_date
from asleft.record.tags import SetName, parse_moment, parse_set_name

if TYPE_CHECKING:
    from asleft.jobs.record import Record, Recorded
    from asleft.models import Model
    from asleft.record import Asset

SERIES = {"left": "as_left", "found": "as_found", "planned": "planned"}


class Named(NamedTuple):
    """A set as asked for: its side, the words for it, its asset where it has one.

    ``note`` says what a date stands for; ``recorded`` the reading it is.
    """

    asked: str
    words: str
    side: Side
    asset: Asset | None = None
    recorded: Recorded | None = None
    note: str = ""

    @property
    def set(self) -> ParameterSet:
        """The set itself."""
        return self.side.set


class Inputs(NamedTuple):
    """Where sets come from: the record if there is one, standard input, and the folder paths start in."""

    record: Record | None
    standard_input: Callable[[], bytes]
    folder: Path


def resolve(text: str, inputs: Inputs, model: Model | None = None) -> Named:
    """The set a name stands for. Raises ``Refused`` with what there is.

    ``model`` is the one to read a file of native ids by.
    """
    name = parse_set_name(text)
    if name.is_input:
        return _from_bytes(inputs.standard_input(), "-", "standard input", inputs, model)
    if name.path:
        return _from_path(name, inputs, model)
    if inputs.record is None:
        raise Refused(
            Fault(
                f"{text} names an asset, and there is no site record here.",
                "Go to the site's folder, name it with --site, or write a path with a / in it.",
            )
        )
    return _from_record(name, inputs.record)


def _from_path(name: SetName, inputs: Inputs, model: Model | None) -> Named:
    path = inputs.folder / name.path
    if not path.is_file() and inputs.record is not None:
        path = inputs.record.top / name.path
    return _from_bytes(read_bounded(path, name.path), name.path, name.path, inputs, model)


def _from_bytes(content: bytes, where: str, words: str, inputs: Inputs, model: Model | None) -> Named:
    if where.endswith(".toml") or (where == "-" and _looks_like_toml(content)):
        parameters = read_set(content, where)
    else:
        from asleft.intake import take

        parameters = take(content, where, model).set
    return Named(where, words, Side(parameters, _model(parameters, inputs.record)))


def _looks_like_toml(content: bytes) -> bool:
    from asleft.intake.sources import looks_like

    return looks_like(content) == ".toml"


def _model(parameters: ParameterSet, record: Record | None) -> Model | None:
    """The model a loose set names, where this site has it; of the version it was read with, if recorded."""
    if record is None or not parameters.model:
        return None
    from asleft.store import NotInRecord

    try:
        return record.model(parameters.model, parameters.model_version)
    except NotInRecord:
        return record.model(parameters.model)
    except Refused:
        return None


def _from_record(name: SetName, record: Record) -> Named:
    asset = record.asset(name.tag)
    if name.point == "factory":
        return _factory(name, record, asset)
    found = _pick(name, record, asset.tag)
    return Named(
        name.text,
        f"{asset.tag} {words_of(found)}",
        Side(found.set, record.model_of(found.set)),
        asset,
        found,
        _moment_note(name, record, asset.tag, found),
    )


def words_of(recorded: Recorded) -> str:
    """A reading in words: as left 2 September 2026, service."""
    reading = recorded.reading
    return f"{reading.kind.replace('_', ' ')} {plain_date(reading.at)}, {reading.occasion}"


def current_model(record: Record, asset: Asset) -> str:
    """The name of the model that stands in a slot: of its newest as-left, else as the slot says."""
    left = record.series(asset.tag, "as_left")
    return left[-1].set.model if left and left[-1].set.model else asset.model


def _factory(name: SetName, record: Record, asset: Asset) -> Named:
    model_name = current_model(record, asset)
    if not model_name:
        raise Refused(
            Fault(
                f"{asset.tag} has no reading and its slot names no drive model, so it has no factory values.",
                f"Say which: asleft asset set {asset.tag} model=NAME",
            )
        )
    from asleft.models import factory_set

    left = record.series(asset.tag, "as_left")
    version = left[-1].set.model_version if left and left[-1].set.model == model_name else ""
    model = record.model(model_name, version)
    decoded = factory_set(model)
    parameters = ParameterSet(
        asset.tag, model.name, model.version, "", None, decoded.values, decoded.not_read, decoded.native
    )
    return Named(name.text, f"{asset.tag} factory values of {model.title}", Side(parameters, model), asset)


def _pick(name: SetName, record: Record, tag: str) -> Recorded:
    series = _series(name, record, tag)
    if len(series) <= name.back:
        readings = record.readings(tag)
        there = "; ".join(words_of(one) for one in readings[-6:]) or "nothing yet"
        raise Refused(Fault(f"{name.text} is not in the record.", f"Of {tag} there is: {there}.", ""))
    return series[-1 - name.back]


def _series(name: SetName, record: Record, tag: str) -> tuple[Recorded, ...]:
    point = name.point
    if point in SERIES:
        return record.series(tag, SERIES[point])
    if point in OCCASIONS:
        return tuple(one for one in record.series(tag, "as_left") if one.reading.occasion == point)
    moment = parse_moment(point)
    if moment is None:
        from asleft.files.value import did_you_mean

        known = (*SERIES, "factory", *OCCASIONS)
        raise Refused(
            Fault(
                f"{point!r} is no point in the record.",
                did_you_mean(point, known) or f"It is {', '.join(known)}, or a date.",
            )
        )
    end = _end(moment, record)
    return tuple(one for one in record.readings(tag) if one.reading.kind != "planned" and one.at < end)


def _end(moment: date | datetime, record: Record) -> datetime:
    """The first instant after a moment: the end of the day in the site's zone, or just after a time."""
    zone = record.site.zone
    if isinstance(moment, datetime):
        aware = moment if moment.tzinfo else moment.replace(tzinfo=zone)
        return aware + timedelta(microseconds=1)
    return datetime.combine(moment + timedelta(days=1), time(), tzinfo=zone)


def _moment_note(name: SetName, record: Record, tag: str, found: Recorded) -> str:
    if parse_moment(name.point) is None:
        return ""
    later = [one for one in record.readings(tag) if one.rank > found.rank and one.reading.kind != "planned"]
    after = (
        f"the next is {words_of(later[0])}; what changed between them, and when, cannot be told"
        if later
        else ("there is none after it")
    )
    return f"The last reading by {name.point} is {words_of(found)}; {after}."
