"""Findings as JUnit XML in its commonly used form: a suite an asset, a case a rule.

Breached is a failure; what cannot be told or does not apply is skipped, with its reason; met, waived and
accepted pass, the last two with a word; an asset that could not be judged is an error. Counts by result stand
in each suite's properties.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree as Xml

from asleft.jobs.checking import Check
from asleft.jobs.record import Broken
from asleft.record.findings import Finding, tally

_NOT_XML = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def render(result: Check) -> str:
    """The whole document."""
    root = Xml.Element("testsuites", name="asleft check")
    by_asset: dict[str, list[Finding]] = {}
    for one in result.findings:
        by_asset.setdefault(one.asset, []).append(one)
    for asset in sorted(by_asset):
        _suite(root, asset, by_asset[asset], result.on.isoformat())
    for broken in result.broken:
        _error(root, broken, result.on.isoformat())
    for name in ("tests", "failures", "errors", "skipped"):
        root.set(name, str(sum(int(suite.get(name, "0")) for suite in root)))
    Xml.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + Xml.tostring(root, encoding="unicode") + "\n"


def _suite(root: Xml.Element, asset: str, found: list[Finding], on: str) -> None:
    skipped = sum(1 for one in found if one.result in ("cannot_tell", "not_applicable"))
    suite = Xml.SubElement(
        root,
        "testsuite",
        name=asset,
        tests=str(len(found)),
        failures=str(sum(1 for one in found if one.fails)),
        errors="0",
        skipped=str(skipped),
        time="0",
        timestamp=f"{on}T00:00:00",
    )
    properties = Xml.SubElement(suite, "properties")
    for name, number in tally(found).items():
        Xml.SubElement(properties, "property", name=name, value=str(number))
    for one in found:
        _case(suite, one)


def _error(root: Xml.Element, broken: Broken, on: str) -> None:
    """An asset that could not be judged: one case in error, so that no reader takes it for passed."""
    suite = Xml.SubElement(
        root,
        "testsuite",
        name=broken.asset,
        tests="1",
        failures="0",
        errors="1",
        skipped="0",
        time="0",
        timestamp=f"{on}T00:00:00",
    )
    case = Xml.SubElement(suite, "testcase", classname=broken.asset, name="can be judged", time="0")
    text = _text("\n".join(str(fault) for fault in broken.faults))
    Xml.SubElement(case, "error", message=text.split("\n", 1)[0], type="unreadable").text = text


def _case(suite: Xml.Element, one: Finding) -> None:
    name = _text(f"rule {one.rule}: {one.text}")
    case = Xml.SubElement(suite, "testcase", classname=f"{one.asset}.{one.spec}", name=name, time="0")
    words = _text(one.words or one.text)
    if one.fails:
        failure = Xml.SubElement(case, "failure", message=words, type=one.severity)
        failure.text = _text("\n".join(filter(None, (words, one.set_to, *one.notes))))
    elif one.result in ("cannot_tell", "not_applicable"):
        Xml.SubElement(case, "skipped", message=_text(f"{one.result.replace('_', ' ')}: {words}"))
    elif one.waiver or one.accepted:
        held = (
            f"waived by {one.waiver} {one.waived}".rstrip(".") if one.waiver else f"accepted: {one.accepted}"
        )
        Xml.SubElement(case, "system-out").text = _text(f"{held}. {words}")


def _text(text: str) -> str:
    return _NOT_XML.sub("?", text)
