"""When an acceptance holds, and rules about those that do not, or that cover nothing. They are asked last."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from settingslint.model.profile import Acceptance
from settingslint.plain import hidden
from settingslint.rules.base import DANGER, RECORD, Draft, Finding, Severity, Threshold, found
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

LONGEST: Final = Threshold(
    "longest_days", 366.0, Kind.COUNT, COMMON_PRACTICE, "days from the date of the check that an acceptance may last",
    1.0, 731.0, "common practice, no source: risks are looked at every year, every second at most", looser="up",
)  # fmt: skip
"""Set in `[acceptance]` of portfolio.toml. Without it only the acceptance of a danger has to end in that time."""
_LETTERS: Final = {"Lo": 2, "Lu": 1, "Ll": 1, "Lt": 1}
"""What letters count for, by the general category of Unicode: of those without capitals one may be a word, else two."""
ACCEPTANCE: Final = "acceptance"
"""The scope of these rules."""


def has_words(text: str | None) -> bool:
    """Return whether there is a word in a text: blanks, signs and what can't be seen are none.

    >>> has_words("P. Larsen"), has_words(" \u200b."), has_words("x")
    (True, False, False)
    """
    letters = (letter for letter in unicodedata.normalize("NFKC", text or "") if not hidden(letter))
    return sum(_LETTERS.get(unicodedata.category(letter), 0) for letter in letters) >= 2


def why_not(one: Acceptance, danger: bool, as_of: date, longest: float) -> str:
    """Return why an acceptance does not hold, in words that follow it, or an empty string where it holds.

    Args:
        one: the acceptance.
        danger: whether it is of a danger, which needs a reason, a name, its setting and an end in time.
        as_of: the date on which it is judged.
        longest: days from then that an acceptance of a danger lasts at most.
    """
    if one.until is not None and one.until < as_of:
        return f"ended on {one.until}"
    if not danger:
        return ""
    texts = {"because": one.because, "by": one.by}
    lacking = [f"{name} (no word in it)" if text else name for name, text in texts.items() if not has_words(text)]
    if one.until is None:
        lacking.append("until")
    if one.setting is None:
        lacking.append("setting")
    if one.until is not None and not lacking and (one.until - as_of).days > longest:
        return f"ends on {one.until}, a danger is accepted for at most {longest:g} days"
    return f"lacks {' and '.join(lacking)}" if lacking else ""


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
    longest: float | None = None

    def meant(self, one: Acceptance) -> list[Finding]:
        """Return the findings that an acceptance speaks of."""
        return [f for f in self.findings if f.rule == one.rule and one.setting in (None, f.at)]

    def of_danger(self, one: Acceptance) -> bool:
        """Return whether an acceptance speaks of a danger, whatever the owner has lowered it to."""
        return any(f.gravest is Severity.DANGER for f in self.meant(one))


def _ended(one: Acceptance, case: Accepted) -> bool:
    return one.until is not None and one.until < case.as_of


@rule(
    "acceptance-expired",
    severity=RECORD,
    cautions=("record",),
    source=ARITHMETIC,
    scope=ACCEPTANCE,
)
def acceptance_expired(case: Accepted) -> Iterator[Draft]:
    """An acceptance has ended: what it covered counts again.

    Its end date is before the date of the check, and the finding is still there. As severe as the finding.
    """
    for one in case.acceptances:
        meant = case.meant(one)
        if meant and _ended(one, case):
            worst = min((f.severity for f in meant), key=lambda severity: severity.rank)
            who = f"by {one.by}" if one.by else "(no name recorded)"
            yield found(
                f"accepted[{one.index}]",
                f"acceptance of {one.rule} {who} ended on {one.until}",
                {},
                "clear the finding, or have it accepted again with a reason and an end",
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
            yield found(f"accepted[{one.index}]", f"there is no rule {one.rule}", {}, "correct the name or delete it")
        elif not case.meant(one) and one.rule not in case.not_checked:
            yield found(
                f"accepted[{one.index}]",
                f"acceptance of {one.rule} covers nothing: no such finding",
                {},
                "delete it, so that it does not hide the finding when it comes back",
            )


@rule(
    "acceptance-of-danger-incomplete",
    severity=DANGER,
    cautions=("record",),
    source=COMMON_PRACTICE,
    scope=ACCEPTANCE,
)
def acceptance_of_danger_incomplete(case: Accepted) -> Iterator[Draft]:
    """A danger was accepted without a reason, a name, an end within a year or the setting: it does not count.

    A danger needs rule, setting (or fact), because, by and until, with words in because and by. Without the setting it
    would cover whatever else the rule finds at that boiler, later too. It ends within 366 days of the check, or
    as many as the owner allows: `[acceptance] longest_days` of portfolio.toml, 1 to 731.
    """
    for one in case.acceptances:
        why = why_not(one, True, case.as_of, LONGEST.value if case.longest is None else case.longest)
        if why and not _ended(one, case) and case.of_danger(one):
            yield found(
                f"accepted[{one.index}]",
                f"acceptance of {one.rule} {why}",
                {},
                "record of which setting or fact, why, who and until when; or clear the finding",
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
        if case.of_danger(one):  # then it does not hold, which is told elsewhere
            continue
        ends = f"ends on {one.until}" if one.until is not None else "has no end"
        yield found(
            f"accepted[{one.index}]",
            f"acceptance of {one.rule} {ends}, the owner allows {case.longest:g} days",
            {},
            "give it an earlier end, and decide again then",
        )


RULES: Final[tuple[Rule, ...]] = (
    acceptance_expired,
    acceptance_unused,
    acceptance_of_danger_incomplete,
    acceptance_too_long,
)
