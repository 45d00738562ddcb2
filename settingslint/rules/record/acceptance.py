"""Rules about acceptances: expired, unused, incomplete, or of a rule that does not exist. They are asked last."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from settingslint.model.profile import Acceptance
from settingslint.rules.base import DANGER, RECORD, Draft, Finding, Severity, found
from settingslint.rules.rule import Rule, rule
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

ACCEPTANCE: Final = "acceptance"
"""The scope of these rules."""


@dataclass(frozen=True, slots=True)
class Accepted:
    """What a profile accepts, what was found, the date, the names of all rules and of those that were not checked.

    `longest` is how many days the owner allows an acceptance to last from the date of the check.
    """

    acceptances: tuple[Acceptance, ...]
    findings: tuple[Finding, ...]
    as_of: date
    rules: frozenset[str]
    not_checked: frozenset[str] = frozenset()
    longest: int | None = None

    def meant(self, one: Acceptance) -> list[Finding]:
        """Return the findings that an acceptance speaks of."""
        return [f for f in self.findings if f.rule == one.rule and one.setting in (None, f.at)]


@rule(
    "acceptance-expired",
    severity=RECORD,
    cautions=("record",),
    source=ARITHMETIC,
    scope=ACCEPTANCE,
)
def acceptance_expired(case: Accepted) -> Iterator[Draft]:
    """An acceptance is past its end: what it covered counts again.

    Its end date is before the date of the check, and the finding is still there. As severe as the finding.
    """
    for one in case.acceptances:
        meant = case.meant(one)
        if meant and one.until is not None and one.until < case.as_of:
            worst = min((f.severity for f in meant), key=lambda severity: severity.rank)
            yield found(
                f"accepted[{one.index}]",
                f"the acceptance of {one.rule} by {one.by or 'nobody named'} ended on {one.until}: it counts again",
                {},
                "mend what was accepted, or have it accepted anew with a reason and an end",
                severity=worst,
            )


@rule(
    "acceptance-unused",
    severity=RECORD,
    cautions=("record",),
    source=ARITHMETIC,
    scope=ACCEPTANCE,
)
def acceptance_unused(case: Accepted) -> Iterator[Draft]:
    """An acceptance covers nothing: its finding is gone, or its rule is not one of these.

    It would hide the finding, should it come back. Nothing is said where the rule was not checked.
    """
    for one in case.acceptances:
        if one.rule not in case.rules:
            yield found(f"accepted[{one.index}]", f"there is no rule {one.rule}", {}, "mend the name or take it out")
        elif not case.meant(one) and one.rule not in case.not_checked:
            yield found(
                f"accepted[{one.index}]",
                f"{one.rule} finds nothing here: the acceptance covers nothing",
                {},
                "take it out, so that it does not hide the finding when it comes back",
            )


@rule(
    "acceptance-of-danger-incomplete",
    severity=DANGER,
    cautions=("record",),
    source=COMMON_PRACTICE,
    scope=ACCEPTANCE,
)
def acceptance_of_danger_incomplete(case: Accepted) -> Iterator[Draft]:
    """A danger was accepted without a reason, a name or an end: it does not count.

    A danger needs rule, because, by and until.
    """
    for one in case.acceptances:
        lacking = [
            name for name, value in (("because", one.because), ("by", one.by), ("until", one.until)) if not value
        ]
        if lacking and any(f.severity is Severity.DANGER for f in case.meant(one)):
            yield found(
                f"accepted[{one.index}]",
                f"the acceptance of {one.rule} lacks {' and '.join(lacking)}: it does not count for a danger",
                {},
                "say why, who and until when; or mend it",
            )


@rule(
    "acceptance-too-long",
    severity=RECORD,
    cautions=("record",),
    source="the owner's portfolio file",
    scope=ACCEPTANCE,
)
def acceptance_too_long(case: Accepted) -> Iterator[Draft]:
    """An acceptance has no end, or ends later than the owner allows.

    The portfolio file may say how many days from the date of the check an acceptance lasts at most.
    """
    for one in case.acceptances:
        if case.longest is None or (one.until is not None and (one.until - case.as_of).days <= case.longest):
            continue
        ends = f"ends on {one.until}" if one.until is not None else "has no end"
        yield found(
            f"accepted[{one.index}]",
            f"the acceptance of {one.rule} {ends}; the owner allows {case.longest} days",
            {},
            "give it an earlier end, and look again then",
        )


RULES: Final[tuple[Rule, ...]] = (
    acceptance_expired,
    acceptance_unused,
    acceptance_of_danger_incomplete,
    acceptance_too_long,
)
