"""A selector declared on a slot: typed, kept, shown, and used wherever behaviour is answered."""

from __future__ import annotations

import pytest
from tests.conftest import Run

from asleft.files.assets import read_asset, write_asset
from asleft.record import Refused

SLOT = """format = 1
tag = "E1"

[selectors.station]
local = ["di_5"]
off = []
remote = ["di_6", "di_7"]
"""


def test_a_selector_comes_back_from_disk_as_it_was() -> None:
    asset = read_asset(SLOT.encode(), "asset.toml")
    assert asset.selectors[0].positions == (("local", ("di_5",)), ("off", ()), ("remote", ("di_6", "di_7")))
    assert read_asset(write_asset(asset), "asset.toml") == asset


@pytest.mark.parametrize(
    ("places", "words"),
    [
        ('local = ["di_5"]\nremote = ["di_9"]', "di_9 is no digital input; they are di_1 to di_8"),
        ('local = ["di_5"]\noff = []', "two contacts or more"),
        ('remote = ["di_5", "di_6"]', "two positions or more"),
        ('local = ["di_5"]\nremote = ["di_5"]\noff = ["di_6"]', "close the same inputs"),
        ('local = ["di_5", "di_5"]\nremote = ["di_6"]', "names an input twice"),
        ('"hand auto" = ["di_5"]\nremote = ["di_6"]', "words of letters, digits, _ and -"),
        ('local = "di_5"\nremote = ["di_6"]', "a list of the inputs"),
    ],
)
def test_a_selector_that_is_none_is_refused_with_its_line(places: str, words: str) -> None:
    with pytest.raises(Refused) as refused:
        read_asset(f'format = 1\ntag = "E1"\n[selectors.station]\n{places}\n'.encode(), "asset.toml")
    (fault,) = refused.value.faults
    assert words in fault.what
    assert fault.line == 3


def test_a_selector_is_set_shown_and_taken_away_by_command(in_own_demo: Run) -> None:
    done = in_own_demo("asset", "set", "E1", "selectors.station=local:di_7 off: remote:di_2+di_8")
    assert done.code == 0, done.err
    shown = in_own_demo("asset", "show", "E1")
    assert "Selector station: local closes di_7; off closes nothing; remote closes di_2 and di_8" in shown.out
    assert (
        in_own_demo("asset", "show", "E1", "--format", "json").data["selectors"][0]["positions"]["off"] == []
    )
    assert in_own_demo("asset", "set", "E1", "selectors.station=").code == 0
    assert "Selector" not in in_own_demo("asset", "show", "E1").out


def test_a_selector_typed_wrong_changes_nothing(in_own_demo: Run) -> None:
    nameless = in_own_demo("asset", "set", "E1", "selectors.=local:di_7 off: remote:di_2")
    assert (nameless.code, "words of letters" in nameless.err) == (2, True)
    for typed in ("local", "local:di_5", "local:di_5 local:di_6", "local:di_5 remote:ai_1"):
        refused = in_own_demo("asset", "set", "E1", f"selectors.station={typed}")
        assert refused.code == 2, typed
        assert "selectors.station" in refused.err or "POSITION" in refused.err
    assert "Selector" not in in_own_demo("asset", "show", "E1").out
