"""Same in effect, and look-alikes: a case a file, each one that a plain comparison gets wrong."""

from __future__ import annotations

import json
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from asleft.compare import Comparison, Side, compare, effect
from asleft.compare.effect import RULES, rule
from asleft.files.value import to_value
from asleft.models import Model, decode, read_model
from asleft.record import ParameterSet
from asleft.vocabulary import vocabulary

CASES = sorted((Path(__file__).parents[1] / "cases" / "effect").glob("*.toml"))


def load(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


def model(part: dict[str, Any]) -> Model | None:
    if "drive" not in part:
        return None
    name = part.get("model", "tiny")
    head = f'format = 1\nname = "{name}"\ntitle = "{name}"\nfirmware = ["1.0", "1.9"]\n'
    tables = [("behaviour", part.get("behaviour", {})), ("fixed", part.get("fixed", {}))]
    for table, rows in tables:
        lines = [f"{json.dumps(key)} = {json.dumps(value, default=float)}" for key, value in rows.items()]
        head += f"[{table}]\n" + "\n".join(lines) + "\n"
    head += '[sizes.a]\n"drive.rated_power_kw" = 5.5\n'
    return read_model((head + part["drive"]).encode(), name).size("a")


def side(part: dict[str, Any]) -> Side:
    drive = model(part)
    heads = {name: part[name] for name in ("asset", "firmware") if name in part}
    if drive is not None:
        decoded = decode(drive, part["shown"], "not read")
        found = ParameterSet(
            model=drive.name, values=decoded.values, not_read=decoded.not_read, native=decoded.native, **heads
        )
        return Side(found, drive)
    values = {key: to_value(vocabulary()[key], raw) for key, raw in part["values"].items()}
    not_read = dict.fromkeys(part.get("not_read", ()), "hidden")
    return Side(ParameterSet(model="tiny", values=values, not_read=not_read, **heads))


def sides(case: dict[str, Any]) -> tuple[Side, Side]:
    return side(case["old"]), side(case["new"])


def plain(case: dict[str, Any]) -> str:
    """What comparing the numbers and codes one by one says."""
    kind = "shown" if "shown" in case["old"] and "shown" in case["new"] else "values"
    old, new = (part.get(kind) or part.get("shown") or part["values"] for part in (case["old"], case["new"]))
    if kind == "shown" and "compared" in case:
        wanted = set(case["compared"])
        drives = [model(part) for part in (case["old"], case["new"])]
        old, new = (
            {key: shown[native.id] for key in wanted for native in drive.by_key[key]}
            for shown, drive in zip((old, new), drives, strict=True)
            if drive is not None
        )
    elif "compared" in case:
        old, new = ({key: shown[key] for key in case["compared"]} for shown in (old, new))
    return "same" if old == new else "different"


def verdict(found: Comparison, key: str) -> str:
    lists = {
        "different": found.changes,
        "same": found.same_in_effect,
        "dormant": found.dormant,
        "cannot_tell": found.cannot_tell,
    }
    for name, entries in lists.items():
        if any(entry.key == key for entry in entries):
            return name
    return "noted" if key in found.notes else "same"


def said(found: Comparison) -> str:
    undecided = (*found.same_in_effect, *found.cannot_tell, *found.dormant)
    return " ".join(
        [*(entry.why for entry in undecided), *(text for notes in found.notes.values() for text in notes)]
    )


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case_a_plain_comparison_gets_wrong_is_decided_right(path: Path) -> None:
    case = load(path)
    found = compare(*sides(case))
    assert plain(case) == case["plain"]
    assert verdict(found, case["key"]) == case["verdict"], found
    assert case.get("words", "") in said(found)


def test_most_cases_are_ones_a_plain_comparison_gets_wrong() -> None:
    """Those it gets right stand here for what is said beside the difference."""
    right = [path.stem for path in CASES if (case := load(path))["plain"] == case["verdict"]]
    assert set(right) == {
        "low-point-is-no-live-zero",
        "maximum-above-the-analog-top",
        "plate-speed-is-not-synchronous",
    }


def test_every_case_names_its_source() -> None:
    assert all(load(path)["source"] and load(path)["claim"] for path in CASES)


def test_every_rule_of_the_registry_decides_a_case(monkeypatch: pytest.MonkeyPatch) -> None:
    rules = {name: rule(name) for name in RULES}
    monkeypatch.setattr(effect, "RULES", {})
    spoken = set()
    for old, new in (sides(load(path)) for path in CASES):
        bare = compare(old, new)
        spoken |= {name for name, judge in rules.items() if judge(old, new, bare) != effect.Verdict()}
    assert spoken == set(rules)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_key_stands_in_one_list_whichever_way_round(path: Path) -> None:
    one, other = sides(load(path))
    for old, new in ((one, other), (other, one)):
        found = compare(old, new)
        listed = [
            entry.key
            for entries in (found.changes, found.same_in_effect, found.dormant, found.cannot_tell)
            for entry in entries
        ]
        listed += [change.key for changes in found.other_classes.values() for change in changes]
        listed += [entry.key for entry in (*found.not_read, *found.one_sided)]
        assert len(listed) == len(set(listed))
        keys = {*old.values, *new.values, *old.set.not_read, *new.set.not_read}
        assert len(listed) + found.alike == len(keys | set(listed))


def test_a_set_is_the_same_as_itself() -> None:
    for path in CASES:
        for part in sides(load(path)):
            found = compare(part, part)
            assert found.is_clean
            assert found.notes == {} or set(found.notes) <= {"limits.output_phase_order"}
