"""What a check of many plants comes to: results, what is known of them already, how far it went, the exit status."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from settingslint.checking.audit import ASSUMED, CHECKED, DOES_NOT_APPLY, Result, unread_history
from settingslint.checking.weakening import Weakening
from settingslint.files.portfolio import Portfolio
from settingslint.model.values import Problem
from settingslint.rules.base import Finding, Severity
from settingslint.rules.rule import Rule

Key = tuple[str, str, str, str]
"""What identifies a finding in two revisions: site, plant, rule, and setting or fact."""


def key_of(result: Result, finding: Finding) -> Key:
    """Return what identifies a finding when lines move and numbers change."""
    return (result.site, result.plant, finding.rule, finding.at)


@dataclass(frozen=True, slots=True)
class Gone:
    """A plant that an earlier revision had and that is not there any more, with its open findings there."""

    file: str
    site: str
    plant: str
    findings: int


@dataclass(frozen=True, slots=True)
class Report:
    """All results of one check, in the order of their paths, and the files that could not be read."""

    portfolio: Portfolio
    results: tuple[Result, ...]
    problems: tuple[Problem, ...]
    rules: tuple[Rule, ...]
    known: frozenset[Key] | None = None
    """Findings that an earlier revision had already, by the names of today; None where none was named."""
    known_from: str = ""
    once_accepted: frozenset[Key] = frozenset()
    """Findings that the earlier revision had, all of them accepted there: open again, they are new."""
    gone: tuple[Gone, ...] = ()
    """Plants that the earlier revision had and that are gone: nothing of theirs is checked any more."""
    weakened: tuple[Weakening, ...] = ()
    """What the change since the earlier revision lets pass, worst first."""
    no_history: str = ""
    """Why rules that look into the history could not be checked, where that is so."""

    @property
    def history(self) -> str:
        """What is to be said of a history that can't be read, or an empty string."""
        if self.no_history:
            return f"Rules that look into the history were not checked: {self.no_history}."
        return unread_history(self.results)

    def is_known(self, result: Result, finding: Finding) -> bool:
        """Return whether the earlier revision had a finding already."""
        if self.known is None:
            return False
        key = key_of(result, finding)
        return key in self.known or (finding.accepted is not None and key in self.once_accepted)

    def exit_status(self, stop_at: Severity | None, weakening: bool = False) -> int:
        """Return 2 where a file could not be read, 1 for new findings at or above `stop_at` not accepted, else 0.

        With `weakening`, also 1 where anything was weakened. A question that only an answer decides is no finding yet.
        """
        if self.problems:
            return 2
        if weakening and self.weakened:
            return 1
        return int(
            stop_at is not None
            and any(
                finding.accepted is None
                and not finding.asks
                and finding.severity.at_least(stop_at)
                and not self.is_known(result, finding)
                for result in self.results
                for finding in result.findings
            )
        )


class Covered(NamedTuple):
    """How far some plants were checked: rules times plants."""

    checked: int
    assumed: int
    """Checked with something assumed for what nobody recorded."""
    not_checked: int
    not_applicable: int

    @property
    def words(self) -> str:
        """The four numbers in words."""
        rules = "1 rule" if self.checked == 1 else f"{self.checked:,} rules"
        return (
            f"{rules} checked, {self.assumed:,} checked with assumptions, {self.not_checked:,} not checked,"
            f" {self.not_applicable:,} do not apply"
        )


def covered(results: Iterable[Result]) -> Covered:
    """Return how far some plants were checked."""
    made = assumed = lacking = passed = 0
    for result in results:
        made += result.coverage.count(CHECKED)
        assumed += result.coverage.count(ASSUMED)
        lacking += len(result.not_checked)
        passed += result.coverage.count(DOES_NOT_APPLY)
    return Covered(made, assumed, lacking, passed)
