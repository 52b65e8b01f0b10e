"""What a drive displays leads to neutral values that lead back to it, over the whole of both demo lists."""

from collections.abc import Mapping
from decimal import Decimal

import pytest
from demo_models import FAMILIES, file_of, model_of
from hypothesis import given, settings
from hypothesis import strategies as st

from asleft.models import Model, Native, decode, display_step, encode, encode_one, factory_set, to_step
from asleft.models.forms import BASES

LEANED_ON = {"drive.duty_rating", *(key for key, _ in BASES.values())}
NAMES = tuple(name for family in FAMILIES for name in file_of(family).full_names)


def shown(native: Native) -> st.SearchStrategy[str]:
    """What this parameter may display, all of it. A switched-off reciprocal term has no way back."""
    if native.form == "bits":
        bits = [1 << int(code) for code in native.choices]
        return st.sets(st.sampled_from(bits)).map(lambda chosen: str(sum(chosen)))
    if native.choices:
        return st.sampled_from([code for code, choice in native.choices.items() if choice.sets])
    if native.step is not None and native.low is not None and native.high is not None:
        low, high, step = native.low, native.high, native.step
        counts = st.integers(int(low / step), int(high / step))
        return counts.map(lambda count: str(to_step(count * step, step)))
    return st.sampled_from(["Text", "ein Text", "status; speed", "192.168.0.17"])


def returning(model: Model) -> list[Native]:
    return [native for native in model.natives.values() if native.keys and not native.secret]


@st.composite
def displays(draw: st.DrawFn, name: str) -> dict[str, str]:
    model = model_of(name)
    return {native.id: draw(shown(native)) for native in returning(model)}


def back(model: Model, displayed: Mapping[str, str]) -> dict[str, str]:
    """Decoded and entered again, read-only parameters too."""
    known = {**decode(model, displayed, "not given").values, **model.fixed}
    return {native.id: encode_one(native, known).displayed for native in returning(model)}


@pytest.mark.parametrize("name", ["merrow-m4-15k", "skarn-k-18k5"])
def test_any_display_comes_back(name: str) -> None:
    @settings(deadline=None, derandomize=True, max_examples=20)
    @given(displays(name))
    def returns(displayed: dict[str, str]) -> None:
        assert back(model_of(name), displayed) == displayed

    returns()


@pytest.mark.parametrize("name", ["merrow-m4-22k", "skarn-k-11k"])
def test_each_end_of_each_range_and_each_choice_comes_back(name: str) -> None:
    model = model_of(name)
    factory = {native.id: native.factory for native in returning(model)}
    bases = {native.id for key in (*LEANED_ON, "motor.pole_count") for native in model.by_key.get(key, ())}
    for native in returning(model):
        around = {name: factory[name] for name in (*bases, native.partner) if name}
        for displayed in extremes(native):
            tried = {**around, native.id: displayed}
            values = {**decode(model, tried, "not given").values, **model.fixed}
            assert encode_one(native, values).displayed == displayed, native


def extremes(native: Native) -> list[str]:
    if native.form == "bits":
        return [str(1 << int(code)) for code in native.choices] + ["0"]
    if native.choices:
        return [code for code, choice in native.choices.items() if choice.sets]
    if native.step is not None and native.low is not None and native.high is not None:
        return [str(to_step(end, native.step)) for end in (native.low, native.high)]
    return ["Text"]


@pytest.mark.parametrize("name", NAMES)
def test_factory_values_are_whole_and_come_back(name: str) -> None:
    model = model_of(name)
    factory = factory_set(model)
    unread = {key for native in model.natives.values() if native.read_only for key in native.keys}
    assert factory.not_read.keys() <= unread
    entries = encode(model, {**factory.values, **model.fixed})
    assert set(entries.cannot) == {"access.pin_state", "access.wireless_pin_state"}
    for native_id, entry in entries.entries.items():
        assert entry.displayed == model.natives[native_id].factory
        step = display_step(model, entry.native.keys[0], factory.values) or Decimal(0)
        assert abs(entry.error) <= step / 2
