"""The order of the job as data: complete, and speaking of parameters that exist."""

from __future__ import annotations

from fnmatch import fnmatchcase

from asleft.replace.job import job
from asleft.replace.standing import bounds
from asleft.vocabulary import vocabulary

ENTERED = [
    key
    for key, parameter in vocabulary().parameters.items()
    if parameter.class_ in ("setting", "address", "action")
]


def test_the_fourteen_stages_stand_in_order() -> None:
    assert [stage.number for stage in job().stages] == list(range(1, 15))
    assert all(stage.title and stage.why for stage in job().stages)


def test_every_key_that_is_entered_has_a_stage() -> None:
    patterns = [pattern for stage in job().stages for pattern in stage.keys]
    assert [key for key in ENTERED if not any(fnmatchcase(key, pattern) for pattern in patterns)] == []


def test_every_pattern_matches_a_key() -> None:
    patterns = [pattern for stage in job().stages for pattern in stage.keys] + list(job().turning_keys)
    assert [
        pattern for pattern in patterns if not any(fnmatchcase(key, pattern) for key in vocabulary())
    ] == []


def test_limits_come_before_what_they_bound_and_the_plate_before_the_limits() -> None:
    stage = {key: job().stage_of((key,)).number for key in ENTERED}
    assert (
        stage["supply.frequency_region_hz"]
        < stage["motor.rated_current_a"]
        < stage["control.current_limit_a"]
    )
    assert stage["limits.frequency_max_hz"] < stage["ramps.accel_time_1_s"] < stage["presets.preset_1_hz"]
    assert stage["digital_inputs.di_1.function"] < stage["comms.node_address"] < stage["access.setting_lock"]
    assert stage["access.setting_lock"] == 14


def test_remedies_speak_of_choices_that_exist() -> None:
    for remedy in job().remedies:
        choices = vocabulary()[remedy.key].choices
        assert remedy.wanted == "*" or remedy.wanted in choices


def test_run_functions_are_functions_of_an_input() -> None:
    assert job().run_functions <= set(vocabulary()["digital_inputs.di_1.function"].choices)


def test_each_bound_pairs_two_keys_of_one_unit() -> None:
    assert {(vocabulary()[pair.low].unit, vocabulary()[pair.high].unit) for pair in bounds()} <= {
        ("Hz", "Hz"),
        ("%", "%"),
    }
    assert len(set(bounds())) == len(bounds())


def test_the_cautions_say_what_settings_do_not_do() -> None:
    assert any("no safety function" in caution for caution in job().cautions)
    assert any("DC link" in caution for caution in job().cautions)
    assert len(job().questions) >= 9
