"""Specs, waivers and acceptances, as a person reads them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from asleft.documents.blocks import BLANK, Block, Line, Sheet, count, rows, section
from asleft.jobs.ruling import Accepted, Examined, Standing, Waived, WaiverRow
from asleft.record.days import plain_date
from asleft.spec import Remark, Rule, SpecFile, read_aloud
from asleft.spec.approvals import Approval


def list_blocks(own: tuple[SpecFile, ...], ready: tuple[SpecFile, ...]) -> Sheet:
    """The site's specs, and those to start from."""
    return (
        Line(f"{count(len(own), 'spec')} of this site, {len(ready)} ready to copy.", "head"),
        Line("Copy one to start from: asleft spec copy NAME. Fill in its blanks, then: asleft spec check"),
        *section("Of this site", _spec_rows(own)),
        *section("Ready to copy", _spec_rows(ready)),
    )


def _spec_rows(files: Iterable[SpecFile]) -> list[Block]:
    return rows(
        ("name", "title", "for", "rules", "left to fill in", "revision"),
        (
            (
                file.spec.name,
                file.spec.title,
                _machines(file.spec.application),
                str(len(file.spec.rules)),
                str(sum(1 for rule in file.spec.rules if rule.blanks)),
                file.spec.revision,
            )
            for file in files
        ),
    )


def _machines(application: str) -> str:
    """``every centrifuge`` for ``*centrifuge``."""
    plain = application.replace("*", " ").replace("_", " ").strip()
    return f"every {plain}" if "*" in application else plain


def list_data(own: tuple[SpecFile, ...], ready: tuple[SpecFile, ...]) -> dict[str, Any]:
    """The list for machines."""
    return {"site": [_spec_data(file) for file in own], "ready": [_spec_data(file) for file in ready]}


def _spec_data(file: SpecFile) -> dict[str, Any]:
    spec = file.spec
    return {
        "name": spec.name,
        "title": spec.title,
        "application": spec.application,
        "revision": spec.revision,
        "rules": [_rule_data(rule) for rule in spec.rules],
    }


def _rule_data(rule: Rule) -> dict[str, Any]:
    return {"id": rule.id, "aloud": read_aloud(rule), "severity": rule.severity, "source": rule.source}


def aloud_data(rules: Iterable[Rule]) -> dict[str, Any]:
    """Rules for machines."""
    return {
        "rules": [
            {
                **_rule_data(rule),
                "spec": rule.spec,
                "text": rule.text,
                "because": rule.reason,
                "owner": rule.owner,
                "proved_by": rule.proved_by,
            }
            for rule in rules
        ]
    }


def check_blocks(examined: tuple[Examined, ...]) -> Sheet:
    """What is to be said of each spec, worst first."""
    failing = [one for one in examined if one.fails]
    total = sum(len(one.remarks) for one in examined)
    if failing:
        names = ", ".join(one.file.spec.name for one in failing)
        first = Line(f"{count(len(failing), 'spec')} cannot be used as it stands: {names}.", "alarm")
    else:
        first = Line(f"{count(len(examined), 'spec')} can be used; {count(total, 'remark')}.", "good")
    body: list[Block] = []
    for one in examined:
        body += section(
            f"{one.file.spec.name}: {_counted(one)}",
            _remarks(one),
        )
    return (first, Line("Mend it in the file named." if total else "Nothing to do."), *body)


def _counted(one: Examined) -> str:
    return f"{count(len(one.file.spec.rules), 'rule')}, {count(len(one.remarks), 'remark')}"


def _remarks(one: Examined) -> Iterator[Block]:
    for remark in one.remarks:
        place = f"{remark.where}, line {remark.line}: " if remark.line else ""
        yield Line(f"{place}{remark.words}", "alarm" if one.fails else "", 1)
    if not one.remarks:
        yield Line("Nothing to say against it.", depth=1)


def check_data(examined: tuple[Examined, ...]) -> dict[str, Any]:
    """What is to be said, for machines."""
    return {
        "specs": [
            {
                "name": one.file.spec.name,
                "usable": not one.fails,
                "remarks": [_remark_data(remark) for remark in one.remarks],
            }
            for one in examined
        ]
    }


def _remark_data(remark: Remark) -> dict[str, Any]:
    return {
        "about": remark.about,
        "rule": remark.rule or None,
        "where": remark.where,
        "line": remark.line,
        "words": remark.words,
    }


def aloud_blocks(rules: Iterable[Rule]) -> Sheet:
    """Rules read aloud."""
    lines: list[Block] = []
    for rule in rules:
        lines += [Line(f"Rule {rule.id} of {rule.spec} ({rule.severity}): {rule.text}", "head")]
        lines.append(Line(read_aloud(rule), depth=1))
        lines += [
            Line(f"Source: {rule.source or 'none given'}. Owner: {rule.owner or 'nobody named'}.", "dim", 1)
        ]
        if rule.proved_by:
            lines.append(Line(f"Proved by: {rule.proved_by}", depth=1))
        lines.append(BLANK)
    return tuple(lines)


def waived_blocks(result: Waived) -> Sheet:
    """A waiver as recorded."""
    if result.commit is None:
        return (Line(f"{result.waiver}: nothing recorded (dry run)."),)
    return (
        Line(f"{result.waiver} is recorded as {result.commit[:10]}.", "good"),
        Line("It covers only the range, drives and days it names. See: asleft waivers"),
    )


_HEAD = ("waiver", "rule", "assets", "until", "covers", "approved by", "why")


def waivers_blocks(standing: Standing) -> Sheet:
    """All waivers, those that need somebody first; then the approvals."""
    gone = section("Rules that another person let go", map(_approved, standing.approvals))
    if not standing.waivers:
        return (Line("The site has no waivers."), *gone)
    noted = [row for row in standing.waivers if row.notes]
    rows_ = standing.waivers
    return (
        Line(
            f"{count(len(rows_), 'waiver')}; {len(noted)} {'needs' if len(noted) == 1 else 'need'} somebody."
            if noted
            else f"{count(len(rows_), 'waiver')}, all in force and used.",
            "warn" if noted else "good",
        ),
        *(Line(note.words, "warn", 1) for row in noted for note in row.notes),
        BLANK,
        *rows(_HEAD, (_cells(row) for row in rows_)),
        *gone,
    )


def _approved(one: Approval) -> Line:
    rule = f"rule {one.rule}" if one.rule else "every rule"
    where = f" of {one.spec}" if one.spec else ""
    drives = f" at {', '.join(one.assets)}" if one.assets else ""
    who = f"asked by {one.asked_by}, approved by {one.approved_by} on {plain_date(one.on)}"
    return Line(f"{one.id}: {rule}{where}{drives}, {who}: {one.reason}", depth=1)


def _cells(row: WaiverRow) -> tuple[str, ...]:
    one = row.waiver
    end = plain_date(one.until) if one.until else one.until_event or "no end"
    return (
        one.id,
        one.rule,
        ", ".join(one.assets),
        end,
        ", ".join(row.covers) or "nothing",
        one.approved_by or "nobody",
        one.reason,
    )


def waivers_data(standing: Standing) -> dict[str, Any]:
    """All waivers and approvals for machines."""
    return {
        "waivers": [
            {
                "id": row.waiver.id,
                "rule": row.waiver.rule,
                "assets": list(row.waiver.assets),
                "from": row.waiver.start.isoformat() if row.waiver.start else None,
                "until": row.waiver.until.isoformat() if row.waiver.until else None,
                "until_event": row.waiver.until_event or None,
                "reason": row.waiver.reason,
                "compensating": row.waiver.compensating,
                "asked_by": row.waiver.asked_by,
                "approved_by": row.waiver.approved_by,
                "stays_with_slot": row.waiver.stays_with_slot,
                "covers": list(row.covers),
                "notes": [note.words for note in row.notes],
            }
            for row in standing.waivers
        ],
        "approvals": [
            {
                "id": one.id,
                "rule": one.rule or None,
                "spec": one.spec or None,
                "assets": list(one.assets),
                "reason": one.reason,
                "asked_by": one.asked_by,
                "approved_by": one.approved_by,
                "on": one.on.isoformat(),
            }
            for one in standing.approvals
        ],
    }


def accepted_blocks(result: Accepted) -> Sheet:
    """What was accepted."""
    number = count(len(result.acceptances), "breach", "breaches")
    state = f"recorded as {result.commit[:10]}" if result.commit else "nothing recorded (dry run)"
    until = plain_date(result.acceptances[0].until)
    return (
        Line(f"{number} accepted as they stand until {until}: {state}.", "warn"),
        Line("Each is counted in every answer, and is a breach again where its value changes or time ends."),
        *(Line(f"{one.asset} rule {one.rule}: {one.found}", depth=1) for one in result.acceptances),
    )
