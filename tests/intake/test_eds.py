"""Object dictionaries: odd files, and the same as an independent reader on generic samples."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import canopen
import pytest
from canopen.objectdictionary import ODVariable

from asleft.intake import take
from asleft.intake.eds import Dictionary, Item, read_dictionary
from asleft.record import Refused

CASES = Path(__file__).parents[1] / "cases" / "eds"
ODD = tomllib.loads((CASES / "odd.toml").read_text(encoding="utf-8"))


def _content(case: dict[str, Any]) -> bytes:
    return (
        bytes.fromhex(case["bytes_hex"]) if "bytes_hex" in case else case["text"].lstrip("\n").encode("utf-8")
    )


@pytest.mark.parametrize("name", ODD)
def test_odd_files_are_read_as_far_as_they_can_be(name: str) -> None:
    case = ODD[name]
    if "refused" in case:
        with pytest.raises(Refused, match=case["refused"]):
            read_dictionary(_content(case), f"{name}.eds")
        return
    found = read_dictionary(_content(case), f"{name}.eds")
    read = {
        id_: {field: _shown(found.items[id_], field) for field in fields}
        for id_, fields in case["items"].items()
    }
    assert read == case["items"] and found.items.keys() == read.keys()
    warnings = [str(fault) for fault in found.warnings]
    assert len(warnings) == len(case["warns"]), warnings
    assert all(part in warning for part, warning in zip(case["warns"], warnings, strict=True)), warnings


def _shown(item: Item, field: str) -> str:
    value = getattr(item, field)
    return "none" if value is None else str(value)


@pytest.mark.parametrize("name", ["sample", "datatypes"])
def test_generic_samples_are_read_as_the_independent_library_reads_them(name: str) -> None:
    """The samples of PyPI canopen, read by it and by us."""
    path = CASES / f"{name}.eds"
    ours = read_dictionary(path.read_bytes(), path.name)
    theirs = canopen.import_od(str(path))
    compared = 0
    for variable in _variables(theirs):
        item = _item(ours, variable)
        if item is None:
            assert variable.subindex == 0 or variable.index <= 7, variable.name
            continue
        compared += 1
        # CiA 306: elements of a short array without names of their own are numbered; the library gives the array's
        assert item.name.startswith(variable.name)
        assert item.data_type == variable.data_type or variable.data_type == 0x0F
        if item.default is not None and variable.default is not None:
            assert _same(item.default, variable.default), item
        if item.low is not None and item.high is not None:
            assert (item.low, item.high) == (variable.min, variable.max), item
    assert compared > 20


def _variables(dictionary: Any) -> Iterator[ODVariable]:
    for thing in dictionary.values():
        if isinstance(thing, ODVariable):
            yield thing
        else:
            yield from (thing[sub] for sub in thing.subindices if sub in thing.subindices)


def _item(ours: Dictionary, variable: ODVariable) -> Item | None:
    plain = f"{variable.index:04X}"
    return ours.items.get(f"{plain}sub{variable.subindex:X}") or (
        ours.items.get(plain) if isinstance(variable.parent, canopen.ObjectDictionary) else None
    )


def _same(one: object, other: object) -> bool:
    if isinstance(other, bytes):
        return bytes.fromhex(str(one)) == other
    return float(one) == float(other) if isinstance(other, float) else one == other  # type: ignore[arg-type]


def test_an_eds_is_no_reading() -> None:
    content = (CASES / "sample.eds").read_bytes()
    with pytest.raises(Refused, match="factory values, not what stands in a unit"):
        take(content, "sample.eds", None)


def test_a_file_cut_anywhere_is_read_or_refused() -> None:
    content = (CASES / "sample.eds").read_bytes()
    for end in range(0, len(content), 97):
        try:
            assert read_dictionary(content[:end], "cut.eds").items
        except Refused as refused:
            assert refused.faults[0].do_next
