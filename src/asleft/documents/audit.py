"""The answer to ``audit``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from asleft.documents import behaviour, broken, joined
from asleft.documents.blocks import BLANK, Block, Line, Sheet, count, rows, section
from asleft.documents.diff import change_data
from asleft.documents.finding import finding_data, findings
from asleft.jobs.auditing import Audit, Row, Step
from asleft.jobs.naming import words_of
from asleft.jobs.record import Recorded
from asleft.jobs.temporary import Temporary, words
from asleft.record.days import plain_date
from asleft.record.findings import Finding


def blocks(result: Audit) -> Sheet:
    """The worst first, then a row an asset, then each visit."""
    return (
        *broken.lines(result.broken, "audited"),
        Line(headline(result), "alarm" if result.fails else "good"),
        Line(_next(result)),
        Line(f"{count(len(result.rows), 'drive')}, {_since(result)}, as of {plain_date(result.on)}."),
        BLANK,
        *rows(
            (
                "asset",
                "unrecorded",
                "recorded",
                "rules they breached",
                "breached at the last",
                "last read",
                "age",
            ),
            (_cells(row) for row in result.rows),
        ),
        *(block for row in result.rows for block in _visits(row)),
        *section("Not judged", broken.left_out(result.left_out)),
    )


def _since(result: Audit) -> str:
    return f"since {result.since}" if result.since else "over the whole record"


def headline(result: Audit) -> str:
    """What matters most."""
    unsettled = (text for row in result.rows for text in joined.short(row.asset.tag, row.unsettled))
    return " ".join([_changed(result), *_overdue(result), *unsettled])


def _overdue(result: Audit) -> Iterator[str]:
    """Temporary changes past their end, the longest overdue first."""
    over = [one for row in result.rows for one in row.temporary if one.overdue]
    if over:
        worst = max(over, key=lambda one: one.overdue)
        number = count(len(over), "temporary change is", "temporary changes are")
        most = "" if len(over) == 1 else "the longest "
        yield f"{number} overdue, {most}by {count(worst.overdue, 'day')} at {worst.asset}."


def _changed(result: Audit) -> str:
    unrecorded = [row for row in result.rows if row.count(recorded=False)]
    if unrecorded:
        return " ".join([_unrecorded(unrecorded), *_breached(result)])
    standing = ", ".join(row.asset.tag for row in result.rows if any(one.fails for one in row.now))
    rules = f"a rule is breached at {standing}" if standing else "no rule is breached"
    untold = [row.asset.tag for row in result.rows if row.is_untold]
    if len(untold) == len(result.rows):
        return f"Cannot tell what changed, and {rules}."
    but = f" (cannot tell at {', '.join(untold)})" if untold else ""
    return f"Nothing changed without a record{but}, and {rules}."


def _unrecorded(found: list[Row]) -> str:
    row = max(found, key=lambda one: (len(one.unrecorded_breaches), one.count(recorded=False)))
    total = sum(one.count(recorded=False) for one in found)
    where = row.asset.tag if len(found) == 1 else f"{len(found)} drives, most at {row.asset.tag}"
    rules = [finding.rule for one in found for finding in one.unrecorded_breaches]
    steps = [step for one in found for step in one.steps if not step.recorded]
    harmless = sum(step.harmless for step in steps)
    unknown = sum(len(step.comparison.native) for step in steps)
    who = "it" if total == 1 else "they"
    parts = [f"{who} breached {_rules(rules) if rules else 'no rule'}"]
    if rules and harmless:
        parts.append(f"{harmless} breached none")
    if unknown:
        parts.append(f"{count(unknown, 'has', 'have')} no meaning in the trade's terms")
    made = f"{count(total, 'change was', 'changes were')} made without a record{_put_back(found, total)}"
    return f"{where}: {made}; {'; '.join(parts)}."


def _put_back(found: list[Row], total: int) -> str:
    """What has become of them, where a later reading can tell."""
    if all(row.newest and not row.steps[-1].recorded for row in found):
        return ""
    standing = sum(len(row.standing) for row in found)
    if standing:
        return f", of which {count(standing, 'setting stands', 'settings stand')} otherwise than before"
    return " and put back since" if total == 1 else ", all put back since"


def _breached(result: Audit) -> Iterator[str]:
    """What the last readings breach, drive by drive."""
    told = [
        f"{row.asset.tag} {_rules([one.rule for one in row.now if one.fails])}"
        for row in result.rows
        if any(one.fails for one in row.now)
    ]
    if told:
        yield f"Breached at the last reading: {', '.join(told)}."


def _rules(numbers: list[str]) -> str:
    return f"{'rule' if len(numbers) == 1 else 'rules'} {', '.join(dict.fromkeys(numbers))}"


def _next(result: Audit) -> str:
    open_rows = [row for row in result.rows if row.newest and row.newest.reading.kind == "as_found"]
    standing = [row for row in result.rows if any(one.fails for one in row.now)]
    if standing:
        names = (row.asset.tag + ("@found" if row in open_rows else "") for row in standing)
        return f"Put right what is breached: asleft check {' '.join(names)}"
    if open_rows:
        tags = ", ".join(row.asset.tag for row in open_rows)
        return f"Finish the visit: put right, read again and record as left ({tags})."
    if changed := [row for row in result.rows if row.standing]:
        tags = ", ".join(row.asset.tag for row in changed)
        return (
            f"No rule is breached. Ask who made the changes and why; put back or record what stays ({tags})."
        )
    if result.fails:
        return "All is put back as left; find out who made the changes, and why they were needed."
    untold = [row for row in result.rows if row.is_untold]
    if untold:
        return f"{untold[0].asset.tag}: {untold[0].note}."
    doubted = [row.asset.tag for row in result.rows if any(one.differ for one in row.unsettled)]
    if doubted:
        return f"Read the drive again, to be sure what stands ({', '.join(doubted)})."
    return "Nothing to do."


def _cells(row: Row) -> tuple[str, ...]:
    return (
        row.asset.tag,
        str(row.count(recorded=False)),
        str(row.count(recorded=True)),
        ", ".join(finding.rule for finding in row.unrecorded_breaches) or "-",
        ", ".join(finding.rule for finding in row.now) or "-",
        words_of(row.newest) if row.newest else row.note,
        "-" if row.age is None else count(row.age, "day"),
    )


def _visits(row: Row) -> Iterator[Block]:
    changed = [step for step in row.steps if step.told or step.comparison.native or step.comparison.not_read]
    if not changed and not row.now and not row.note and not (row.lost or row.apart or row.temporary):
        return
    yield BLANK
    yield Line(f"{row.asset.tag} {row.asset.designation}".rstrip(), "head")
    if row.note:
        yield Line(f"{row.note[0].upper()}{row.note[1:]}.", depth=1)
    yield from broken.passed_over(row.lost, 1)
    yield from joined.lines(row.apart, 1)
    yield from map(_temporary, row.temporary)
    for step in changed:
        yield from _step(step)
    if row.now:
        found = row.newest is not None and row.newest.reading.kind == "as_found"
        yield Line(f"Breached as {'found' if found else 'left'}:", "alarm", 1)
        yield from findings(row.now)


def _temporary(one: Temporary) -> Line:
    text = f"Temporary change until {plain_date(one.until)}: {words(one)}"
    return Line(text, "alarm" if one.overdue else "", 1)


def _step(step: Step) -> Iterator[Block]:
    kind = "with a record" if step.recorded else "WITHOUT A RECORD"
    number = count(len(step.told), "change", "changes")
    yield Line(
        f"{number} {kind}, between {words_of(step.before)} and {words_of(step.after)}.",
        "" if step.recorded else "alarm",
        1,
    )
    yield Line(_whose(step), depth=1)
    for one, found in zip(step.told, step.breaches, strict=True):
        breach = f" Breaches {_rules([finding.rule for finding in found])}." if found else ""
        if not found and not step.recorded:
            breach = " Breaches no rule."
        yield Line(f"{one.words}{breach}", depth=2)
        yield from (Line(effect, depth=3) for effect in one.effects)
    yield from behaviour.lines(step.behaviour)
    if step.comparison.native:
        yield Line(f"Without a meaning here: {', '.join(step.comparison.native)}.", depth=2)
    if step.comparison.not_read:
        yield Line(
            f"Not read on one side: {count(len(step.comparison.not_read), 'entry', 'entries')}.", depth=2
        )


def _whose(step: Step) -> str:
    if not step.recorded:
        return f"Found by {step.after.reading.by}; who made them, when and why is not recorded."
    reading = step.after.reading
    order = f", work order {reading.work_order}" if reading.work_order else ""
    said = f"By {reading.by}: {reading.reason or 'no reason recorded'}{order}."
    return f"{said} {step.note[0].upper()}{step.note[1:]}." if step.note else said


def data(result: Audit) -> dict[str, Any]:
    """The answer for machines."""
    return {
        "on": result.on.isoformat(),
        "since": result.since or None,
        "headline": headline(result),
        "broken": broken.data(result.broken),
        "left_out": broken.data(result.left_out),
        "assets": [_row_data(row) for row in result.rows],
    }


def _row_data(row: Row) -> dict[str, Any]:
    unrecorded = row.count(recorded=False)
    return {
        "asset": row.asset.tag,
        "unrecorded": unrecorded,
        "recorded": row.count(recorded=True),
        "breached_by_unrecorded": [finding.rule for finding in row.unrecorded_breaches],
        "without_breach": sum(step.harmless for step in row.steps if not step.recorded),
        "changes": [
            {**change_data(one), "recorded": step.recorded, "rules": _numbers(found), **_between(step)}
            for step in row.steps
            for one, found in zip(step.told, step.breaches, strict=True)
        ],
        "behaviour": [
            {**one, "to": _reading_data(step.after)}
            for step in row.steps
            for one in behaviour.data(step.behaviour)
        ],
        "not_read": sum(len(step.comparison.not_read) for step in row.steps),
        "breached_now": [finding_data(finding) for finding in row.now],
        "newest": _reading_data(row.newest) if row.newest else None,
        "age_days": row.age,
        "note": row.note,
        "recorded_apart": joined.data(row.apart),
        "temporary": [_temporary_data(one) for one in row.temporary],
        "cannot_read": [broken.fault_data(fault) for fault in row.lost],
    }


def _temporary_data(one: Temporary) -> dict[str, Any]:
    return {
        "until": one.until.isoformat(),
        "overdue_days": one.overdue,
        "state": one.state,
        "keys": list(one.keys),
        "left_over": one.left_over,
        "plan": _reading_data(one.plan),
        "words": words(one),
    }


def _numbers(found: tuple[Finding, ...]) -> list[str]:
    return [finding.rule for finding in found]


def _between(step: Step) -> dict[str, Any]:
    return {"from": _reading_data(step.before), "to": _reading_data(step.after), "note": step.note}


def _reading_data(one: Recorded) -> dict[str, Any]:
    reading = one.reading
    return {
        "kind": reading.kind,
        "at": reading.at.isoformat(),
        "by": reading.by,
        "occasion": reading.occasion,
        "reason": reading.reason,
        "work_order": reading.work_order,
        "commit": one.commit,
    }
