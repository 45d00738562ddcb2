"""What `visit` prints: the drift by caution class, what was left with another value, and both diffs."""

from __future__ import annotations

from collections.abc import Iterator

from settingslint.history.found_left import DIFFERS, FIRST, SAME, Compared
from settingslint.history.visit import Visit
from settingslint.model.values import title_of
from settingslint.output.plain import plural, wrapped
from settingslint.plain import Plain, in_lines
from settingslint.vocabulary.cautions import CAUTIONS, FRAME
from settingslint.vocabulary.settings import SAFETY_CAUTIONS


def drift_text(visit: Visit, width: int) -> Plain:
    """Return what was found against what was recorded, by caution class, and what is left now."""
    profile = visit.plant.profile
    lines = [f"{profile.name}, {profile.site}: visit of {visit.on}", ""]
    lines += _found(visit, width)
    if visit.left:
        lines.append("Left")
        lines += [wrapped(one.said, width, "  ") for one in visit.left]
        lines.append("")
    lines += [wrapped(f"note: {remark}", width, "") for remark in visit.remarks]
    lines.append(wrapped(FRAME, width, ""))
    return in_lines(lines)


def _found(visit: Visit, width: int) -> Iterator[str]:
    counts = {state: sum(one.state == state for one in visit.compared) for state in (SAME, DIFFERS, FIRST)}
    total = len({**visit.plant.control.rows, **visit.plant.profile.settings})
    yield (
        f"{plural(len(visit.compared), 'setting')} read: {counts[SAME]} as recorded, {counts[DIFFERS]} not,"
        f" {counts[FIRST]} first record; {total - len(visit.compared)} not read"
    )
    yield ""
    classes = [name for name in CAUTIONS if name in SAFETY_CAUTIONS]
    classes += [name for name in CAUTIONS if name not in SAFETY_CAUTIONS]
    for name in classes:
        rows = [one for one in visit.compared if one.caution == name and (one.state != SAME or one.remark)]
        if not rows:
            continue
        caution = CAUTIONS[name]
        yield f"{caution.title}"
        for one in rows:
            yield wrapped(_row(one, visit), width, "  ")
        if any(one.state == DIFFERS for one in rows):
            yield wrapped(f"caution: {caution.long if name in SAFETY_CAUTIONS else caution.short}", width, "  ")
        yield ""


def _row(one: Compared, visit: Visit) -> str:
    row = visit.plant.row(one.name)
    label = f" ({row.label})" if row is not None and row.label and row.label != title_of(one.name) else ""
    more = f"; {one.remark}" if one.remark else ""
    return f"{title_of(one.name)}{label}: recorded as {one.last}, found at {one.found}{more}"


def plan_text(visit: Visit) -> Plain:
    """Return both messages and diffs, as they would be committed."""
    parts: list[str] = []
    for step in visit.steps:
        parts += [f"commit {step.label}:", *(f"    {line}" for line in step.message.splitlines()), ""]
    parts += visit.diff().split("\n")
    return in_lines(parts)
