"""The gate refuses a push that takes a rule, or a breach out of a rule's reach, unless another person approved.

The demo's drive D1 stands with a breach of rule 49 of every-drive once its waiver has run out.
"""

from __future__ import annotations

import io
import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.cli.test_gate import own_demo, push, pushed, server
from tests.conftest import Ran, run_in

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the sample hooks are shell scripts")
__all__ = ["own_demo", "pushed", "server"]

APPROVAL = (
    '\n[approval."{name}"]\nspec = "{spec}"\nrule = "{rule}"\nreason = "Invented."\n'
    'asked_by = "R. Example"\napproved_by = "{by}"\non = 2026-11-20\n'
)


@pytest.fixture
def site(own_demo: Path, server: Path) -> Path:
    """A site whose record the server holds already, with its standing breach."""
    hook = server / "hooks" / "pre-receive"
    hook.chmod(0o644)
    assert push(own_demo).returncode == 0
    hook.chmod(0o755)
    return own_demo


@pytest.fixture
def judged(site: Path, server: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[], Ran]:
    """What the hook says of the site's newest commit, asked in this process once the server has it."""

    def ask() -> Ran:
        fetch = ["git", "fetch", "-q", str(site), "+main:refs/keep/tried"]
        subprocess.run(fetch, cwd=server, check=True)
        ends = [
            subprocess.run(
                ["git", "rev-parse", name], cwd=server, check=True, capture_output=True, text=True
            ).stdout.strip()
            for name in ("main", "refs/keep/tried")
        ]
        line = f"{ends[0]} {ends[1]} refs/heads/main\n".encode()
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(line)))
        return run_in(server, "gate")

    return ask


def rewrite(path: Path, change: Callable[[str], str]) -> None:
    text = path.read_text(encoding="utf-8")
    changed = change(text)
    assert changed != text
    path.write_text(changed, encoding="utf-8", newline="\n")


def commit(site: Path) -> None:
    subprocess.run(["git", "add", "-A", "specs", "assets", "waivers.toml", "site.toml"], cwd=site, check=True)
    subprocess.run(["git", "commit", "-qm", "By hand"], cwd=site, check=True)


def without_rule(rule: str) -> Callable[[str], str]:
    def change(text: str) -> str:
        parts = text.split("\n[rule.")
        kept = [part for part in parts if not part.startswith((f"{rule}]", f"{rule}."))]
        return "\n[rule.".join(kept)

    return change


def drop_rule(site: Path) -> None:
    rewrite(site / "specs/bucket-elevator.toml", without_rule("41"))
    commit(site)


def approve(site: Path, name: str, spec: str, rule: str, by: str = "H. Example") -> None:
    rewrite(
        site / "waivers.toml", lambda text: text + APPROVAL.format(name=name, spec=spec, rule=rule, by=by)
    )
    commit(site)


def read_d1(site: Path, change: Callable[[str], str]) -> None:
    """Record a whole reading of D1, as last left but for one change."""
    source = site.parent / "d1.toml"
    source.write_bytes((site / "assets/D1/as_left.toml").read_bytes())
    rewrite(source, change)
    words = ("--reading", "as-left", "--occasion", "service", "--by", "T. Example")
    done = run_in(site, "snapshot", "D1", "--from", str(source), *words)
    assert done.code == 0, done.err


def ease_49(site: Path) -> None:
    asked = '"supply.power_dip_ride_through" = "off"\n'
    rewrite(site / "specs/every-drive.toml", lambda text: text.replace(asked, ""))
    commit(site)


def lose_the_value(site: Path) -> None:
    read_d1(site, lambda text: text.replace('power_dip_ride_through = "coast_and_catch"\n', ""))


def ask_another_application(site: Path) -> None:
    place = '[rule.49]\nkind = "exact"\n'
    rewrite(
        site / "specs/every-drive.toml",
        lambda text: text.replace(place, place + 'application = "bucket_elevator"\n'),
    )
    commit(site)


def drop_the_spec(site: Path) -> None:
    done = run_in(site, "asset", "set", "D1", "specs=dust-fan", "--by", "T. Example")
    assert done.code == 0, done.err


def remove_the_slot(site: Path) -> None:
    (site / "assets/D1/asset.toml").unlink()
    commit(site)


def switch_off_built_in(site: Path) -> None:
    rewrite(site / "site.toml", lambda text: text + 'built_in_off = ["nameplate"]\n')
    commit(site)


LOST = [
    (drop_rule, "rule 41 of bucket-elevator went: No fault is reset automatically."),
    (ease_49, "it counts as met now, though nobody changed the drive"),
    (lose_the_value, "it cannot be told any more"),
    (ask_another_application, "it does not apply any more"),
    (drop_the_spec, "D1 names the spec every-drive no more (assets/D1/asset.toml)"),
    (remove_the_slot, "D1 is no slot any more, and was not retired"),
    (switch_off_built_in, "the built-in rule nameplate is switched off"),
]


@pytest.mark.parametrize(
    ("change", "words"), LOST, ids=[f"{one.__name__}-{n}" for n, (one, _) in enumerate(LOST)]
)
def test_what_went_is_named_and_refused(
    site: Path, judged: Callable[[], Ran], change: Callable[[Path], None], words: str
) -> None:
    change(site)
    refused = judged()
    assert refused.code == 1, refused.out
    assert "the push is refused: " in refused.out
    assert words in refused.out
    assert '[approval."A-01"]' in refused.out


APPROVED = [
    (drop_rule, "bucket-elevator", "41"),
    (ease_49, "every-drive", "49"),
    (lose_the_value, "every-drive", "49"),
]


@pytest.mark.parametrize(("change", "spec", "rule"), APPROVED, ids=[one.__name__ for one, *_ in APPROVED])
def test_what_another_person_approved_in_the_same_push_is_taken(
    site: Path, judged: Callable[[], Ran], change: Callable[[Path], None], spec: str, rule: str
) -> None:
    change(site)
    approve(site, "A-01", spec, rule)
    taken = judged()
    assert taken.code == 0, taken.out
    assert "A-01" not in run_in(site, "check", "--all").out
    listed = f"A-01: rule {rule} of {spec}, asked by R. Example, approved by H. Example on 20 November 2026"
    assert listed in run_in(site, "waivers").out
    (told,) = run_in(site, "waivers", "--format", "json").data["approvals"]
    assert (told["id"], told["rule"], told["spec"]) == ("A-01", rule, spec)


def test_nobody_approves_for_oneself_nor_once_and_for_all(site: Path) -> None:
    drop_rule(site)
    approve(site, "A-01", "bucket-elevator", "41", by="r.  example")
    own = push(site)
    assert own.returncode == 1
    assert "approval A-01: asked_by and approved_by are the same person" in own.stderr
    rewrite(site / "waivers.toml", lambda text: text.replace("r.  example", "H. Example"))
    commit(site)
    assert push(site).returncode == 0
    subprocess.run(["git", "revert", "--no-edit", "HEAD~2"], cwd=site, check=True, capture_output=True)
    assert push(site).returncode == 0
    drop_rule(site)
    again = push(site)
    assert again.returncode == 1
    assert "rule 41 of bucket-elevator went" in again.stderr


def test_a_breach_put_right_at_the_drive_is_taken(site: Path, judged: Callable[[], Ran]) -> None:
    read_d1(
        site,
        lambda text: text.replace(
            'power_dip_ride_through = "coast_and_catch"', 'power_dip_ride_through = "off"'
        ),
    )
    taken = judged()
    assert taken.code == 0, taken.out


def test_a_breach_and_the_rule_that_lets_it_pass_in_one_push_are_refused(
    site: Path, judged: Callable[[], Ran]
) -> None:
    """Read with a breach of a rule that is eased in the same push, so that it never stood as breached."""
    source = site.parent / "e1.toml"
    source.write_bytes((site / "assets/E1/as_left.toml").read_bytes())
    rewrite(source, lambda text: text.replace("auto_reset_attempts = 0", "auto_reset_attempts = 1"))
    words = ("--reading", "as-left", "--occasion", "service", "--by", "T. Example")
    assert run_in(site, "snapshot", "E1", "--from", str(source), *words).code == 0
    eased = (
        'key = "recovery.auto_reset_attempts"\nvalue = 0',
        'key = "recovery.auto_reset_attempts"\nvalue = 1',
    )
    rewrite(site / "specs/bucket-elevator.toml", lambda text: text.replace(*eased))
    commit(site)
    refused = judged()
    assert refused.code == 1, refused.out
    assert "E1 breaches rule 41 of bucket-elevator" in refused.out


def test_a_spec_may_grow_and_be_worded_anew(site: Path, judged: Callable[[], Ran]) -> None:
    rewrite(
        site / "specs/bucket-elevator.toml",
        lambda text: (
            text.replace("No fault is reset automatically.", "Nothing resets a fault by itself.")
            + '\n[rule.99]\nkind = "exact"\nkey = "access.setting_lock"\nvalue = "locked"\nif_absent = "met"\n'
            'text = "The settings are locked."\nreason = "Invented."\nseverity = "low"\n'
            'application = "chain_conveyor"\n'
        ),
    )
    commit(site)
    taken = judged()
    assert taken.code == 0, taken.out
