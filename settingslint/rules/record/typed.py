"""Rules of the record group about what was typed: read back, explained, and by whom."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from settingslint.model.effect import CANT_BE, Effect, same
from settingslint.model.values import Value, title_of
from settingslint.rules.base import DAMAGE, DANGER, LIKELY, RECORD, Drafts, Missing, Quantity, found
from settingslint.rules.entries import (
    ask_for_firing,
    cautions_of,
    few,
    licensed,
    safety,
    severity_of,
    shown_apart,
    told_on,
    typed_entries,
    visit_day,
)
from settingslint.rules.past import Change, Left, changes, open_change
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.settings import FIRING
from settingslint.vocabulary.sources import COMMON_PRACTICE, CONTROL_FILE

CAUTION: Final = ("record",)
ENTITLED: Final = ("gas-licensed technician", "maker")
"""Roles that may change firing and limits (common practice, no source; local law decides)."""


def _cant_be(effect: Effect | None) -> bool:
    """Return whether a value was read back that by the control file can't be: another rule says so."""
    return effect is not None and any(reason.kind == CANT_BE for reason in effect.reasons)


@rule(
    "not-read-back",
    severity=RECORD,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips='settings.tank_setpoint = { value = 145, on = 2026-10-07, why = "water-safety plan" }',
    passes='settings.tank_setpoint = { value = 145, on = 2026-10-06, why = "water-safety plan" }',
)
def not_read_back(plant: Plant) -> Drafts:
    """A safety setting was typed and not read back: what the control kept is not known.

    Read back at the setting, or all together at the visit, which says nothing of what was typed later. Classes: firing,
    limits, scalding, hygiene, freezing. What a control can't show again is passed over.
    """
    together, visited = plant.known("visit.read_back") is True, told_on(plant, "visit.read_back")
    open_ = []
    for name, entry in typed_entries(plant):
        row = plant.row(name)
        if not safety(name) or entry.read_back is not None or (row is not None and row.read_back == "not readable"):
            continue
        if not together or (entry.on is not None and (visited is None or entry.on > visited)):
            open_.append(name)
    if open_:
        yield found(
            open_[0],
            f"typed and not read back: {few(open_)}",
            {"settings": Quantity(float(len(open_)), Kind.COUNT)},
            "read them back after saving, best after a power cycle",
        )


@rule(
    "typed-differs-from-read-back",
    severity=RECORD,
    cautions=CAUTION,
    source=CONTROL_FILE,
    trips="settings.heating_setpoint = { value = 164, read_back = 163 }",
    passes="settings.heating_setpoint = { value = 164, read_back = 164 }",
)
def typed_differs_from_read_back(plant: Plant) -> Drafts:
    """The control reads back another value than was typed.

    Compared: read back, with what the control file says is kept of the typed value. Where that explains it, the finding
    says so; where it is only the control's step, there is none. A value that the control file rules out is the affair
    of `read-back-contradicts-control-file`.
    """
    for name, entry in typed_entries(plant):
        effect = plant.effects.get(name)
        if entry.read_back is None or same(entry.read_back, entry.typed) or _cant_be(effect):
            continue
        stored = effect.stored if effect is not None and not effect.contradicted else None
        read_back = plant.show(name, entry.read_back)
        kept = stored is not None and plant.show(name, stored) == read_back
        kinds = [one.kind for one in effect.reasons] if effect is not None and kept else []
        if kinds and set(kinds) == {"step"}:
            continue
        typed, back = shown_apart(plant, name, entry.typed, entry.read_back)
        why = f"explained by the control file ({kinds[0]})" if kinds else "not explained by the control file"
        yield found(
            name,
            f"{title_of(name)} typed {typed}, reads back {back}: {why}",
            {},
            "record what the control keeps, or type it again and save it as the control wants",
            severity=severity_of(name),
            cautions=cautions_of(name),
        )


@rule(
    "default-seen-differs",
    severity=DAMAGE,
    cautions=("record", "board"),
    source=CONTROL_FILE,
    trips='settings.heating_differential = { left = "default", value = 13 }',
    passes='settings.heating_differential = { left = "default", value = 12 }',
)
def default_seen_differs(plant: Plant) -> Drafts:
    """A setting is recorded as left at default, and the value seen is not the control file's default.

    Control file, size or revision are not the ones that are there. Seen: beside the word, or read back.
    """
    for name, entry in plant.entries.items():
        seen = entry.read_back if entry.typed is None else entry.typed
        if entry.left != "default" or seen is None or _cant_be(plant.effects.get(name)):
            continue
        default = plant.default_of(name)
        if default is None:
            yield Missing(name, f"the default of {title_of(name)} is not known for this size")
        elif not same(default, seen):
            yield found(
                name,
                f"{title_of(name)} at default reads {plant.show(name, seen)}, the control file has another",
                {},
                "check size, revision and control file before trusting any default",
            )


@rule(
    "reason-missing",
    severity=RECORD,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips="settings.tank_setpoint = { value = 146, on = 2026-10-20 }",
    passes=('settings.tank_setpoint = { value = 146, on = 2026-10-20, why = "water-safety plan, section 4" }'),
)
def reason_missing(plant: Plant) -> Drafts:
    """A safety setting was changed and no reason is recorded.

    A setting with a date of its own needs a reason of its own; the visit's reason will do where the dates are the same.
    """
    visited, why = visit_day(plant), plant.known("visit.why")
    for name, entry in typed_entries(plant):
        if entry.on is None or entry.why is not None or not safety(name):
            continue
        if entry.on == visited and why is not None:
            continue
        yield found(
            name,
            f"{title_of(name)} changed on {entry.on}, no reason recorded",
            {},
            "record why: the next crew undoes what nobody explains",
        )


@rule(
    "role-not-entitled",
    severity=DANGER,
    certainty=LIKELY,
    cautions=("firing", "limit", "law"),
    source=COMMON_PRACTICE,
    assumes=("the visit's role changed it", "local law decides who may"),
    trips='visit.role = "heating technician", settings.maximum_fan_speed = { value = 6000, on = 2026-10-06 }',
    passes='visit.role = "gas-licensed technician"',
)
def role_not_entitled(plant: Plant) -> Drafts:
    """A firing setting or a limit was changed by somebody who may not: a licensed gas technician or the maker may.

    Settings that carry the date of their visit, or that by the history were changed at it, against the role of that
    visit. It is cleared once the value is set back, or a person with the role typed it again, read it back, or proved
    combustion at high and low fire on a later visit.
    """
    role, visited = plant.known("visit.role"), plant.known("visit.on")
    states = plant.states() if plant.past is not None else []
    if not states and role in ENTITLED and visited is not None:
        return
    ask_for_firing(plant)
    open_ = []
    for name, entry in typed_entries(plant):
        if not licensed(name):
            continue
        default = plant.default_of(name)
        by = _typed_without_role(states, name, default)
        dated = (
            entry.on is not None and visited in (None, entry.on) and next(changes(states, name, default), None) is None
        )
        if dated and role is not None and role not in ENTITLED:
            by = entry.on, str(role), str(plant.known("visit.by") or "")
        if by is not None:
            day, who, person = by
            yield found(
                name,
                f"{title_of(name)} changed on {day} by {f'{person}, {who}' if person else who}",
                {},
                "have a licensed gas technician check it, with an analyser where it is firing",
            )
        elif not states and entry.on is None and not same(plant.default_of(name), entry.typed):
            open_.append(name)
    lacking = ["visit.role"] if role is None else ["visit.on"] if visited is None and open_ else []
    if lacking:
        yield Missing(lacking[0])
    elif open_:
        yield Missing("history", f"whether a {role} changed {few(open_)} is not recorded")


def _typed_without_role(
    states: Sequence[Left], name: str, default: Value | None
) -> tuple[Value | None, str, str] | None:
    """Return day, role and person of the newest change of a setting without the role for it that is not answered."""

    def confirmed(change: Change, state: Left) -> bool:
        if state.found or state.facts.get("visit.role") not in ENTITLED:
            return False
        read = state.read_back(name) and state.told_at_visit(name)
        typed = not same(state.held(name, default), change.new)
        days = {state.facts.get(f"combustion.{end}.on") for end in ("high", "low")}
        proved = name in FIRING and days == {state.facts.get("visit.on")} and state.on >= change.state.on
        return read or typed or proved

    change = open_change(states, name, default, lambda one: not one.state.found and _without_role(one.state), confirmed)
    if change is None:
        return None
    return change.state.on, str(change.state.facts["visit.role"]), change.state.by


def _without_role(state: Left) -> bool:
    role = state.facts.get("visit.role")
    return role is not None and role not in ENTITLED


@rule(
    "reading-marked-left-without-visit",
    severity=DANGER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    certainty=LIKELY,
    assumes="values read back were read at the boiler",
    trips="settings.heating_setpoint = { value = 164, read_back = 164, on = 2026-10-07 }",
    passes="settings.heating_setpoint = { value = 164, read_back = 164, on = 2026-10-06 }",
)
def reading_marked_left_without_visit(plant: Plant) -> Drafts:
    """Values are marked as read back, and no visit is recorded: was somebody at the boiler?"""
    visited = visit_day(plant)
    marked = [(name, entry.on) for name, entry in typed_entries(plant) if entry.read_back is not None]
    names = [name for name, on in marked if visited is None or (on is not None and on > visited)]
    if visited is None and plant.known("visit.read_back") is True:
        names.append("visit.read_back")
    if names:
        when = f"after the last visit ({visited})" if visited is not None else "with no visit recorded"
        yield found(
            names[0],
            f"read back {when}: {few(names)}",
            {"settings": Quantity(float(len(names)), Kind.COUNT)},
            "record the visit, or mark the value as typed and not read back",
        )


RULES: Final[tuple[Rule, ...]] = (
    not_read_back,
    typed_differs_from_read_back,
    default_seen_differs,
    reason_missing,
    role_not_entitled,
    reading_marked_left_without_visit,
)
