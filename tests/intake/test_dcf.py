"""Readings from DCF files, and the drive profile in neutral terms."""

from __future__ import annotations

import io
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import canopen
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.intake.bus_units import demo_set

from asleft.intake import take
from asleft.intake.counts import count_of
from asleft.intake.modbus.registers import words_for
from asleft.intake.profile import CHOICES, RATES, from_profile, keys_of_profile
from asleft.jobs.simulating import _shown as shown_by_set
from asleft.models import CannotEnter, Native
from asleft.record import Refused
from asleft.vocabulary import vocabulary


def _file(rows: Mapping[str, Mapping[str, Any]], head: str = "") -> bytes:
    """A DCF of objects, each a section with its keys."""
    parts = [head]
    for name, keys in rows.items():
        parts.append(f"[{name}]\nParameterName={name}\n" + "".join(f"{k}={v}\n" for k, v in keys.items()))
    return "\n".join(parts).encode("utf-8")


# CiA 402 / IEC 61800-7-201 objects; units from memory. A 4-pole motor: f = n·p/120.
DRIVE = {
    "604D": {"DataType": 5, "ParameterValue": 4},
    "6046sub1": {"DataType": 7, "ParameterValue": 300},
    "6046sub2": {"DataType": 7, "ParameterValue": 1500},
    "6048sub1": {"DataType": 7, "ParameterValue": 1500},
    "6048sub2": {"DataType": 6, "ParameterValue": 8},
    "6049sub1": {"DataType": 7, "ParameterValue": 750},
    "6049sub2": {"DataType": 6, "ParameterValue": 6},
    "604Asub1": {"DataType": 7, "ParameterValue": 3000},
    "604Asub2": {"DataType": 6, "ParameterValue": 3},
    "605C": {"DataType": 3, "ParameterValue": 1},
    "6007": {"DataType": 3, "ParameterValue": 3},
    "6072": {"DataType": 6, "ParameterValue": 1500},
    "6073": {"DataType": 6, "ParameterValue": 1200},
    "6075": {"DataType": 7, "ParameterValue": 28500},
    "6080": {"DataType": 7, "ParameterValue": 3600},
    "6402": {"DataType": 6, "ParameterValue": 7},
}
EXPECTED = {
    "motor.pole_count": "4",
    "limits.frequency_min_hz": Decimal("10"),  # arithmetic: 300·4/120
    "limits.frequency_max_hz": Decimal("50"),
    "ramps.ramp_reference_frequency_hz": Decimal("50"),
    "ramps.accel_time_1_s": Decimal("8"),
    "ramps.decel_time_1_s": Decimal("12"),  # arithmetic: 750 rpm in 6 s is 1500 rpm in 12 s
    "ramps.quick_stop_time_s": Decimal("1.5"),  # arithmetic: 3000 rpm in 3 s
    "start_stop.stop_method": "ramp",
    "protection.comms_loss_reaction": "stop_ramp",
    "control.torque_limit_motoring_pct": Decimal("150"),
    "control.current_limit_a": Decimal("34.2"),  # arithmetic: 1200 ‰ of 28.5 A
    "motor.rated_current_a": Decimal("28.5"),
    "motor.max_speed_rpm": Decimal("3600"),
    "motor.type": "induction",
}


def test_objects_of_the_drive_profile_become_neutral_values() -> None:
    taken = take(_file(DRIVE), "drive.dcf", None)
    assert dict(taken.set.values) == EXPECTED
    assert taken.how == "dcf" and not taken.set.native


@pytest.mark.parametrize(
    ("lacking", "lost"),
    [
        (
            "604D",
            {
                "motor.pole_count", "limits.frequency_min_hz", "limits.frequency_max_hz", "ramps.accel_time_1_s",
                "ramps.decel_time_1_s", "ramps.quick_stop_time_s", "ramps.ramp_reference_frequency_hz",
            },
        ),
        ("6075", {"motor.rated_current_a", "control.current_limit_a"}),
        ("6048sub2", {"ramps.accel_time_1_s"}),
    ],
)  # fmt: skip
def test_what_cannot_be_worked_out_is_kept_and_not_guessed(lacking: str, lost: set[str]) -> None:
    rows = {id_: keys for id_, keys in DRIVE.items() if id_ != lacking}
    taken = take(_file(rows), "drive.dcf", None)
    assert EXPECTED.keys() - taken.set.values.keys() == lost
    assert all(taken.set.values[key] == EXPECTED[key] for key in taken.set.values)
    needing = {"604D": "6046sub1", "6075": "6073", "6048sub2": ""}[lacking]
    assert not needing or taken.set.native[needing] == str(DRIVE[needing]["ParameterValue"])


@pytest.mark.parametrize("code", [-1, 2, 4, 99])
def test_an_unknown_code_is_kept_as_it_stands(code: int) -> None:
    taken = take(_file({"605C": {"DataType": 3, "ParameterValue": code}}), "drive.dcf", None)
    assert dict(taken.set.values) == {} and dict(taken.set.native) == {"605C": str(code)}


def test_every_key_of_the_profile_is_one_whose_standard_names_it() -> None:
    named = {key for key in vocabulary() if "CiA 402" in vocabulary()[key].standard}
    ours = keys_of_profile()
    assert ours <= named
    assert {key.replace("_2_s", "_1_s") for key in named} == ours
    for key, codes in CHOICES.values():
        assert set(codes.values()) <= set(vocabulary()[key].choices)


@settings(max_examples=60)
@given(
    poles=st.sampled_from([2, 4, 6, 8]),
    speed=st.integers(1, 6000),
    time=st.integers(1, 600),
    reference=st.integers(1, 6000),
)
def test_a_ramp_keeps_its_rate_whatever_it_counts_to(
    poles: int, speed: int, time: int, reference: int
) -> None:
    """rate = delta speed / delta time, in Hz a second."""
    counts = {"604D": poles, "6048SUB1": speed, "6048SUB2": time}
    known = {"ramps.ramp_reference_frequency_hz": Decimal(reference * poles) / 120}
    values, _ = from_profile(counts, known)
    ramp = values[RATES["6048"]]
    assert isinstance(ramp, Decimal)
    rate = Decimal(speed * poles) / 120 / time
    assert abs(known["ramps.ramp_reference_frequency_hz"] / rate - ramp) < Decimal("0.02") * (1 + ramp / 100)


def _type_of(native: Native) -> int:
    assert native.register is not None
    return {"text": 9, "u16": 6, "i16": 3, "u32": 7, "i32": 4}[native.register.kind]


def _whole_unit() -> tuple[dict[str, dict[str, Any]], dict[str, str]]:
    """Sections of a unit that holds a demo reading, and what each parameter shows."""
    model, parameters = demo_set("E1")
    sections: dict[str, dict[str, Any]] = {}
    shown: dict[str, str] = {}
    for native in model.natives.values():
        sections.setdefault(native.id.partition("sub")[0], {"ObjectType": 9, "SubNumber": 40})
        sections[native.id] = {"ObjectType": 7, "DataType": _type_of(native), "AccessType": "rw"}
        try:
            shown[native.id] = shown_by_set(model, native, parameters)
        except CannotEnter:
            continue
        words_for(native, shown[native.id])
    return sections, shown


def _written_by_the_library() -> bytes:
    model, _ = demo_set("E1")
    sections, shown = _whole_unit()
    dictionary = canopen.import_od(_as_file(_file(sections, "[DeviceInfo]\nVendorName=Merrow\n")))
    for native in model.natives.values():
        index, _, sub = native.id.partition("sub")
        variable = dictionary[int(index, 16)][int(sub, 16)]
        if native.id in shown:
            text = _type_of(native) == 9
            variable.value = shown[native.id] if text else count_of(native, shown[native.id])
    written = io.StringIO()
    written.name = "unit.dcf"
    written.close = lambda: None  # type: ignore[method-assign]
    canopen.export_od(dictionary, written, "dcf")
    return written.getvalue().encode("utf-8")


def _as_file(content: bytes) -> Any:
    file = io.StringIO(content.decode("utf-8"))
    file.name = "unit.eds"
    return file


def test_a_dcf_written_by_the_independent_library_is_the_same_reading() -> None:
    """PyPI canopen writes the file; every value of the demo reading comes back, digits and all."""
    model, parameters = demo_set("E1")
    taken = take(_written_by_the_library(), "unit.dcf", model)
    texts = {key for key, value in parameters.values.items() if value in ("", ())}
    wrong = {
        key: (value, taken.set.values.get(key))
        for key, value in parameters.values.items()
        if str(taken.set.values.get(key)) != str(value) and key not in texts
    }
    assert wrong == {}
    assert dict(taken.set.native) == dict(parameters.native)
    assert taken.set.not_read.keys() <= texts


def test_objects_without_a_value_are_not_read_and_not_default() -> None:
    model, _ = demo_set("E1")
    rows = {
        "2F10sub1": {"DataType": 6, "DefaultValue": 50, "ParameterValue": 80},
        "2F10sub2": {"DataType": 6, "DefaultValue": 50},
    }
    native = next(iter(model.natives))
    rows[native] = {"DataType": 9, "ParameterValue": "X-1"}
    taken = take(_file(rows), "unit.dcf", model)
    assert taken.set.values["drive.serial_number"] == "X-1"
    assert "the file gives no value for it" in taken.set.not_read.values()
    assert len(taken.set.values) + len(taken.set.not_read) == len(model.by_key)


def test_a_file_of_defaults_is_pointed_out() -> None:
    rows = {f"20{n:02X}": {"DataType": 6, "DefaultValue": n, "ParameterValue": n} for n in range(12)}
    taken = take(_file(rows), "unit.dcf", None)
    assert any("equals the default" in str(fault) for fault in taken.warnings)


def test_a_value_given_twice_is_not_read() -> None:
    model, _ = demo_set("E1")
    native = next(n for n in model.natives.values() if n.keys == ("ramps.accel_time_1_s",))
    rows = {
        native.id: {"DataType": 6, "ParameterValue": 80},
        "2F00sub1": {"DataType": 9, "ParameterValue": "X"},
    }
    content = _file(rows) + f"\n[{native.id}]\nParameterValue=90\n".encode()
    taken = take(content, "unit.dcf", model)
    assert taken.set.not_read["ramps.accel_time_1_s"] == "the file gives it as 80 and as 90"


def test_a_file_without_values_is_refused() -> None:
    with pytest.raises(Refused, match="gives no ParameterValue"):
        take(_file({"2000": {"DataType": 6, "DefaultValue": 5}}), "unit.dcf", None)


def test_a_code_is_not_recorded() -> None:
    content = b"[2100]\nParameterName=Access code\nDataType=6\nParameterValue=4711\n"
    taken = take(content, "unit.dcf", None)
    assert "4711" not in str(taken)
