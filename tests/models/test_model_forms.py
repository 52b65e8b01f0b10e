"""Each form of display, there and back, and what cannot be told from one."""

import tomllib
from decimal import Decimal
from typing import Any

import pytest
from demo_models import CASES

from asleft.models import Model, decode, encode, read_model
from asleft.models.forms import FORMS
from asleft.record import Value
from asleft.vocabulary import vocabulary

HEAD = """format = 1
name = "small"
title = "Small"
firmware = ["1.0", "1.9"]
[sizes.one]
"drive.rated_current_light_a" = 45.0
"drive.rated_current_heavy_a" = 37.0
"""
DATA = tomllib.loads((CASES / "forms.toml").read_text(encoding="utf-8"))
THERE_AND_BACK = {name: case for name, case in DATA["form"].items() if not case.get("one_way")}


def small(rows: str) -> Model:
    return read_model((HEAD + rows).encode(), "small.toml").size("one")


def as_value(key: str, raw: Any) -> Value:
    if isinstance(raw, list):
        return tuple(raw)
    return Decimal(raw) if vocabulary()[key].is_number else str(raw)


def digits(values: dict[str, Value]) -> dict[str, str]:
    return {key: str(value) for key, value in values.items()}


def test_every_form_has_a_case() -> None:
    assert DATA["form"].keys() == FORMS.keys()
    for name, case in DATA["form"].items():
        assert any(native.form == name for native in small(case["rows"]).natives.values())


@pytest.mark.parametrize("case", DATA["form"].values(), ids=DATA["form"])
def test_what_is_displayed_has_its_meaning_to_the_digit(case: dict[str, Any]) -> None:
    decoded = decode(small(case["rows"]), case["displayed"], "not given")
    expected = {key: as_value(key, raw) for key, raw in case["values"].items()}
    assert digits(dict(decoded.values)) == digits(expected)
    assert decoded.native == {}


@pytest.mark.parametrize("case", THERE_AND_BACK.values(), ids=THERE_AND_BACK)
def test_the_meaning_is_entered_as_it_was_displayed(case: dict[str, Any]) -> None:
    values = {key: as_value(key, raw) for key, raw in case["values"].items()}
    entries = encode(small(case["rows"]), values)
    assert {name: entry.displayed for name, entry in entries.entries.items()} == case["displayed"]
    assert not any(entry.error for entry in entries.entries.values())
    assert entries.cannot == {}


@pytest.mark.parametrize("case", DATA["not_told"].values(), ids=DATA["not_told"])
def test_what_cannot_be_told_is_kept_as_displayed_with_the_reason(case: dict[str, Any]) -> None:
    decoded = decode(small(case["rows"]), case["displayed"], "not given")
    assert not decoded.values.keys() & case["reasons"].keys()
    assert {key: decoded.not_read[key] for key in case["reasons"]} == case["reasons"]
    assert decoded.native == case["displayed"]


def test_the_digits_of_a_code_go_nowhere() -> None:
    case = DATA["form"]["secret"]
    model = small(case["rows"])
    decoded = decode(model, {**case["displayed"], "1": "4711"}, "not given")
    assert "4711" not in repr(decoded)
    entries = encode(model, decoded.values)
    assert entries.entries == {}
    assert entries.cannot.keys() == {"access.pin_state", "access.wireless_pin_state"}
