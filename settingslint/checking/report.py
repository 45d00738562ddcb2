"""What a check of many plants comes to: results, what is known of them already, what is missing, the exit status."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from settingslint.checking.audit import Result, unread_history
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

        With `weakening`, also 1 where anything was weakened.
        """
        if self.problems:
            return 2
        if weakening and self.weakened:
            return 1
        return int(
            stop_at is not None
            and any(
                finding.accepted is None and finding.severity.at_least(stop_at) and not self.is_known(result, finding)
                for result in self.results
                for finding in result.findings
            )
        )


def unlocks(results: Iterable[Result]) -> list[tuple[str, int, int]]:
    """Return what is missing, as (name, checks it holds up, plants), those that unlock most first."""
    checks: Counter[str] = Counter()
    plants: Counter[str] = Counter()
    for result in results:
        names = [_without_index(name) for lack in result.not_checked for name in lack.needs]
        checks.update(names)
        plants.update(set(names))
    return sorted(((name, count, plants[name]) for name, count in checks.items()), key=lambda item: (-item[1], item[0]))


@cache
def _without_index(name: str) -> str:
    head, bracket, rest = name.partition("[")
    return head + rest.partition("]")[2] if bracket else name
