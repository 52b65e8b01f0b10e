"""What other programs read of a check: SARIF and JUnit, held against what others publish.

- ``values/sarif-2.1.0-rtm.5.json`` is the published JSON schema of OASIS SARIF 2.1.0, as carried by the npm
  package ``@microsoft/jest-sarif`` (MIT), checked with the PyPI package ``jsonschema``
- PyPI ``sarif-pydantic`` holds typed models of SARIF 2.1.0, written by others
- PyPI ``junitparser`` reads JUnit XML in its commonly used form
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from junitparser import Failure, JUnitXml, Skipped
from sarif_pydantic import Sarif

SCHEMA = json.loads(
    Path(__file__).with_name("values").joinpath("sarif-2.1.0-rtm.5.json").read_text(encoding="utf-8-sig")
)
CASES = [
    ("check", "E1@found", "--on", "2026-09-02"),
    ("check", "--all", "--on", "2026-10-01"),
    ("check", "--all", "--on", "2026-09-02"),
    ("check", "E1@factory", "--on", "2026-09-02"),
]


@pytest.mark.parametrize("words", CASES, ids=" ".join)
def test_sarif_is_valid_by_the_published_schema_and_an_independent_model(
    demo: Any, words: tuple[str, ...]
) -> None:
    text = demo(*words, "--format", "sarif").out
    jsonschema.Draft4Validator(SCHEMA).validate(json.loads(text))
    Sarif.model_validate_json(text)


@pytest.mark.parametrize("words", CASES, ids=" ".join)
def test_all_forms_give_the_same_counts(demo: Any, words: tuple[str, ...]) -> None:
    counts = demo(*words, "--format", "json").data["counts"]
    run = demo(*words, "--format", "sarif").data["runs"][0]
    assert run["properties"]["counts"] == counts
    results = run["results"]
    assert sum(1 for one in results if one["kind"] == "open") == counts["cannot_tell"]
    assert sum(1 for one in results if "suppressions" in one) == counts["waived"] + counts["accepted"]
    unsuppressed = [one for one in results if one["kind"] == "fail" and "suppressions" not in one]
    assert len(unsuppressed) == counts["breached"]
    suites = JUnitXml.fromstring(demo(*words, "--format", "junit").out.encode())
    cases = [case for suite in suites for case in suite]
    assert len(cases) == sum(counts.values())
    assert sum(isinstance(one, Failure) for case in cases for one in case.result) == counts["breached"]
    skipped = sum(isinstance(one, Skipped) for case in cases for one in case.result)
    assert skipped == counts["cannot_tell"] + counts["not_applicable"]
    said = ", ".join(
        f"{counts[name]} {name.replace('_', ' ')}" for name in ("breached", "cannot_tell", "waived")
    )
    assert said in demo(*words).out
    assert said in demo(*words, "--format", "md").out.replace("\\", "")


def test_a_finding_points_at_the_line_of_its_value(demo: Any, built_demo: Path) -> None:
    run = demo("check", "E1@found", "--format", "sarif", "--on", "2026-09-02").data["runs"][0]
    lines = (built_demo / "assets/E1/as_found.toml").read_text(encoding="utf-8").splitlines()
    seen = {}
    for one in run["results"]:
        place = one["locations"][0].get("physicalLocation", {})
        if one["kind"] == "fail":
            assert place["artifactLocation"]["uri"] == "assets/E1/as_found.toml"
            seen[one["ruleId"]] = lines[place["region"]["startLine"] - 1]
    assert seen == {
        "bucket-elevator/41": "auto_reset_attempts = 5",
        "bucket-elevator/44": 'external_fault_reaction = "warning"',
        "bucket-elevator/45": "off_delay_s = 10.0",
        "every-drive/46": 'setting_lock = "open"',
    }


def test_only_rules_that_fired_are_listed_and_their_prints_are_stable(demo: Any) -> None:
    first, again = (demo("check", "E1@found", "--format", "sarif").data["runs"][0] for _ in range(2))
    listed = [rule["id"] for rule in first["tool"]["driver"]["rules"]]
    assert sorted({one["ruleId"] for one in first["results"]}) == listed
    for one in first["results"]:
        assert listed[one["ruleIndex"]] == one["ruleId"]
    prints = [one["partialFingerprints"] for one in first["results"]]
    assert prints == [one["partialFingerprints"] for one in again["results"]]
    assert len({json.dumps(one) for one in prints}) == len(prints)


def test_a_waived_breach_is_suppressed_with_its_waiver(demo: Any) -> None:
    run = demo("check", "C1", "--format", "sarif", "--on", "2026-10-01").data["runs"][0]
    (waived,) = [one for one in run["results"] if "suppressions" in one]
    assert waived["ruleId"] == "chain-conveyor/16"
    assert waived["suppressions"][0]["justification"] == (
        "Waived by W-01 until 31 March 2027, approved by H. Example: "
        "Enclosed chain conveyor: there is no belt to slip."
    )
