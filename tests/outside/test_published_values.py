"""Every equation of the machine against values from outside the project; each check names its source."""

import tomllib
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

VALUES = Path(__file__).parent / "values"


def _checks() -> Iterator[dict[str, Any]]:
    for file in sorted(VALUES.glob("*.toml")):
        for check in tomllib.loads(file.read_text(encoding="utf-8"))["check"]:
            yield check | {"file": file.stem}


def _cases() -> Iterator[Any]:
    for check in _checks():
        for case in check.get("cases", ()):
            given = {key: value for key, value in case.items() if key not in ("gives", "within")}
            title = f"{check['file']}-{check['call']}-{given}"
            yield pytest.param(check, given, case["gives"], case.get("within"), id=title)


def _named(dotted: str) -> Any:
    module, name = dotted.split(".")
    return getattr(import_module(f"asleft.machine.{module}"), name)


def _rows(table: Any) -> Any:
    """A table in code as the nested lists TOML gives."""
    if isinstance(table, dict):
        return [[key, *_rows(v if isinstance(v, tuple) else (v,))] for key, v in table.items()]
    return [_rows(item) for item in table] if isinstance(table, tuple) else table


@pytest.mark.parametrize(("check", "given", "gives", "within"), list(_cases()))
def test_equation_gives_the_value_of_its_source(
    check: dict[str, Any], given: dict[str, Any], gives: Any, within: float | None
) -> None:
    result = _named(check["call"])(**given)
    result = getattr(result, check["take"]) if "take" in check else result
    if isinstance(gives, (bool, str)):
        assert result == gives, check["source"]
    else:
        assert result == pytest.approx(gives, abs=within, rel=1e-9 if within is None else 0), check["source"]


@pytest.mark.parametrize("check", [c for c in _checks() if "rows" in c], ids=lambda check: check["call"])
def test_table_holds_the_rows_of_its_source(check: dict[str, Any]) -> None:
    assert _rows(_named(check["call"])) == check["rows"], check["source"]


def test_every_check_names_a_source_and_compares_something() -> None:
    bare = [c["call"] for c in _checks() if len(c["source"]) < 8 or not (c.get("cases") or "rows" in c)]
    assert bare == []
