"""What a rule is: metadata, the facts it needs, and one function that yields what it found.

A rule sees a `Plant` of effective values and facts, never a file, a clock or git. A fact that is missing is answered
by the mechanism (`settingslint.checking.audit`), not by the rule: the accessors of `Plant` raise `Missing`.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from settingslint.model.values import Value
from settingslint.rules.base import Certainty, Draft, Missing, Severity, Threshold
from settingslint.rules.plant import Plant
from settingslint.rules.summary import Plants, Summary

PlantCheck = Callable[[Plant], Iterable[Draft | Missing]]
GroupCheck = Callable[[Plants], Iterable[tuple[Summary, Draft | Missing]]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. `scope` is `plant`, or for rules about several plants `group`, `site` or `portfolio`.

    A rule of scope `acceptance` looks, after all others, at what a profile accepts and at what was found.

    `only_if` names facts or settings and the values with which the rule applies at all, `applies` says it by code;
    `needs` is what must be known after that.
    """

    name: str
    severity: Severity
    certainty: Certainty
    needs: tuple[str, ...]
    only_if: Mapping[str, tuple[Value, ...]]
    cautions: tuple[str, ...]
    source: tuple[str, ...]
    assumes: tuple[str, ...]
    thresholds: tuple[Threshold, ...]
    scope: str
    applies: Callable[[Plant], bool] | None
    trips: str
    passes: str
    history: tuple[str, str]
    check: Callable[[Any], Iterable[Any]]

    @property
    def doc(self) -> str:
        """The rule's documentation: what it looks for, and the formula."""
        return inspect.cleandoc(self.check.__doc__ or "")

    @property
    def group(self) -> str:
        """The folder of rules that it is in."""
        return self.check.__module__.rpartition(".")[0].rpartition(".")[2]

    @property
    def title(self) -> str:
        """The first line of the documentation."""
        return self.doc.partition("\n")[0]


def rule(
    name: str,
    *,
    severity: Severity,
    certainty: Certainty = Certainty.PROVEN,
    needs: Sequence[str] = (),
    only_if: Mapping[str, Sequence[Value]] | None = None,
    cautions: Sequence[str],
    source: str | Sequence[str],
    assumes: str | Sequence[str] = (),
    thresholds: Sequence[Threshold] = (),
    scope: str = "plant",
    applies: Callable[[Plant], bool] | None = None,
    trips: str = "",
    passes: str = "",
    history: tuple[str, str] = ("", ""),
) -> Callable[[Callable[[Any], Iterable[Any]]], Rule]:
    """Make a function a rule; its docstring is the user's documentation.

    Args:
        name: words joined by hyphens, of the trade.
        severity: worst credible outcome.
        certainty: what can be said at best.
        needs: settings and facts that must be known, else the rule is not checked.
        only_if: names and the values with which the rule applies at all.
        cautions: classes of `settingslint.vocabulary.cautions`.
        source: where the threshold or formula comes from.
        assumes: for a likely finding, what it assumes, each in words that end "(assumes ...)".
        thresholds: numbers of habit that an owner can set.
        scope: plant, group, site, portfolio or acceptance.
        applies: says of a plant whether the rule applies at all, where that takes more than `only_if`: a thing that is
            switched off needs no facts.
        trips: changes to a correctly set plant that trip the rule, TOML, as in an inline table.
        passes: what of them is different, or added, in an example that passes.
        history: of what history each example speaks, where a file alone can't show it.
    """
    sources, assumed = ((one,) if isinstance(one, str) else tuple(one) for one in (source, assumes))
    values_of = {key: tuple(values) for key, values in (only_if or {}).items()}

    def make(check: Callable[[Any], Iterable[Any]]) -> Rule:
        return Rule(
            name, severity, certainty, tuple(needs), values_of, tuple(cautions), sources, assumed,
            tuple(thresholds), scope, applies, trips, passes, history, check,
        )  # fmt: skip

    return make
