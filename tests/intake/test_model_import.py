"""A drive model from a list of 150 rows, or from an EDS, and a reading by it."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from openpyxl import Workbook
from tests.conftest import Ran, run_in

from asleft.jobs.serving import over_tcp
from asleft.jobs.simulating import simulated
from asleft.models import factory_set, read_model
from asleft.record import ParameterSet

LIST = Path(__file__).parents[2] / "fixtures" / "lists" / "tarn-v3.csv"
HEAD = (
    "--name",
    "tarn-v3",
    "--maker",
    "Tarn",
    "--firmware",
    "1.0..1.9",
    "--size",
    "7k5",
    "--register-base",
    "1",
)
DECIDED = {
    "V-055": "skip_bands.band_1.low_hz",
    "V-056": "skip_bands.band_1.high_hz",
    "V-060": "ramps.accel_time_1_s",
    "V-061": "ramps.decel_time_1_s",
    "V-062": "ramps.accel_time_2_s",
    "V-063": "ramps.decel_time_2_s",
    "V-073": "ramps.overvoltage_ramp_hold",
    "V-080": "start_stop.run_wiring",
    "V-134": "outputs.threshold_frequency_1_hz",
    "V-143": "presets.preset_encoding",
    "V-152": "protection.overload_memory",
}
MAPS = tuple(word for id_, key in DECIDED.items() for word in ("--map", f"{id_}={key}"))


def _import(site: Path, *more: str, file: Path = LIST) -> Ran:
    return run_in(site, "model", "import", str(file), *HEAD, *more, "--format", "json")


def test_150_rows_are_imported_and_a_reading_is_taken(own_demo: Path) -> None:
    done = _import(own_demo, *MAPS)
    assert done.code == 0, done.err
    assert done.data["rows"] == 150 and done.data["mapped"] >= 140
    assert all(proposal["sure"] for proposal in done.data["proposals"])
    assert run_in(own_demo, "asset", "add", "P1", "model=tarn-v3-7k5").code == 0
    model = read_model((own_demo / "models/tarn-v3.toml").read_bytes(), "tarn-v3").size("7k5")
    factory = factory_set(model)
    parameters = ParameterSet(model=model.name, values=factory.values, native=factory.native)
    with over_tcp(simulated(model, parameters), 1) as served:
        source = served.source
        taken = run_in(
            own_demo, "snapshot", "P1", "--from", source, "--reading", "as-left", "--occasion", "commissioning",
            "--by", "R. Example", "--format", "json",
        )  # fmt: skip
        assert taken.code == 0, taken.err
        assert served.tally.refused == []
    assert taken.data["how"] == "modbus" and taken.data["read"] >= 135
    again = run_in(own_demo, "diff", "P1@factory", "P1", "--format", "json")
    assert again.data["changes"] == []
    assert run_in(own_demo, "verify").code == 0


def test_undecided_rows_stay_native_and_are_listed(own_demo: Path) -> None:
    done = _import(own_demo)
    still = {each["id"] for each in done.data["proposals"] if not each["sure"]}
    assert still and still <= DECIDED.keys() | {"V-053", "V-065"}
    text = run_in(own_demo, "model", "import", str(LIST), *HEAD, "--replace")
    assert f"{len(still)} to decide" in text.out.splitlines()[0] and "--map" in text.out.splitlines()[1]
    model = read_model((own_demo / "models/tarn-v3.toml").read_bytes(), "tarn-v3").size("7k5")
    assert all(model.natives[id_].keys == () for id_ in still)
    assert "not decided yet" in model.absent["ramps.accel_time_1_s"]


def test_the_written_file_has_no_faults_of_form_and_is_the_same_each_time(own_demo: Path) -> None:
    _import(own_demo, *MAPS)
    first = (own_demo / "models/tarn-v3.toml").read_bytes()
    assert read_model(first, "tarn-v3").faults == ()
    _import(own_demo, *MAPS, "--replace")
    assert (own_demo / "models/tarn-v3.toml").read_bytes() == first


def test_a_workbook_gives_the_same_model(own_demo: Path) -> None:
    book = Workbook()
    assert book.active is not None
    with LIST.open(encoding="utf-8", newline="") as file:
        for row in csv.reader(file, delimiter=";"):
            book.active.append(row)
    content = io.BytesIO()
    book.save(content)
    (own_demo.parent / "tarn-v3.xlsx").write_bytes(content.getvalue())
    _import(own_demo, *MAPS)
    first = (own_demo / "models/tarn-v3.toml").read_text(encoding="utf-8")
    done = _import(own_demo, *MAPS, "--replace", file=own_demo.parent / "tarn-v3.xlsx")
    assert done.code == 0, done.err
    second = (own_demo / "models/tarn-v3.toml").read_text(encoding="utf-8")
    assert second.replace("tarn-v3.xlsx", "tarn-v3.csv") == first


WRONG = [
    (("--map", "V-999=ramps.accel_time_1_s"), "no row 'V-999'"),
    (("--map", "V-060=ramps.acel_time_1_s"), "Did you mean ramps.accel_time_1_s"),
    (("--map", "V-039=control.current_limit_a:everything"), "no base of per cent"),
    (("--columns", "id=A,wert=B"), "no role 'wert'"),
    (("--name", "../away"), "a tag is 1 to 64 letters"),
    (("-o", "nowhere/tarn.toml"), "no folder"),
]


@pytest.mark.parametrize(("more", "says"), WRONG, ids=[" ".join(more) for more, _ in WRONG])
def test_wrong_use_is_told_and_writes_nothing(own_demo: Path, more: tuple[str, ...], says: str) -> None:
    done = _import(own_demo, *more)
    assert done.code == 2 and says in done.err
    assert not (own_demo / "models/tarn-v3.toml").exists()


def test_a_file_that_is_there_is_not_written_over(own_demo: Path) -> None:
    assert _import(own_demo).code == 0
    again = _import(own_demo)
    assert again.code == 2 and "is there already" in again.err


def test_odd_rows_of_a_list_are_named(own_demo: Path) -> None:
    rows = "No.;Name;Unit;Min;Max;Default\nRamps\n1;Acceleration time 1;s;0.1;600;5\n2;;s;1;2;1\n3;Droop;%;x;20;0\n"
    (own_demo.parent / "odd.csv").write_text(rows, encoding="utf-8")
    done = _import(own_demo, file=own_demo.parent / "odd.csv")
    notes = " ".join(done.data["notes"])
    assert done.code == 0 and "has no id and name" in notes and "low 'x' is no number" in notes
    (own_demo.parent / "twice.csv").write_text(rows + "1;Again;s;1;2;1\n", encoding="utf-8")
    assert "stands here again" in _import(own_demo, "--replace", file=own_demo.parent / "twice.csv").err


EDS = """
[DeviceInfo]
VendorName=Tarn
[1000]
ParameterName=Device type
DataType=7
[2010]
ParameterName=Acceleration time 1
DataType=6
AccessType=rw
LowLimit=1
HighLimit=36000
DefaultValue=50
Unit=s
Factor=0.1
[2011]
ParameterName=Trim
DataType=3
LowLimit=0x8000
HighLimit=0x7FFF
[604D]
ParameterName=Pole number
DataType=5
DefaultValue=4
[6046]
ParameterName=vl velocity min max amount
ObjectType=8
[6046sub2]
ParameterName=max
DataType=7
LowLimit=0
HighLimit=6000
DefaultValue=1500
[605C]
ParameterName=Disable operation option code
DataType=3
DefaultValue=1
[6075]
ParameterName=Motor rated current
DataType=7
LowLimit=100
HighLimit=90000
DefaultValue=11200
"""


def test_an_eds_gives_factory_values_and_limits(own_demo: Path) -> None:
    """Objects of CiA 402; 1500 rpm of a 4-pole motor are 50 Hz by f = n·p/120, 11200 mA are 11.2 A."""
    (own_demo.parent / "unit.eds").write_text(EDS, encoding="utf-8")
    done = _import(own_demo, file=own_demo.parent / "unit.eds")
    assert done.code == 0, done.err
    model = read_model((own_demo / "models/tarn-v3.toml").read_bytes(), "tarn-v3").size("7k5")
    values = {key: str(value) for key, value in factory_set(model).values.items()}
    assert values == {
        "ramps.accel_time_1_s": "5.0",
        "motor.pole_count": "4",
        "limits.frequency_max_hz": "50",
        "start_stop.stop_method": "ramp",
        "motor.rated_current_a": "11.2",
    }
    trim, accel = model.natives["2011"], model.natives["2010"]
    assert (trim.low, trim.high) == (-32768, 32767)
    assert (str(accel.low), str(accel.high), str(accel.step)) == ("0.1", "3600.0", "0.1")
    assert "1 objects of the communication" in " ".join(done.data["notes"])


def test_ranges_and_choices_are_taken_from_one_column(own_demo: Path) -> None:
    rows = (
        "Par. no.;Description;Setting range;Default\n"
        "1;Acceleration time 1;0,1 ... 600,0 s;5,0\n"
        "2;Stop method;0: ramp | 1: coast;ramp\n"
        "3;Mains voltage;380 to 500 V;400\n"
    )
    (own_demo.parent / "ranges.csv").write_text(rows, encoding="utf-8")
    done = _import(own_demo, file=own_demo.parent / "ranges.csv")
    assert done.code == 0, done.err
    natives = read_model((own_demo / "models/tarn-v3.toml").read_bytes(), "tarn-v3").size("7k5").natives
    assert (str(natives["1"].low), str(natives["1"].high), natives["1"].unit) == ("0.1", "600.0", "s")
    assert natives["1"].keys == ("ramps.accel_time_1_s",) and str(natives["1"].step) == "0.1"
    assert [c.sets for c in natives["2"].choices.values()] == [
        {"start_stop.stop_method": "ramp"},
        {"start_stop.stop_method": "coast"},
    ]
    assert natives["2"].factory == "0"
    assert natives["3"].keys == ("supply.voltage_nominal_v",)


def test_columns_are_named_where_headings_say_nothing(own_demo: Path) -> None:
    rows = "a;b;c;d;e\n1;Acceleration time 1;s;0.1;600\n"
    (own_demo.parent / "bare.csv").write_text(rows, encoding="utf-8")
    refused = _import(own_demo, file=own_demo.parent / "bare.csv")
    assert refused.code == 2 and "--columns id=A,text=B" in refused.err
    done = _import(
        own_demo, "--columns", "id=A,text=B,unit=C,low=D,high=E,from=2", file=own_demo.parent / "bare.csv"
    )
    assert done.code == 0 and done.data["mapped"] == 1


def test_a_decision_for_a_choice_is_written(own_demo: Path) -> None:
    rows = "No.;Name;Choices;Default\n1;Stop method;0=ramp|1=sideways;0\n"
    (own_demo.parent / "choice.csv").write_text(rows, encoding="utf-8")
    open_ = _import(own_demo, file=own_demo.parent / "choice.csv")
    assert open_.data["choices_without_meaning"] == {"1": ["sideways"]}
    done = _import(own_demo, "--replace", "--map", "1.1=coast", file=own_demo.parent / "choice.csv")
    assert done.data["choices_without_meaning"] == {}
    assert '"1" = ["sideways", "coast"]' in (own_demo / "models/tarn-v3.toml").read_text(encoding="utf-8")


def test_a_new_site_gets_its_folder_of_models(tmp_path: Path) -> None:
    assert run_in(tmp_path, "init", "plant", "--by", "R. Example").code == 0
    done = _import(tmp_path / "plant")
    assert done.code == 0, done.err
    assert (tmp_path / "plant/models/tarn-v3.toml").is_file()
