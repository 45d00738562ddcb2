"""Rules of the record group about values that are there for a time only."""

from __future__ import annotations

from typing import Final

from settingslint.model.bounds import FIRED
from settingslint.model.effect import PROVISIONAL, TOLERANCE, UNKNOWN
from settingslint.model.values import title_of
from settingslint.rules.base import (
    OUTAGE,
    RECORD,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Threshold,
    found,
    restored,
)
from settingslint.rules.entries import cautions_of, licensed, severity_of, visit_day
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

WARN_SHARE: Final = Threshold(
    "temporary_warning_share", 0.8, Kind.RATIO, COMMON_PRACTICE,
    "share of a temporary value's time after which to warn",
    0.3, 0.95, "common practice, no source: a warning comes before the end, with time to act", looser="up",
)  # fmt: skip


@rule(
    "temporary-change-overdue",
    severity=OUTAGE,
    cautions=("temporary",),
    source=ARITHMETIC,
    trips="settings.heating_setpoint = { value = 170, until = 2026-11-24, then = 164 }",
    passes="settings.heating_setpoint = { value = 170, until = 2026-11-25, then = 164 }",
)
def temporary_change_overdue(plant: Plant) -> Drafts:
    """A temporary value is past its end and still set.

    Its end date is before the date of the check. No control sets it back by itself.
    """
    for name, entry in plant.entries.items():
        if entry.until is None or entry.until >= plant.as_of:
            continue
        days = (plant.as_of - entry.until).days
        watch = f" (watched by {entry.watched_by})" if entry.watched_by else ""
        if licensed(name):
            remedy = Remedy(restored(name))
        elif entry.then is not None:
            back = plant.show(name, entry.then)
            remedy = Remedy(f"set it back to {back}, or renew it with a reason", {name: entry.then})
        else:
            remedy = Remedy("find out what it was before and set that, or renew it with a reason")
        yield found(
            name,
            f"{title_of(name)} {plant.show(name, entry.typed)} was to end on {entry.until},"
            f" {days:,} day{'s' if days > 1 else ''} ago{watch}",
            {"days over": Quantity(float(days), Kind.COUNT)},
            remedy,
            severity=severity_of(name),
            cautions=cautions_of(name),
        )


@rule(
    "temporary-change-ends-soon",
    severity=RECORD,
    cautions=("temporary",),
    source=COMMON_PRACTICE,
    thresholds=(WARN_SHARE,),
    trips="settings.heating_setpoint = { value = 166, on = 2026-11-05, until = 2026-11-29, then = 164 }",
    passes="settings.heating_setpoint = { value = 166, on = 2026-11-05, until = 2026-11-30, then = 164 }",
)
def temporary_change_ends_soon(plant: Plant) -> Drafts:
    """A temporary value ends soon.

    From the date it was typed, else that of the visit, to its end: more than 0.8 are over.
    """
    for name, entry in plant.entries.items():
        if entry.until is None or entry.until < plant.as_of:
            continue
        began = entry.on or visit_day(plant)
        if began is None:
            yield Missing("visit.on", f"{title_of(name)} is temporary, and the day it was typed is not recorded")
            continue
        whole, gone = (entry.until - began).days, (plant.as_of - began).days
        if gone > whole * plant.threshold(WARN_SHARE) + TOLERANCE:
            yield found(
                name,
                f"{title_of(name)} {plant.show(name, entry.typed)} is temporary and ends on {entry.until}",
                {"days left": Quantity(float(whole - gone), Kind.COUNT)},
                "plan who sets it back",
            )


@rule(
    "temporary-change-without-return",
    severity=RECORD,
    cautions=("temporary",),
    source=COMMON_PRACTICE,
    trips="settings.heating_setpoint = { value = 166, until = 2026-12-20, then = 164 }",
    passes=(
        'settings.heating_setpoint = { value = 166, until = 2026-12-20, then = 164, watched_by = "duty engineer" }'
    ),
)
def temporary_change_without_return(plant: Plant) -> Drafts:
    """A temporary value has no value to return to, or nobody who watches it."""
    for name, entry in plant.entries.items():
        if entry.until is None:
            continue
        lacking = [
            what
            for what, value in (("no value to return to", entry.then), ("nobody watches it", entry.watched_by))
            if value is None
        ]
        if lacking:
            yield found(
                name,
                f"{title_of(name)} temporary until {entry.until}: {', '.join(lacking)}",
                {},
                "record the value to return to and who watches it",
            )


@rule(
    "provisional-before-first-firing",
    severity=OUTAGE,
    cautions=("firing", "combustion"),
    source=CONTROL_FILE,
    trips=(
        "plant.first_fired = false, "
        'control.setting.maximum_fan_speed = { treatments = [{ does = "at most until first firing", amount = 4000 }] }'
    ),
    passes="plant.first_fired = 2024-09-03",
)
def provisional_before_first_firing(plant: Plant) -> Drafts:
    """A value is provisional, because the burner has not fired yet.

    The control file says for which settings that is so: what is shown and allowed before differs from what counts
    after.
    """
    not_yet = plant.recorded(FIRED) is False  # also where that is contradicted: a control holds to it
    for name, effect in plant.effects.items():
        why = effect.reasons[-1] if effect.reasons else None
        if effect.state == PROVISIONAL:
            # what a control allows of firing before is the maker's figure
            runs = "" if licensed(name) else f" at {plant.show(name, effect.effective)}"
            yield found(
                name,
                f"{title_of(name)} is provisional{runs}: it may differ after the first firing",
                {},
                "read it again after the first firing; then prove combustion at high and low fire",
                cautions=cautions_of(name),
            )
        elif effect.state == UNKNOWN and why is not None and why.kind == "first firing unknown":
            yield Missing("plant.first_fired")
        elif (not_yet or plant.known(FIRED) is False) and (row := plant.row(name)) is not None:
            if row.treatments is None:
                text = f"the control file does not say what {title_of(name)} runs at before the first firing"
                yield Missing(name, text)
            elif any(one.does == "at most until first firing" for one in row.treatments):
                yield Missing(name)


RULES: Final[tuple[Rule, ...]] = (
    temporary_change_overdue,
    temporary_change_ends_soon,
    temporary_change_without_return,
    provisional_before_first_firing,
)
