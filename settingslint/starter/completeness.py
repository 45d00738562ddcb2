"""A control file looked at alone: what it does not say, where it contradicts itself, and what nobody can prove."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from settingslint.files.names import shown
from settingslint.model.control import Control, Row
from settingslint.model.control_file import control_from
from settingslint.model.effect import same
from settingslint.model.source import Path_, Source, parse, read_bytes
from settingslint.model.validate import check_schema
from settingslint.model.values import NUMERIC, Problem, title_of
from settingslint.rules.base import Severity
from settingslint.starter.questions import BY_STYLE, USUAL
from settingslint.units import Kind
from settingslint.vocabulary.settings import SETTINGS

LACKS: Final = "control-lacks"
CONTRADICTS: Final = "control-contradicts-itself"
UNPROVED: Final = "control-without-evidence"
SEVERITIES: Final = {LACKS: Severity.RECORD, CONTRADICTS: Severity.OUTAGE, UNPROVED: Severity.RECORD}
"""What is contradictory makes wrong what people rely on; what is missing is only not checked."""

HEAD: Final = {
    "complete": "whether every setting that it has is listed",
    "save": "what saves what was typed",
    "entry_order": "in which order it wants the settings",
    "revisions": "against which revisions this was checked",
    "freeze_active_in": "in which modes its freeze protection works",
    "freeze_overrides_priority": "whether freeze protection goes before hot water",
    "shared_target": "whether one target serves heating and hot water",
    "rate_limits_hot_water": "whether the heating rate limit limits hot water too",
    "compensates_elevation": "whether it adapts to elevation by itself",
}
"""Keys of `[control]` that rules and papers ask for, and what they say."""
ASSUMED: Final = {"access": "installer", "lost_on": "never lost", "read_back": "not known"}
"""Keys of a setting that are taken for this where nothing is said."""


@dataclass(frozen=True, slots=True, order=True)
class Doubt:
    """One thing that a control file lacks, contradicts or can't prove, with its place; `rule` is one of the three."""

    line: int
    column: int
    rule: str
    message: str

    @property
    def severity(self) -> Severity:
        """How much it weighs against `--stop-at`."""
        return SEVERITIES[self.rule]


def doubts_of(path: Path) -> list[Doubt]:
    """Return the doubts about a control file, by line.

    Raises:
        Unreadable: where it is no valid control file, or contradicts itself so that it can't be used.
    """
    name = shown(path)
    source = parse(read_bytes(path, name), name)
    check_schema(source, "control")
    control = control_from(source)
    found = [_doubt(source.problem(at, text), rule) for rule, at, text in _all(control, source, path)]
    return sorted(set(found))


def _doubt(place: Problem, rule: str) -> Doubt:
    return Doubt(place.line, place.column, rule, place.message)


Found = Iterator[tuple[str, Path_, str]]


def _all(control: Control, source: Source, path: Path) -> Found:
    head: Mapping[str, Any] = source.data["control"]
    lacking = [f"{key} ({says})" for key, says in HEAD.items() if key not in head]
    if lacking:
        yield LACKS, ("control",), f"the control: not said: {', '.join(lacking)}"
    if control.name != path.stem:
        yield (
            CONTRADICTS,
            ("control", "name"),
            f"the name is {control.name} and the file is {path.name}: profiles use the name of the file",
        )
    for key, taken in ASSUMED.items():
        silent = [name for name, raw in source.data["setting"].items() if key not in raw]
        if silent:
            text = f"{key} is not said, so it counts as {taken}: {', '.join(silent)}"
            yield LACKS, ("setting",), text
    yield from _settings(control)
    yield from _style(control)
    for row in control.rows.values():
        raw = source.data["setting"][row.name]
        for rule, at, text in _row(control, row, raw):
            yield rule, ("setting", row.name, *at), f"{row.name}: {text}"
    yield from _labels(control)


def _settings(control: Control) -> Found:
    absent = [name for name in USUAL if name not in control.rows]
    if control.complete and "heating_setpoint" in absent:
        yield CONTRADICTS, ("control", "complete"), "complete = true, and it has no heating set point"
    if absent and not control.complete:
        text = f"not said whether it has: {', '.join(absent)}; describe them, or write complete = true"
        yield LACKS, ("setting",), text
    if "heating_overshoot" not in control.rows and "control.overshoot" not in control.stated:
        yield LACKS, ("control",), "the control: not said: overshoot (how far above the set point the burner stops)"
    outside = [name for name in control.rows if name not in control.entry_order]
    if control.entry_order and outside:
        yield LACKS, ("control", "entry_order"), f"the order of entry leaves out {', '.join(outside)}"


def _style(control: Control) -> Found:
    own = BY_STYLE[control.reset_style]
    absent = [name for name in own if name not in control.rows and name != "reset_shift"]
    if absent:
        text = f"reset is set by {control.reset_style}, and these are not described: {', '.join(absent)}"
        yield LACKS, ("control", "reset_style"), text
    others = {name for style, names in BY_STYLE.items() if style != control.reset_style for name in names} - set(own)
    if control.reset_style == "one number":
        others -= {"reset_cold_outdoor"}
        if "control.cold_anchor" not in control.stated and "reset_cold_outdoor" not in control.rows:
            yield LACKS, ("control", "reset_style"), "not said: cold_anchor (where a line of one number is hottest)"
    elif "control.cold_anchor" in control.stated:
        text = f"cold_anchor belongs to a line of one number; reset is set by {control.reset_style}"
        yield CONTRADICTS, ("control", "cold_anchor"), text
    for name in sorted(others & set(control.rows)):
        text = f"{name} belongs to another way of setting reset than {control.reset_style}"
        yield CONTRADICTS, ("setting", name), text
    if control.reset_style == "none" and "reset" in control.rows:
        yield CONTRADICTS, ("setting", "reset"), "reset can be switched on, and reset_style says that there is no reset"


def _row(control: Control, row: Row, raw: Mapping[str, Any]) -> Found:
    kind = SETTINGS[row.name].kind
    lacking = [key for key in ("label", "treatments") if key not in raw]
    if kind in NUMERIC and row.access != "factory":
        lacking += [key for key in ("range", "step") if key not in raw]
        if "range" in raw:
            lacking += [f"range.{key}" for key in ("low", "high", "outside") if key not in raw["range"]]
    if kind in (Kind.FAN_SPEED, Kind.PERCENT) and "unit" not in raw:
        lacking.append("unit")
    if "default" not in raw:
        lacking.append("default")
    elif row.default_by_size:
        lacking += [f"default.{size}" for size in control.sizes if size not in row.default_by_size]
    if lacking:
        yield LACKS, (), f"not said: {', '.join(lacking)}"
    if row.access == "factory" and "default" not in raw:
        yield LACKS, ("access",), "only the factory sets it, and its value is not said: it stays unknown"
    for index, item in enumerate(row.treatments or ()):
        if item.does == "ignore" and item.becomes is None:
            yield LACKS, ("treatments", index), "what it runs at instead of the ignored band is not said"
    yield from _steps(row)
    where, how = raw.get("evidence", {}).get("where"), raw.get("evidence", {}).get("how")
    if not where:
        yield UNPROVED, (), "not said how any of this is known (evidence)"
    elif how == "told":
        yield UNPROVED, ("evidence",), "only told by somebody: try it, or read it"


def _steps(row: Row) -> Found:
    """Yield what is not on a step, counted from the low end of the range."""
    if row.step is None or row.low is None:
        return
    values = {
        "range.high": row.high,
        "default": row.default,
        **{f"default.{k}": v for k, v in row.default_by_size.items()},
    }
    special = [item.equals for item in row.treatments or () if item.does == "off when"]
    for name, value in values.items():
        if not isinstance(value, float) or any(same(value, one) for one in special):
            continue
        count = (value - row.low) / row.step
        if abs(count - round(count)) > 1e-3:
            at: Path_ = tuple(name.split("."))
            yield (
                CONTRADICTS,
                at,
                f"{title_of(row.name)}: {name} is not on a step, counted from the low end of the range",
            )


def _labels(control: Control) -> Found:
    first: dict[tuple[str, str], str] = {}
    for row in control.rows.values():
        if not row.label:
            continue
        other = first.setdefault((row.label, row.menu), row.name)
        if other != row.name:
            yield CONTRADICTS, ("setting", row.name, "label"), f"{row.name} has the same label and place as {other}"
