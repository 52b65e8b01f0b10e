"""What one model does by itself and another has as a setting, and entries without a meaning."""

from __future__ import annotations

import pytest
from replaced_drives import tiny

from asleft.compare import Side
from asleft.models import Model, decode
from asleft.record import Asset, ParameterSet
from asleft.replace import LedgerRow, PutRight, put_right

HEAD = 'format = 1\nname = "{name}"\ntitle = "{name}"\nfirmware = ["1.0", "1.9"]\n{more}[sizes.a]\n'
STOP = '[parameters.1]\ntext = "Stop"\nmenu = "M"\nkey = "start_stop.stop_method"\nchoices = { "1" = ["ramp", "ramp"] }\n'
RESTART = """[parameters.2]
text = "Restart"
menu = "M"
key = "stations.change_restart"
choices = { "0" = ["new", "new_command_needed"], "1" = ["go on", "resume_if_present"] }
"""
ODD = '[parameters.3]\ntext = "Odd"\nmenu = "M"\nfactory = "4"\nrange = ["0", "9"]\nstep = "1"\n'
LEVEL = '[behaviour]\nchange_restart = "{how}"\n'
RAMP = '[parameters.4]\ntext = "Up"\nmenu = "M"\nkey = "ramps.accel_time_1_s"\nrange = ["0.1", "900.0"]\nstep = "0.1"\n'
REFERENCE = '[parameters.5]\ntext = "Up to"\nmenu = "M"\nkey = "ramps.ramp_reference_frequency_hz"\nrange = ["1", "400"]\nstep = "1"\n'
CODE = (
    '[parameters.6]\ntext = "Code"\nmenu = "M"\nkey = "access.pin_state"\nform = "secret"\nfactory = "0000"\n'
)


def model(name: str, *parameters: str, more: str = "") -> Model:
    return tiny(HEAD.format(name=name, more=more) + "".join(parameters), f"{name}-a")


def stands(drive: Model, shown: dict[str, str]) -> Side:
    found = decode(drive, shown, "not read")
    return Side(
        ParameterSet(model=drive.name, values=found.values, not_read=found.not_read, native=found.native),
        drive,
    )


def moved(old: Model, shown: dict[str, str], new: Model, now: dict[str, str]) -> PutRight:
    return put_right(stands(old, shown), stands(new, now), Asset("X1"))


def row(found: PutRight, key: str) -> LedgerRow:
    return {row.key: row for row in (*found.ledger, *found.implied)}[key]


def test_what_a_model_does_by_itself_is_set_on_one_that_can() -> None:
    old = model("old", STOP, more=LEVEL.format(how="new_command_needed"))
    found = moved(old, {"1": "1"}, model("new", STOP, RESTART), {"1": "1", "2": "1"})
    assert [(step.native, step.displayed) for step in found.entries] == [("2", "0")]
    assert row(found, "stations.change_restart") in found.implied


@pytest.mark.parametrize(
    ("how", "outcome"), [("new_command_needed", "copied"), ("resume_if_present", "decide")]
)
def test_what_was_set_is_held_against_what_the_new_model_does_by_itself(how: str, outcome: str) -> None:
    new = model("new", STOP, more=LEVEL.format(how=how))
    found = moved(model("old", STOP, RESTART), {"1": "1", "2": "0"}, new, {"1": "1"})
    assert row(found, "stations.change_restart").outcome == outcome
    assert [one.holds for one in found.decide] == [how] * (outcome == "decide")


def test_a_rate_becomes_seconds_to_a_reference_of_its_own() -> None:
    """5 Hz/s is recorded as 10 s to 50 Hz; the new drive gets the reference too."""
    old = model("old", RAMP, more='[behaviour]\nramp_basis = "hz_per_s"\n')
    found = moved(old, {"4": "10.0"}, model("new", RAMP, REFERENCE), {"4": "10.0", "5": "60"})
    assert [(step.native, step.displayed) for step in found.entries] == [("5", "50")]


def test_a_reference_becomes_a_rate() -> None:
    new = model("new", RAMP, more='[behaviour]\nramp_basis = "hz_per_s"\n')
    found = moved(model("old", RAMP, REFERENCE), {"4": "12.0", "5": "60"}, new, {"4": "1.0"})
    assert [(step.native, step.displayed) for step in found.entries] == [("4", "10.0")]
    assert row(found, "ramps.ramp_reference_frequency_hz").outcome == "converted"
    assert row(found, "ramps.accel_time_1_s").sum == "12.0 s to 60 Hz × 50 ÷ 60 = 10.0 s to 50 Hz"


def test_the_same_reference_is_no_conversion() -> None:
    new = model("new", RAMP, more='[fixed]\n"ramps.ramp_reference_frequency_hz" = 60\n')
    found = moved(model("old", RAMP, REFERENCE), {"4": "12.0", "5": "60"}, new, {"4": "1.0"})
    assert row(found, "ramps.ramp_reference_frequency_hz").outcome == "copied"
    assert row(found, "ramps.accel_time_1_s").outcome == "copied"


def test_an_entry_without_a_meaning_is_a_decision_unless_it_stood_at_its_factory_value() -> None:
    old, new = model("old", STOP, ODD), model("new", STOP)
    odd = moved(old, {"1": "1", "3": "7"}, new, {"1": "1"})
    assert (row(odd, "3").outcome, [one.key for one in odd.decide]) == ("decide", ["3"])
    assert "stood at 7" in odd.decide[0].consequence
    plain = moved(old, {"1": "1", "3": "4"}, new, {"1": "1"})
    assert (row(plain, "3").outcome, plain.decide) == ("not_copied", ())


def test_an_entry_without_a_meaning_is_copied_within_the_family() -> None:
    old = model("old", STOP, ODD)
    found = moved(old, {"1": "1", "3": "7"}, old, {"1": "1", "3": "4"})
    assert [(step.native, step.enter) for step in found.entries] == [("3", "7")]


def test_what_only_shows_is_never_entered() -> None:
    old = model("old", STOP, ODD + "read_only = true\n")
    found = moved(old, {"1": "1", "3": "7"}, old, {"1": "1", "3": "4"})
    assert (row(found, "3").outcome, found.entries) == ("not_copied", ())
    away = moved(old, {"1": "1", "3": "7"}, model("new", STOP), {"1": "1"})
    assert row(away, "3").outcome == "not_copied"


def test_a_code_is_entered_by_the_person_who_holds_it_and_by_nobody_else() -> None:
    old = model("old", STOP, CODE)
    found = moved(old, {"1": "1", "6": "4711"}, old, {"1": "1", "6": "0000"})
    assert row(found, "access.pin_state").outcome == "not_copied"
    assert found.entries == ()
    assert any("access code" in step.text for step in found.steps)
    assert "4711" not in repr(found)
