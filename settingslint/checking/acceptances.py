"""What the owner says of a finding: another severity, and that somebody has accepted it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from settingslint.rules.base import Draft, Severity, worse
from settingslint.rules.plant import Plant
from settingslint.rules.record.acceptance import LONGEST, why_not
from settingslint.rules.rule import Rule


def with_owner_severity(draft: Draft, rule: Rule, severities: Mapping[str, Severity]) -> Draft:
    """Return a draft with its severity: the owner's where there is one, and then with the tool's beside it."""
    own = draft.severity or rule.severity
    severity = severities.get(rule.name, own)
    return replace(draft, severity=severity, tool_severity=None if severity is own else own)


def acceptance_of(draft: Draft, rule: Rule, plant: Plant) -> tuple[Mapping[str, str] | None, str]:
    """Return because, by and until of the acceptance that holds for a finding, or None and why none holds for a danger.

    A finding that the tool or the owner takes for a danger is accepted as a danger.
    """
    severity = draft.severity or rule.severity
    danger = worse(severity, draft.tool_severity or severity) is Severity.DANGER
    longest = plant.context.thresholds.get(LONGEST.name, LONGEST.value)
    first = ""
    for one in plant.profile.accepted:
        if one.rule != rule.name or one.setting not in (None, draft.at):
            continue
        why = why_not(one, danger, plant.as_of, longest)
        if not why:
            until = one.until.isoformat() if one.until else ""
            return {"because": one.because or "", "by": one.by or "", "until": until}, ""
        if danger:
            first = first or why
    return None, first
