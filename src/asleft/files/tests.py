"""Functional tests on disk: ``assets/TAG/tests/NAME.toml``, predicted and observed, step by step."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from asleft.files.sets import raw
from asleft.files.toml import Document, parse
from asleft.files.value import did_you_mean
from asleft.record import Fault, Refused

FORMAT: Final = 1
RESULTS: Final = ("pass", "fail", "cannot_tell", "left_out", "not_done")
KINDS: Final = ("first", "retest")
UNITS: Final = {"Hz": "hz", "s": "s", "mA": "ma", "V": "v", "A": "a"}
"""Unit -> how a key ends that holds a value in it."""

_HEAD: Final = ("asset", "reading", "read")
_TEST: Final = ("kind", "at", "by", "witness", "reason", "work_order")
_STEP: Final = (
    "id",
    "from",
    "do",
    "predicted",
    "cannot",
    "observed",
    "result",
    "because",
    "explained",
    "tester",
    "witness",
    "remark",
    "again",
)


@dataclass(frozen=True, slots=True)
class Tested:
    """One step as it was done. ``value`` and ``tolerance`` are in ``unit``; None: no number was predicted.

    ``result``: one of RESULTS. ``explained``: which other setting would give what was observed.
    """

    number: int
    id: str
    start: str
    do: str
    predicted: str
    value: Decimal | None
    unit: str
    tolerance: Decimal | None
    observed: str
    result: str
    because: str = ""
    explained: tuple[str, ...] = ()
    cannot: str = ""
    tester: str = ""
    witness: str = ""
    remark: str = ""
    again: bool = False


@dataclass(frozen=True, slots=True)
class FunctionalTest:
    """A functional test. ``reading`` is the blob id of the set it was done on, ``read`` that set in words."""

    asset: str
    reading: str
    read: str
    kind: str
    at: datetime
    by: str
    steps: tuple[Tested, ...]
    witness: str = ""
    reason: str = ""
    work_order: str = ""

    def count(self, result: str) -> int:
        """How many steps have a result."""
        return sum(step.result == result for step in self.steps)


def write_test(test: FunctionalTest) -> bytes:
    """The canonical bytes: the same test gives the same bytes."""
    import tomli_w

    document: dict[str, Any] = {"format": FORMAT, **{name: getattr(test, name) for name in _HEAD}}
    document["test"] = {name: getattr(test, name) for name in _TEST if getattr(test, name)}
    document["steps"] = {str(step.number): _row(step) for step in test.steps}
    return tomli_w.dumps(document).encode("utf-8")


def _row(step: Tested) -> dict[str, Any]:
    row: dict[str, Any] = {"id": step.id, "from": step.start, "do": step.do}
    if step.predicted:
        row["predicted"] = step.predicted
    if step.value is not None and step.tolerance is not None:
        row[f"predicted_{UNITS[step.unit]}"] = raw(None, step.value)
        row[f"tolerance_{UNITS[step.unit]}"] = raw(None, step.tolerance)
    rest = {
        "cannot": step.cannot,
        "again": step.again,
        "observed": step.observed,
        "result": step.result,
        "because": step.because,
        "explained": list(step.explained),
        "tester": step.tester,
        "witness": step.witness,
        "remark": step.remark,
    }
    return row | {name: value for name, value in rest.items() if value}


def read_test(content: bytes, where: str) -> FunctionalTest:
    """Parse a test. Raises ``Refused`` with every fault of the file, each with its line."""
    document = parse(content, where)
    faults = [*_head_faults(document), *_step_faults(document)]
    if faults:
        raise Refused(faults)
    data = document.data
    steps = tuple(_step(int(number), row) for number, row in data["steps"].items())
    return FunctionalTest(
        **{name: data[name] for name in _HEAD},
        **{name: data["test"].get(name, "") for name in _TEST},
        steps=tuple(sorted(steps, key=lambda step: step.number)),
    )


def _step(number: int, row: Mapping[str, Any]) -> Tested:
    unit = next((unit for unit, end in UNITS.items() if f"predicted_{end}" in row), "")
    end = UNITS.get(unit, "")
    names = ("id", "do", "observed", "result", "because", "cannot", "tester", "witness", "remark")
    return Tested(
        number=number,
        start=row.get("from", ""),
        predicted=row.get("predicted", ""),
        value=Decimal(row[f"predicted_{end}"]) if unit else None,
        unit=unit,
        tolerance=Decimal(row[f"tolerance_{end}"]) if unit else None,
        explained=tuple(row.get("explained", ())),
        again=row.get("again", False),
        **{name: row.get(name, "") for name in names},
    )


def _head_faults(document: Document) -> Iterator[Fault]:
    data = document.data
    yield from document.format_faults(FORMAT)
    known = (*_HEAD, "format", "test", "steps")
    for name in data.keys() - set(known):
        yield document.fault((name,), f"{name} means nothing here.", did_you_mean(name, known))
    for name in _HEAD:
        if not isinstance(data.get(name), str):
            yield document.fault((name,), f"{name} is a text and stands in quotes.", "")
    yield from _test_faults(document, data.get("test"))


def _test_faults(document: Document, test: Any) -> Iterator[Fault]:
    if not isinstance(test, dict):
        yield document.fault(("test",), "the test does not say who did it and when.", "Add [test].")
        return
    at = test.get("at")
    if not isinstance(at, datetime) or at.tzinfo is None:
        yield document.fault(("test", "at"), "at is no date and time with a zone.", "")
    if test.get("kind") not in KINDS:
        yield document.fault(("test", "kind"), f"kind is {test.get('kind')!r}.", "Write first or retest.")
    for name in test.keys() - set(_TEST):
        yield document.fault(("test", name), f"{name} means nothing here.", did_you_mean(name, _TEST))
    for name in set(_TEST) - {"at"}:
        if not isinstance(test.get(name, ""), str):
            yield document.fault(("test", name), f"{name} is a text and stands in quotes.", "")


def _step_faults(document: Document) -> Iterator[Fault]:
    steps = document.data.get("steps")
    if not isinstance(steps, dict):
        yield document.fault(("steps",), "there are no steps.", "Each is a table: [steps.1].")
        return
    for number, row in steps.items():
        if not number.isdecimal() or not isinstance(row, dict):
            yield document.fault(("steps", number), "a step is a table with its number: [steps.1].", "")
        else:
            yield from _row_faults(document, number, row)


def _row_faults(document: Document, number: str, row: Mapping[str, Any]) -> Iterator[Fault]:
    path = ("steps", number)
    for name, value in row.items():
        if what := _value_fault(name, value):
            yield document.fault((*path, name), what, did_you_mean(name, _STEP) if "means" in what else "")
    for end in UNITS.values():
        if (f"predicted_{end}" in row) != (f"tolerance_{end}" in row):
            yield document.fault(path, "a predicted number and its tolerance go together.", "")
    if row.get("result") not in RESULTS:
        known = f"It is one of {', '.join(RESULTS)}."
        yield document.fault((*path, "result"), f"result is {row.get('result')!r}.", known)
    for name in ("id", "do"):
        if name not in row:
            yield document.fault(path, f"the step does not say {name}.", "")


_NUMBERS: Final = {f"{word}_{end}" for word in ("predicted", "tolerance") for end in UNITS.values()}


def _value_fault(name: str, value: Any) -> str:
    """What is wrong with one entry of a step; "" for nothing."""
    if name in _NUMBERS:
        is_number = isinstance(value, (int, Decimal)) and not isinstance(value, bool)
        return "" if is_number else f"{name} is a number."
    if name not in _STEP:
        return f"{name} means nothing here."
    if name == "again":
        return "" if isinstance(value, bool) else "again is true or false."
    if name == "explained":
        is_list = isinstance(value, list) and all(isinstance(one, str) for one in value)
        return "" if is_list else "explained is a list of texts."
    return "" if isinstance(value, str) else f"{name} is a text and stands in quotes."
