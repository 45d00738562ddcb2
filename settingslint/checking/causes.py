"""One cause, one finding: what several rules see of the same thing is said once, by the worst of them.

Rules, acceptances, exit status and what is new go by each finding; this is how findings are shown. The causes are data:
a rule belongs to one at most, and where its cause counts for one setting only, findings about others are others.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

from settingslint.model.profile import Acceptance
from settingslint.rules.base import Certainty, Finding


class Cause(NamedTuple):
    """What some rules have in common; the first of them speaks where several are equally bad and certain.

    With `at_one` only where they speak of the same setting or fact.
    """

    name: str
    rules: tuple[str, ...]
    at_one: bool = False


ACCEPTANCE: Final = "acceptance-expired"
"""It speaks of the finding that an acceptance had covered."""

CAUSES: Final = (
    Cause("supply too low", (
        "setpoint-below-emitter-need", "reset-line-below-emitter-need", "reset-endpoint-above-setpoint",
        "operating-limit-below-emitter-need",
    )),
    Cause("supply too hot", (
        "supply-above-emitter-limit", "hot-fixed-supply-on-condensing-boiler", "reset-line-far-above-need",
        "reset-off-unsaid", "new-system-above-supply-ceiling",
    )),
    Cause("shutdown temperature", (
        "warm-weather-shutdown-far-above-balance-point", "warm-weather-shutdown-below-balance-point",
        "temporary-change-overdue",
    ), at_one=True),
    Cause("firing changed", (
        "low-fire-below-makers", "high-fire-above-makers", "ignition-speed-not-makers", "fan-speed-order-broken",
        "firing-change-without-combustion-proof", "twins-not-alike", "role-not-entitled", "derate-in-ignored-band",
        "low-fire-raised",
    ), at_one=True),
    Cause("tank too cool", ("tank-below-hygiene-temperature", "cool-tank-without-hygiene-measure")),
    Cause("taps too hot", (
        "tap-too-hot", "mixing-valve-set-hot", "hot-tank-without-mixing-valve", "hot-plate-without-mixing-valve",
        "coil-in-boiler-without-mixing-valve", "hygiene-heat-up-without-mixing-valve",
    )),
    Cause("loop too cool", ("loop-return-too-cool", "loop-drops-too-far")),
    Cause("tank heats slowly", ("boiler-target-near-tank-target", "priority-limit-below-recovery")),
    Cause("value not taken", (
        "typed-in-other-unit", "value-not-taken-by-control", "typed-differs-from-read-back", "number-not-plausible",
    ), at_one=True),
    Cause("two leaders", ("two-leaders", "cascade-address-twice")),
    Cause("freezing", ("freeze-protection-off", "freeze-protection-misses-far-pipes")),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Headed:
    """The finding that speaks for a cause, and the others that see the same, the worst first."""

    finding: Finding
    related: tuple[Finding, ...] = ()


@cache
def _causes() -> dict[str, tuple[int, Cause, int]]:
    """Return for each rule the place of its cause, the cause, and the rule's place in it."""
    return {
        name: (number, cause, place)
        for number, cause in enumerate(CAUSES)
        for place, name in enumerate(cause.rules)
    }  # fmt: skip


_SURE: Final = {certainty: rank for rank, certainty in enumerate(Certainty)}


def _rank(finding: Finding) -> tuple[bool, bool, int, int, int, int]:
    _, _, place = _causes().get(finding.rule, (0, None, 0))
    asked = bool(finding.asks)  # of what an answer decides that speaks which rests on something recorded
    return (
        finding.rule == ACCEPTANCE,
        asked and finding.typed is None,
        finding.severity.rank,
        _SURE[finding.certainty],
        place,
        finding.line,
    )


def headed(findings: Iterable[Finding], accepted: Sequence[Acceptance] = ()) -> list[Headed]:
    """Return the findings of one plant by their causes, worst first; what is accepted stays apart from what is open.

    Args:
        findings: of one plant.
        accepted: what its profile accepts, in its order.
    """
    groups: dict[object, list[Finding]] = {}
    covered = {one.index: one for one in accepted}
    of_rule = {(one.rule, one.at): one for one in findings if one.rule != ACCEPTANCE}
    late: list[Finding] = []
    for finding in findings:
        if finding.rule == ACCEPTANCE and finding.accepted is None:
            late.append(finding)
            continue
        groups.setdefault(_key(finding), []).append(finding)
    for finding in late:
        groups.setdefault(_covered_by(finding, covered, of_rule) or id(finding), []).append(finding)
    made = []
    for own in groups.values():
        first, *others = sorted(own, key=_rank)
        made.append(Headed(first, tuple(others)))
    return sorted(made, key=lambda one: (one.finding.severity.rank, _SURE[one.finding.certainty], one.finding.line))


def _key(finding: Finding) -> object:
    if finding.asks:  # whatever the answer decides is one question
        return ("asked", finding.asks, finding.accepted is not None)
    found = _causes().get(finding.rule)
    if found is None:
        return id(finding)
    number, cause, _ = found
    return (number, finding.at if cause.at_one else "", finding.accepted is not None)


def _covered_by(
    late: Finding, covered: dict[int, Acceptance], of_rule: dict[tuple[str, str], Finding]
) -> object | None:
    """Return the group of the finding that an acceptance covered before it ended."""
    index = late.at.partition("[")[2].rstrip("]")
    one = covered.get(int(index)) if index.isdigit() else None
    if one is None:
        return None
    for (rule, at), finding in of_rule.items():
        if rule == one.rule and one.setting in (None, at):
            return _key(finding)
    return None
