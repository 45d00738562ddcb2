"""Rules: is the record true, complete, and of this boiler."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Final

from settingslint.model.profile import Entry
from settingslint.model.treatment import PROVISIONAL, TOLERANCE, same
from settingslint.model.values import title_of
from settingslint.rules.acceptance import RULES as ACCEPTANCE_RULES
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    RECORD,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Rule,
    Severity,
    Threshold,
    found,
    rule,
)
from settingslint.rules.plant import Plant
from settingslint.rules.record_many import RULES as MANY_RULES
from settingslint.units import Kind
from settingslint.vocabulary.settings import FIRING, LIMITS, SAFETY_CAUTIONS, SETTINGS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

TITLE: Final = "record"
CAUTION: Final = ("record",)

DEFAULT_SHARE: Final = Threshold(
    "defaults_share", 0.9, Kind.RATIO, COMMON_PRACTICE, "share of settings at their defaults that looks never set"
)
RECORD_DAYS: Final = Threshold("record_days", 400.0, Kind.COUNT, COMMON_PRACTICE, "days after which a record is old")
WARN_SHARE: Final = Threshold(
    "temporary_warning_share", 0.8, Kind.RATIO, COMMON_PRACTICE, "share of a temporary value's time after which to warn"
)
FEWEST: Final = 5
"""Fewer recorded settings than this say nothing about defaults."""


def safety(name: str) -> bool:
    """Return whether a setting belongs to a class in which reason and read-back are asked for."""
    return SETTINGS[name].caution in SAFETY_CAUTIONS


def severity_of(name: str) -> Severity:
    """Return how bad a wrong record of a setting can be, by its caution class."""
    caution = SETTINGS[name].caution
    if caution in ("firing", "scald", "hygiene", "limit"):
        return Severity.DANGER
    return Severity.DAMAGE if caution == "freeze" else Severity.WASTE


def cautions_of(name: str) -> tuple[str, ...]:
    """Return the cautions of a setting, hygiene and scald together."""
    caution = SETTINGS[name].caution
    return ("scald", "hygiene") if caution in ("scald", "hygiene") else (caution,)


def typed_entries(plant: Plant) -> list[tuple[str, Entry]]:
    """Return the settings that somebody typed."""
    entries = [(name, entry) for name, entry in plant.profile.settings.items() if entry.typed is not None]
    plant.touched.update(name for name, _ in entries)
    return entries


@rule("not-read-back", severity=RECORD, cautions=CAUTION, source=COMMON_PRACTICE)
def not_read_back(plant: Plant) -> Drafts:
    """A setting of a safety class was typed and not read back: what the control kept is not known.

    Read back at the visit as a whole, or at the setting. Classes: firing, limits, scalding, hygiene, freezing.

    Trips:
        [visit]
        read_back = false
    Passes:
        [visit]
        read_back = true
    """
    if plant.known("visit.read_back") is True:
        return
    open_ = [
        name
        for name, entry in typed_entries(plant)
        if safety(name) and entry.read_back is None and not _can_not_be_read(plant, name)
    ]
    if open_:
        few = ", ".join(title_of(name) for name in open_[:4]) + (
            f" and {len(open_) - 4} more" if len(open_) > 4 else ""
        )
        yield found(
            open_[0],
            f"typed and not read back: {few}",
            {"settings": Quantity(float(len(open_)), Kind.COUNT)},
            "read them back after saving, at best after the power was off once",
        )


def _can_not_be_read(plant: Plant, name: str) -> bool:
    row = plant.row(name)
    return row is not None and row.read_back == "not readable"


@rule("typed-differs-from-read-back", severity=RECORD, cautions=CAUTION, source=CONTROL_FILE)
def typed_differs_from_read_back(plant: Plant) -> Drafts:
    """The control showed something else afterwards than what was typed.

    Compared: read back, with what the control file says is kept of the typed value. Where that explains it, the
    sentence says so.

    Trips:
        [settings]
        heating_setpoint = { value = 164, read_back = 163 }
    Passes:
        [settings]
        heating_setpoint = { value = 164, read_back = 164 }
    """
    for name, entry in typed_entries(plant):
        if entry.read_back is None or same(entry.read_back, entry.typed):
            continue
        effect = plant.effects.get(name)
        explained = effect is not None and effect.stored is not None and same(entry.read_back, effect.stored)
        why = effect.reasons[-1].text if effect is not None and effect.reasons else ""
        text = f"asked for {plant.show(name, entry.typed)}, read back {plant.show(name, entry.read_back)}"
        yield found(
            name,
            f"{text}: {why}" if explained and why else f"{text}; the control file does not explain it",
            {},
            "write down what the control keeps, or type it again and save as the control wants it",
            severity=severity_of(name),
            cautions=cautions_of(name),
        )


@rule(
    "temporary-change-overdue",
    severity=OUTAGE,
    cautions=("temporary",),
    source=ARITHMETIC,
)
def temporary_change_overdue(plant: Plant) -> Drafts:
    """A temporary value is past its end and still there.

    Its end date is before the date of the check. Nothing is turned back by itself: somebody has to be at the boiler.

    Trips:
        [settings]
        heating_setpoint = { value = 170, until = 2026-11-24, then = 164 }
    Passes:
        [settings]
        heating_setpoint = { value = 170, until = 2026-11-25, then = 164 }
    """
    for name, entry in plant.profile.settings.items():
        plant.touched.add(name)
        if entry.until is None or entry.until >= plant.as_of:
            continue
        days = (plant.as_of - entry.until).days
        back = plant.show(name, entry.then) if entry.then is not None else "a value that nobody wrote down"
        watch = f"; watched by {entry.watched_by}" if entry.watched_by else ""
        allowed = entry.then is not None and name not in FIRING and name not in LIMITS
        remedy = Remedy(
            f"go there and put back {back}, or renew it with a reason",
            {name: entry.then} if allowed and entry.then is not None else {},
        )
        yield found(
            name,
            f"{plant.show(name, entry.typed)} was to end on {entry.until}, {days} days ago, and"
            f" return to {back}{watch}",
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
)
def temporary_change_ends_soon(plant: Plant) -> Drafts:
    """A temporary value has used up most of its time.

    From the date it was typed to its end, more than 0.8 are over.

    Trips:
        [settings]
        heating_setpoint = { value = 166, on = 2026-11-01, until = 2026-11-30, then = 164 }
    Passes:
        [settings]
        heating_setpoint = { value = 166, on = 2026-11-01, until = 2026-12-01, then = 164 }
    """
    for name, entry in plant.profile.settings.items():
        plant.touched.add(name)
        if entry.until is None or entry.until < plant.as_of:
            continue
        began = entry.on
        if began is None:
            yield Missing("visit.on", f"{title_of(name)} is temporary, and the day it was typed is not recorded")
            continue
        whole, gone = (entry.until - began).days, (plant.as_of - began).days
        if whole > 0 and gone / whole > plant.threshold(WARN_SHARE) + TOLERANCE:
            yield found(
                name,
                f"{plant.show(name, entry.typed)} ends on {entry.until}",
                {"days left": Quantity(float(whole - gone), Kind.COUNT)},
                "plan who goes there",
            )


@rule(
    "temporary-change-without-return",
    severity=RECORD,
    cautions=("temporary",),
    source=COMMON_PRACTICE,
)
def temporary_change_without_return(plant: Plant) -> Drafts:
    """A temporary value has no value to return to, or nobody who watches it.

    Trips:
        [settings]
        heating_setpoint = { value = 166, on = 2026-11-20, until = 2026-12-20 }
    Passes:
        [settings]
        heating_setpoint = { value = 166, on = 2026-11-20, until = 2026-12-20, then = 164, watched_by = "duty engineer"
        }
    """
    for name, entry in plant.profile.settings.items():
        plant.touched.add(name)
        if entry.until is None:
            continue
        lacking = [
            what
            for what, value in (("a value to return to", entry.then), ("somebody who watches", entry.watched_by))
            if value is None
        ]
        if lacking:
            yield found(name, f"temporary until {entry.until}, without {' and '.join(lacking)}", {}, "write it down")


@rule(
    "provisional-before-first-firing",
    severity=OUTAGE,
    cautions=("firing", "combustion"),
    source=CONTROL_FILE,
)
def provisional_before_first_firing(plant: Plant) -> Drafts:
    """A value is only provisional, because the burner has not fired once.

    The control file says for which settings that is so: what is shown and allowed before differs from what counts
    after.

    Trips:
        [plant]
        name = "Boiler 1"
        site = "Mill Lane Hall"
        control = "kit"
        size = "middle"
        serial = "K-1"
        first_fired = false
        [control.setting.maximum_fan_speed]
        treatments = [{ does = "at most until first firing", amount = 4000 }]
    Passes:
        [control.setting.maximum_fan_speed]
        treatments = [{ does = "at most until first firing", amount = 4000 }]
    """
    for name, effect in plant.effects.items():
        if effect.state == PROVISIONAL:
            plant.touched.add(name)
            yield found(
                name,
                f"provisional: {effect.reasons[-1].text}" if effect.reasons else "provisional until the first firing",
                {},
                "read it again after the first firing, then prove combustion at high and low fire",
                cautions=cautions_of(name),
            )


@rule(
    "all-at-defaults",
    severity=OUTAGE,
    certainty=LIKELY,
    cautions=("board", "firing", "combustion"),
    source=COMMON_PRACTICE,
    assumes="nobody confirmed the defaults on purpose",
    thresholds=(DEFAULT_SHARE,),
)
def all_at_defaults(plant: Plant) -> Drafts:
    """Nearly every setting stands at its default: it was never set, or the board was replaced.

    Share of recorded settings that equal the control's default for this size; above 0.9. A default that was confirmed
    with a reason does not count.

    Trips:
        [settings]
        heating_setpoint = 150
        heating_differential = 12
        tank_setpoint = 125
        hot_water_boiler_setpoint = 165
        reset_endpoint = 72
        heating_maximum_rate = 100
        keep_warm = 3
        priority_time_limit = 45
        tank_differential = 7
        warm_weather_shutdown = 66
        pump_overrun = 3
    Passes:
        [settings]
        heating_setpoint = 150
        heating_differential = 12
        tank_setpoint = 125
        hot_water_boiler_setpoint = 165
    """
    at_default = recorded = 0
    for name, entry in plant.profile.settings.items():
        row = plant.row(name)
        default = row.default_for(plant.profile.size) if row else None
        if default is None or entry.left in ("not reachable", "not applicable"):
            continue
        plant.touched.add(name)
        recorded += 1
        stands = entry.left == "default" or same(entry.typed, default)
        at_default += stands and entry.why is None
    if recorded < FEWEST:
        raise Missing("settings", "too few settings with a known default are recorded")
    share = at_default / recorded
    if share > plant.threshold(DEFAULT_SHARE) + TOLERANCE:
        yield found(
            "heating_setpoint",
            f"{at_default} of {recorded} settings stand at their defaults: never set, or a board was replaced?",
            {"at default": Quantity(float(at_default), Kind.COUNT), "recorded": Quantity(float(recorded), Kind.COUNT)},
            "identify size and fuel, restore from the last record or set it up, then prove combustion",
        )


@rule(
    "as-found-differs",
    severity=RECORD,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
)
def as_found_differs(plant: Plant) -> Drafts:
    """What was found at the last visit differs from what was last left, and nobody explains it.

    Looks into the history: the newest "as found" against the state before it; a reason at the setting explains it.

    Trips (with a history in which the set point was found changed):
        [settings]
        heating_setpoint = 164
    Passes (with a history in which nothing was found changed):
        [settings]
        heating_setpoint = 164
    """
    if plant.past is None:
        raise Missing("history")
    states = plant.past.states
    index = next((i for i in range(len(states) - 1, 0, -1) if states[i].kind == "as found"), None)
    if index is None:
        raise DoesNotApply("no visit recorded what was found")
    found_, left = states[index], states[index - 1]
    for name in sorted(set(found_.typed) & set(left.typed)):
        if name not in SETTINGS or same(found_.typed[name], left.typed[name]):
            continue
        entry = plant.profile.settings.get(name)
        if entry is not None and entry.why is not None:
            continue
        yield found(
            name,
            f"left at {plant.show(name, left.typed[name])} on {left.on}, found at"
            f" {plant.show(name, found_.typed[name])} on {found_.on}, and nobody says why",
            {},
            "ask who changed it and why, and write it down before it is forgotten",
            severity=severity_of(name),
            cautions=cautions_of(name),
        )


@rule(
    "defaults-after-earlier-settings",
    severity=DANGER,
    cautions=("board", "firing", "combustion"),
    source=COMMON_PRACTICE,
    thresholds=(DEFAULT_SHARE,),
)
def defaults_after_earlier_settings(plant: Plant) -> Drafts:
    """Nearly everything stands at defaults that earlier did not: the board was replaced or reset.

    Looks into the history; share of settings now at their default, that had another value before.

    Trips (with a history of other values):
        [settings]
        heating_setpoint = 150
    Passes (with a history of the same values):
        [settings]
        heating_setpoint = 164
    """
    if plant.past is None:
        raise Missing("history")
    if not plant.past.states:
        raise DoesNotApply("no earlier state")
    before = plant.past.states[-1].typed
    fell = stayed = 0
    for name, value in before.items():
        row = plant.row(name)
        default = row.default_for(plant.profile.size) if row else None
        if default is None or same(default, value):
            continue
        entry = plant.profile.settings.get(name)
        now = default if entry is not None and entry.left == "default" else plant.typed(name)
        if now is None:
            continue
        if same(now, default):
            fell += 1
        else:
            stayed += 1
    if fell >= FEWEST and fell / (fell + stayed) > plant.threshold(DEFAULT_SHARE) + TOLERANCE:
        yield found(
            "heating_setpoint",
            f"{fell} settings that had other values fell to their defaults: was the board replaced or reset?",
            {"fell to default": Quantity(float(fell), Kind.COUNT)},
            "no firing until size, fuel and revision are identified and the settings restored and read back",
        )


@rule(
    "record-old",
    severity=RECORD,
    needs=("visit.on",),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(RECORD_DAYS,),
)
def record_old(plant: Plant) -> Drafts:
    """The record is older than a year: nobody knows what the control holds today.

    Trips:
        [visit]
        on = 2025-10-20
    Passes:
        [visit]
        on = 2025-10-21
    """
    visited = plant.day("visit.on")
    if plant.as_of - visited > timedelta(days=plant.threshold(RECORD_DAYS)):
        yield found(
            "visit.on",
            f"last visited on {visited}",
            {"days": Quantity(float((plant.as_of - visited).days), Kind.COUNT)},
            "record what is found at the next visit, before anything is touched",
        )


ENTITLED: Final = {
    "firing": ("gas-licensed technician", "maker"),
    "limit": ("gas-licensed technician", "maker"),
    "heating": ("heating technician", "gas-licensed technician", "maker", "caretaker"),
}


@rule(
    "role-not-entitled",
    severity=DANGER,
    certainty=LIKELY,
    needs=("visit.role", "visit.on"),
    cautions=("firing", "limit", "law"),
    source=COMMON_PRACTICE,
    assumes="the visit's role typed what carries the visit's date; local law decides who may",
)
def role_not_entitled(plant: Plant) -> Drafts:
    """A firing setting or a limit was changed by a role that may not do that.

    Settings dated at the visit, by the visit's role. Firing and limits: gas-licensed persons or the maker.

    Trips:
        [visit]
        role = "caretaker"
        [settings]
        maximum_fan_speed = { value = 6000, on = 2026-10-06 }
    Passes:
        [visit]
        role = "gas-licensed technician"
        [settings]
        maximum_fan_speed = { value = 6000, on = 2026-10-06 }
    """
    role, visited = plant.word("visit.role"), plant.day("visit.on")
    for name, entry in typed_entries(plant):
        allowed = ENTITLED["limit"] if name in LIMITS else ENTITLED.get(SETTINGS[name].caution)
        if allowed is None or SETTINGS[name].caution == "heating" or entry.on != visited:
            continue
        if role not in allowed:
            yield found(
                name,
                f"{title_of(name)} was typed on {visited} by a {role}",
                {},
                "have it looked at by somebody who is licensed for it, with an analyser where it is firing",
            )


@rule("reason-missing", severity=RECORD, cautions=CAUTION, source=COMMON_PRACTICE)
def reason_missing(plant: Plant) -> Drafts:
    """A setting of a safety class was changed and nobody wrote down why.

    A setting with a date of its own needs a reason of its own; the visit's reason will do where the dates are the same.

    Trips:
        [settings]
        tank_setpoint = { value = 146, on = 2026-10-20 }
    Passes:
        [settings]
        tank_setpoint = { value = 146, on = 2026-10-20, why = "water-safety plan, section 4" }
    """
    visited, why = plant.known("visit.on"), plant.known("visit.why")
    for name, entry in typed_entries(plant):
        if entry.on is None or entry.why is not None or not safety(name):
            continue
        if entry.on == visited and why is not None:
            continue
        yield found(
            name,
            f"{title_of(name)} was changed on {entry.on} without a reason",
            {},
            "write down why: the next crew undoes what nobody explains",
        )


@rule(
    "service-code-as-delivered",
    severity=OUTAGE,
    certainty=ASK,
    needs=("visit.service_code_default",),
    cautions=("privacy", "record"),
    source=COMMON_PRACTICE,
)
def service_code_as_delivered(plant: Plant) -> Drafts:
    """The service code is still the one it came with: anybody can change anything.

    Only whether it is so is recorded, never the code.

    Trips:
        [visit]
        service_code_default = true
    Passes:
        [visit]
        service_code_default = false
    """
    if plant.flag("visit.service_code_default"):
        yield found(
            "visit.service_code_default",
            "the service code is the one it came with: who else has it?",
            {},
            "change it, and keep it in a vault and not in here",
        )


@rule(
    "serial-unlike-plate",
    severity=DANGER,
    needs=("boiler.serial_on_plate",),
    cautions=("record", "firing", "combustion"),
    source=ARITHMETIC,
)
def serial_unlike_plate(plant: Plant) -> Drafts:
    """The record is of another boiler than the one whose plate was read.

    Trips:
        [boiler]
        serial_on_plate = "K-2"
    Passes:
        [boiler]
        serial_on_plate = "K-1"
    """
    if plant.profile.serial is None:
        raise Missing("plant.serial")
    if plant.word("boiler.serial_on_plate").strip().casefold() != plant.profile.serial.strip().casefold():
        yield found(
            "boiler.serial_on_plate",
            f"the record is of {plant.profile.serial}, the plate says {plant.show('boiler.serial_on_plate')}",
            {},
            "find out which boiler this is before anything is set by this record",
        )


@rule("control-revision-unknown", severity=RECORD, cautions=CAUTION, source=CONTROL_FILE)
def control_revision_unknown(plant: Plant) -> Drafts:
    """The control shows a revision that its control file was not checked against.

    An update may rename, re-range or add settings.

    Trips:
        [control.control]
        revisions = ["4"]
    Passes:
        [control.control]
        revisions = ["4", "5"]
    """
    if not plant.control.revisions:
        raise Missing("control.revisions", "the control file names no revision it was checked against")
    if plant.profile.revision is None:
        raise Missing("plant.revision")
    if plant.profile.revision not in plant.control.revisions:
        yield found(
            "plant.revision",
            f"revision {plant.profile.revision}; the control file was checked against"
            f" {', '.join(plant.control.revisions)}",
            {},
            "check the control file against this revision, then add it there",
        )


@rule(
    "remote-writer-without-owner",
    severity=OUTAGE,
    needs=("accessories.remote_writer",),
    cautions=("remote",),
    source=COMMON_PRACTICE,
)
def remote_writer_without_owner(plant: Plant) -> Drafts:
    """Somebody can change settings from afar, and nobody answers for it.

    Trips:
        [accessories]
        remote_writer = true
    Passes:
        [accessories]
        remote_writer = true
        remote_writer_owner = "estates desk"
    """
    if plant.flag("accessories.remote_writer") and plant.known("accessories.remote_writer_owner") is None:
        yield found(
            "accessories.remote_writer",
            "settings can be written from afar, and no owner is recorded",
            {},
            "name who answers for it, and what may not be written from afar",
        )


@rule("guessed-facts", severity=RECORD, cautions=CAUTION, source=COMMON_PRACTICE)
def guessed_facts(plant: Plant) -> Drafts:
    """Facts on which findings rest were guessed.

    Trips:
        [building]
        design_load = { value = 88000, from = "guessed" }
    Passes:
        [building]
        design_load = { value = 88000, from = "calculated" }
    """
    guessed = sorted(name for name, fact in plant.profile.facts.items() if fact.source == "guessed")
    if guessed:
        yield found(
            guessed[0],
            f"guessed: {', '.join(title_of(name) for name in guessed[:5])}"
            + (f" and {len(guessed) - 5} more" if len(guessed) > 5 else ""),
            {"guessed": Quantity(float(len(guessed)), Kind.COUNT)},
            "measure or look it up at the next visit",
            certainty=None,
        )


@rule(
    "faults-grew-without-cause",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("counters.faults_before", "counters.faults_now"),
    cautions=("mask",),
    source=COMMON_PRACTICE,
    assumes="settings were changed because of the faults",
)
def faults_grew_without_cause(plant: Plant) -> Drafts:
    """The fault history grew, settings were changed on the same visit, and no cause is written down.

    Trips:
        [counters]
        faults_now = 2
        [settings]
        heating_setpoint = { value = 164, on = 2026-10-06 }
    Passes:
        [counters]
        faults_now = 1
        [settings]
        heating_setpoint = { value = 164, on = 2026-10-06 }
    """
    grew = plant.number("counters.faults_now") - plant.number("counters.faults_before")
    if grew <= 0 or plant.known("visit.fault_cause") is not None:
        return
    visited = plant.known("visit.on")
    changed = [name for name, entry in typed_entries(plant) if entry.on is not None and entry.on == visited]
    if changed:
        yield found(
            changed[0],
            f"{grew:.0f} more faults than before, {title_of(changed[0])} changed on the same visit,"
            f" no cause written down",
            {"more faults": Quantity(grew, Kind.COUNT)},
            "find the cause and write it down",
        )


SECRET: Final = (
    re.compile(r"(?i)\b(pin|code|password|passcode|pass word|key safe|keysafe|alarm)\b\D{0,12}\d{3,}"),
    re.compile(r"(?<!\d)\+?\d[\d ()/-]{8,}\d(?!\d)"),
    re.compile(r"[\w.+-]+@[\w-]+\.\w{2,}"),
)


@rule("secret-in-record", severity=OUTAGE, certainty=LIKELY, cautions=("privacy",), source=COMMON_PRACTICE,
      assumes="digits beside such words are what they look like")  # fmt: skip
def secret_in_record(plant: Plant) -> Drafts:
    """A free text looks as if it held a code, a telephone number or an address.

    Reasons and names of visit, settings and acceptances; the text itself is not repeated.

    Trips:
        [visit]
        why = "key safe code 4711 at the side door"
    Passes:
        [visit]
        why = "key with the caretaker"
    """
    texts = [(f"visit.{name}", str(plant.known(f"visit.{name}") or "")) for name in ("why", "by", "fault_cause")]
    texts += [
        (name, text)
        for name, entry in plant.profile.settings.items()
        for text in (entry.why, entry.by, entry.watched_by)
        if text
    ]
    for name, text in texts:
        if any(pattern.search(text) for pattern in SECRET):
            yield found(
                name,
                "a free text looks as if it held a code, a number or an address",
                {},
                "take it out and change the code: history keeps what was committed",
            )


@rule(
    "visit-copied-or-backdated",
    severity=RECORD,
    certainty=LIKELY,
    needs=("visit.on",),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="two visits do not leave the same counters",
)
def visit_copied_or_backdated(plant: Plant) -> Drafts:
    """The visit lies in the future, or its counters are those of another visit to the digit.

    Trips:
        [visit]
        on = 2026-11-26
    Passes:
        [visit]
        on = 2026-11-25
    """
    visited = plant.day("visit.on")
    if visited > plant.as_of:
        yield found("visit.on", f"the visit of {visited} lies in the future", {}, "look at the date")
    if plant.past is None:
        return
    names = ("counters.starts", "counters.burner_hours")
    now = [plant.known(name) for name in names]
    for state in plant.past.states:
        other = state.facts.get("visit.on")
        if None not in now and other not in (None, visited) and [state.facts.get(name) for name in names] == now:
            yield found(
                "visit.on", f"the counters are those of the visit of {other} to the digit", {}, "read them again"
            )
            return


@rule(
    "reading-marked-left-without-visit",
    severity=DANGER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    certainty=LIKELY,
    assumes="values read back were read at the boiler",
)
def reading_marked_left_without_visit(plant: Plant) -> Drafts:
    """Values are marked as read back, and no visit is recorded: the file may say what the boiler does not.

    Trips:
        [settings]
        heating_setpoint = { value = 164, read_back = 164, on = 2026-11-20 }
    Passes:
        [settings]
        heating_setpoint = { value = 164, read_back = 164, on = 2026-10-06 }
    """
    visited = plant.known("visit.on")
    for name, entry in typed_entries(plant):
        if entry.read_back is None or entry.on is None:
            continue
        if visited is None or entry.on > plant.day("visit.on"):
            since = f"the last visit recorded is of {visited}" if visited is not None else "no visit is recorded"
            yield found(
                name,
                f"read back on {entry.on}; {since}: was somebody at the boiler?",
                {},
                "record the visit, or mark the value as asked for and not read back",
            )


@rule("default-seen-differs", severity=DAMAGE, cautions=("record", "board"), source=CONTROL_FILE)
def default_seen_differs(plant: Plant) -> Drafts:
    """A setting is said to stand at its default, and the value seen is not the default of the control file.

    The control file, the size or the revision is not the one that is there.

    Trips:
        [settings]
        heating_differential = { left = "default", value = 14 }
    Passes:
        [settings]
        heating_differential = { left = "default", value = 12 }
    """
    for name, entry in plant.profile.settings.items():
        if entry.left != "default" or entry.typed is None:
            continue
        plant.touched.add(name)
        row = plant.row(name)
        default = row.default_for(plant.profile.size) if row else None
        if default is None:
            yield Missing(name, f"the default of {title_of(name)} is not known for this size")
        elif not same(default, entry.typed):
            yield found(
                name,
                f"left at default and seen as {plant.show(name, entry.typed)}; the control file states another default",
                {},
                "look at size, revision and control file before trusting any default",
            )


RULES: Final[tuple[Rule, ...]] = (
    not_read_back,
    typed_differs_from_read_back,
    temporary_change_overdue,
    temporary_change_ends_soon,
    temporary_change_without_return,
    provisional_before_first_firing,
    all_at_defaults,
    as_found_differs,
    defaults_after_earlier_settings,
    record_old,
    role_not_entitled,
    reason_missing,
    service_code_as_delivered,
    serial_unlike_plate,
    control_revision_unknown,
    remote_writer_without_owner,
    guessed_facts,
    faults_grew_without_cause,
    secret_in_record,
    visit_copied_or_backdated,
    reading_marked_left_without_visit,
    default_seen_differs,
    *MANY_RULES,
    *ACCEPTANCE_RULES,
)
