"""Judging a drive by its specs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fnmatch import fnmatchcase

from asleft.record.findings import Finding, Result, Waiver
from asleft.spec.rules import Outcome, Rule, Spec, sentence
from asleft.spec.setting import how_to_set
from asleft.spec.subject import Subject, View
from asleft.spec.waivers import cover

_WEIGHT: tuple[Result, ...] = ("breached", "cannot_tell", "met", "not_applicable")


def judge(
    specs: Iterable[Spec],
    subject: Subject,
    others: Mapping[str, Subject],
    waivers: Sequence[Waiver],
    on: date,
) -> tuple[Finding, ...]:
    """One finding a rule, in the order of the specs.

    ``others`` holds the site's drives by tag, ``on`` is the day in the site's time zone. A waiver turns a
    breach it covers into ``waived``; one that does not cover says so in the finding's notes.
    """
    view = View(subject, others, on)
    findings = [judge_rule(rule, view) for spec in specs for rule in spec.rules]
    return tuple(cover(finding, waivers, view) for finding in findings)


def judge_rule(rule: Rule, view: View) -> Finding:
    """What one rule says, waivers left aside."""
    outcomes = _outcomes(rule, view)
    result = _weightiest(outcomes)
    deciding = [one for one in outcomes if one.result == result]
    breached = result == "breached"
    targets = {key: value for one in deciding for key, value in one.targets.items()}
    targets = targets if breached and not rule.do else {}
    return Finding(
        rule=rule.id,
        spec=rule.spec,
        asset=view.asset.tag,
        result=result,
        severity=rule.severity,
        text=rule.text,
        keys=tuple(dict.fromkeys(key for one in deciding for key in one.keys)),
        values={key: value for one in deciding for key, value in one.values.items()},
        found=_joined(one.found for one in deciding),
        required=_joined(one.required for one in deciding),
        words=_words(deciding, rule.reason if breached else ""),
        set_to=(sentence(rule.do) or how_to_set(deciding, targets, view)) if breached else "",
        targets=targets,
        because=rule.reason,
        source=rule.source,
        owner=rule.owner,
        revision=rule.revision,
        notes=_notes(outcomes, deciding, breached),
    )


def _outcomes(rule: Rule, view: View) -> list[Outcome]:
    if rule.body is None:
        what = "; ".join(rule.blanks) or "it could not be read"
        return [Outcome("cannot_tell", words=f"The rule is left to fill in: {what}.")]
    other_type = _other_type(rule, view)
    if other_type is not None:
        return [other_type]
    unsure = ""
    for condition in rule.when:
        answer = condition.holds(view)
        if answer is False:
            return [Outcome("not_applicable", words=sentence(f"it applies where {condition.aloud()}"))]
        unsure = unsure or (answer if isinstance(answer, str) else "")
    if unsure:
        return [Outcome("cannot_tell", words=f"It cannot be told whether the rule applies: {unsure}.")]
    return list(rule.body.judge(view))


def _other_type(rule: Rule, view: View) -> Outcome | None:
    """The outcome of a rule for another machine type.

    Where the slot itself names the spec, one of the two is wrong, and silence would pass for a clean check.
    """
    own = view.asset.application
    if rule.application == "any" or not own or fnmatchcase(own, rule.application):
        return None
    words = f"the rule is for {_plain(rule.application)}, and this is {_plain(own)}"
    if rule.spec in view.asset.specs and not rule.own_application:
        return Outcome(
            "cannot_tell", words=sentence(f"{words}, yet the slot names the spec: mend one of the two")
        )
    return Outcome("not_applicable", words=sentence(words))


def _plain(application: str) -> str:
    return application.replace("*", "").replace("_", " ").strip()


def _weightiest(outcomes: Sequence[Outcome]) -> Result:
    found = {one.result for one in outcomes}
    return next((result for result in _WEIGHT if result in found), "not_applicable")


def _joined(parts: Iterable[str]) -> str:
    return "; ".join(dict.fromkeys(part for part in parts if part))


def _words(deciding: Sequence[Outcome], reason: str) -> str:
    said = dict.fromkeys(one.words for one in deciding if one.words)
    return " ".join([*said, *([sentence(reason)] if reason else [])])


def _notes(outcomes: Sequence[Outcome], deciding: Sequence[Outcome], breached: bool) -> tuple[str, ...]:
    """How far the result goes, and what of a breached rule cannot be told besides."""
    own = tuple(dict.fromkeys(note for one in deciding for note in one.notes))
    untold = [one.words for one in outcomes if one.result == "cannot_tell" and one.words]
    return own + (tuple(f"Besides: {words}" for words in untold) if breached else ())
