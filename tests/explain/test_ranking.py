"""What leads: a protection given away, then a start nobody asked for, then what a fact calls grave."""

from __future__ import annotations

import tomllib

import pytest
from explain_cases import cases, machines, others, told, typed

from asleft.compare import Side, compare
from asleft.explain import explain
from asleft.explain.phrases import DATA
from asleft.explain.ranking import lets_go
from asleft.record import Value
from asleft.vocabulary import vocabulary

GUARDS = tomllib.loads((DATA / "guards.toml").read_text(encoding="utf-8"))


def _explained(machine: str, changed: dict[str, str]) -> list[str]:
    one = machines()[machine]
    values: dict[str, Value] = {key: typed(vocabulary()[key], text) for key, text in changed.items()}
    side = one.changed(values)
    return [found.change.key for found in explain(compare(one.side, side), one.side, side, one.asset, others)]


def test_the_harvest_night_is_told_by_what_it_costs() -> None:
    (night,) = [case for case in cases("together") if case.name == "harvest_night"]
    assert [one.change.key for one in told(night)] == [
        "protection.external_fault_reaction",
        "recovery.auto_reset_attempts",
        "outputs.relay_1.off_delay_s",
        "access.setting_lock",
        "ramps.accel_time_1_s",
    ]
    assert told(night)[0].most == "The external contact no longer stops the motor: it only shows a warning."


def test_a_number_that_hurts_comes_before_a_parameter_that_might() -> None:
    # The relay's delay is of low risk by itself, and 163 kg here; the motor's amps are of high risk.
    order = _explained("leg", {"outputs.relay_1.off_delay_s": "10.0", "outputs.relay_2.on_delay_s": "3.0",
                               "presets.preset_2_hz": "30.00"})  # fmt: skip
    assert order[0] == "outputs.relay_1.off_delay_s"


def test_what_does_nothing_today_comes_last() -> None:
    order = _explained(
        "fan", {"recovery.auto_reset_window_s": "300", "digital_inputs.di_5.sense": "acts_when_open",
                "presets.preset_3_hz": "26.00"}
    )  # fmt: skip
    assert order[0] == "presets.preset_3_hz"


@pytest.mark.parametrize(("what", "row"), [(what, row) for what, rows in GUARDS.items() for row in rows])
def test_every_guarded_row_stands_in_the_vocabulary_with_its_choices(what: str, row: str) -> None:
    key = row.replace("_n.", "_1.")
    parameter = vocabulary()[key]
    rule = GUARDS[what][row]
    if isinstance(rule, list):
        named = [choice for step in rule for choice in step.split("|")]
        assert sorted(named) == sorted(parameter.choices)
    else:
        assert (rule in ("up", "down") and parameter.is_number) or (
            rule == "more" and parameter.kind == "set"
        )


@pytest.mark.parametrize(("what", "row"), [(what, row) for what, rows in GUARDS.items() for row in rows])
def test_the_way_back_gives_nothing_away(what: str, row: str) -> None:
    key, rule = row.replace("_n.", "_1."), GUARDS[what][row]
    safe, risky = {
        "up": ("10", "20"), "down": ("20", "10"), "more": (["overload"], ["overload", "external"]),
    }.get(str(rule), (None, None)) if not isinstance(rule, list) else (
        rule[0].split("|")[0], rule[-1].split("|")[0]
    )  # fmt: skip
    machine, parameter = machines()["leg"], vocabulary()[key]
    first, second = (machine.changed({key: typed(parameter, given)}) for given in (safe, risky))
    (there,), (back,) = _changes(first, second), _changes(second, first)
    assert lets_go(there) == what
    assert lets_go(back) == ""


def _changes(old: Side, new: Side) -> tuple:  # type: ignore[type-arg]
    found = compare(old, new)
    from asleft.compare import Change

    return found.changes or tuple(
        Change(one.key, one.old, one.new)
        for one in found.dormant
        if one.old is not None and one.new is not None
    )
