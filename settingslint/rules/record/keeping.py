"""Rules: is the record true, complete, and of this boiler."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Final

from settingslint.model.bounds import FIRED, too_early, wrong_days_of
from settingslint.model.profile import Fact
from settingslint.model.values import title_of
from settingslint.rules.base import ASK, DANGER, LIKELY, OUTAGE, RECORD, Drafts, Missing, Quantity, Threshold, found
from settingslint.rules.entries import cautions_of, few, severity_of
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

CAUTION: Final = ("record",)

RECORD_DAYS: Final = Threshold(
    "record_days", 400.0, Kind.COUNT, COMMON_PRACTICE, "days after which a record is old",
    90.0, 762.0, "common practice, no source: visited every year, every second at most", looser="up",
)  # fmt: skip
FACT_DAYS: Final = Threshold(
    "fact_days", 5 * 365.25, Kind.COUNT, COMMON_PRACTICE, "days after which a dated fact is to be checked again",
    365.0, 3653.0, "common practice, no source: in ten years a building changes", looser="up",
)  # fmt: skip
_PLACES: Final = "access|door|gate|alarm|entry|service|installer|security|lock|lockbox|safe|panel|key"
_NAMES: Final = r"pin|pass ?word|pass ?code|key ?safe|lock ?box"
CODE: Final = re.compile(
    rf"\b({_PLACES}) ?code\b\D{{0,12}}\d{{3,}}|\bcode ?(is|:|=) ?\d{{3,}}|\b({_NAMES})\b\D{{0,12}}\d{{3,}}",
    re.IGNORECASE,
)
"""Digits beside such words."""
TELEPHONE: Final = re.compile(r"(?<![\w-])(\+\d|\(?0\d|\(?\d{3}\)?[ -]\d{3}[ -]\d{4})[\d ()/-]*")
"""International, with a leading 0, or in groups of three, three and four."""
ADDRESS: Final = re.compile(r"[\w.+-]+@[\w-]+\.\w{2,}")
FEWEST_DIGITS: Final = 9
"""Of a telephone number."""


@rule(
    "record-old",
    severity=RECORD,
    needs=("visit.on",),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(RECORD_DAYS,),
    trips="visit.on = 2025-10-20",
    passes="visit.on = 2025-10-21",
)
def record_old(plant: Plant) -> Drafts:
    """The last visit is long ago: what the control is set to today is not known.

    More than 400 days.
    """
    visited = plant.day("visit.on")
    if plant.as_of - visited > timedelta(days=plant.threshold(RECORD_DAYS)):
        yield found(
            "visit.on",
            f"last visit on {visited}, {(plant.as_of - visited).days:,} days ago",
            {"days": Quantity(float((plant.as_of - visited).days), Kind.COUNT)},
            "record what is found at the next visit, before anything is changed",
        )


ENTITLED: Final = {
    "firing": ("gas-licensed technician", "maker"),
    "limit": ("gas-licensed technician", "maker"),
    "heating": ("heating technician", "gas-licensed technician", "maker", "caretaker"),
}


@rule(
    "service-code-as-delivered",
    severity=OUTAGE,
    certainty=ASK,
    needs=("visit.service_code_default",),
    cautions=("privacy", "record"),
    source=COMMON_PRACTICE,
    trips="visit.service_code_default = true",
    passes="visit.service_code_default = false",
)
def service_code_as_delivered(plant: Plant) -> Drafts:
    """The service code is still the one it came with: anybody can change anything.

    Only whether it is so is recorded, never the code.
    """
    if plant.flag("visit.service_code_default"):
        yield found(
            "visit.service_code_default",
            "service code is still the one it came with: who else has it?",
            {},
            "change it, and keep it in a vault, not in this file",
        )


@rule(
    "serial-unlike-plate",
    severity=DANGER,
    needs=("boiler.serial_on_plate",),
    cautions=("record", "firing", "combustion"),
    source=ARITHMETIC,
    trips='boiler.serial_on_plate = "K-2"',
    passes='boiler.serial_on_plate = "K-1"',
)
def serial_unlike_plate(plant: Plant) -> Drafts:
    """The record is of another boiler than the one whose plate was read."""
    serial = plant.word("plant.serial")
    if plant.word("boiler.serial_on_plate").strip().casefold() != serial.strip().casefold():
        yield found(
            "boiler.serial_on_plate",
            f"record is of serial {serial}, the plate says {plant.show('boiler.serial_on_plate')}",
            {},
            "find out which boiler this is before anything is set by this record",
        )


@rule(
    "control-revision-unknown",
    severity=RECORD,
    cautions=CAUTION,
    source=CONTROL_FILE,
    trips='control.control.revisions = ["4"]',
    passes='control.control.revisions = ["4", "5"]',
)
def control_revision_unknown(plant: Plant) -> Drafts:
    """The control shows a revision that its control file was not checked against.

    An update may rename, re-range or add settings.
    """
    known = plant.listed("control.revisions")
    if not known:
        raise Missing("control.revisions", "the control file names no revision it was checked against")
    revision = plant.word("plant.revision")
    if revision not in known:
        yield found(
            "plant.revision",
            f"revision {revision}, the control file was checked against {', '.join(known)}",
            {},
            "check the control file against this revision, then add it there",
        )


@rule(
    "remote-writer-without-owner",
    severity=OUTAGE,
    needs=("accessories.remote_writer",),
    cautions=("remote",),
    source=COMMON_PRACTICE,
    trips="accessories.remote_writer = true",
    passes='accessories.remote_writer_owner = "estates desk"',
)
def remote_writer_without_owner(plant: Plant) -> Drafts:
    """Remote write access is open, and nobody answers for it."""
    if plant.flag("accessories.remote_writer") and plant.known("accessories.remote_writer_owner") is None:
        yield found(
            "accessories.remote_writer",
            "remote write access is open, and no owner is recorded",
            {},
            "record who answers for it, and what may not be written remotely",
        )


@rule(
    "guessed-facts",
    severity=RECORD,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips='building.design_load = { value = 88000, from = "guessed" }',
    passes='building.design_load = { value = 88000, from = "calculated" }',
)
def guessed_facts(plant: Plant) -> Drafts:
    """Facts that findings rest on were guessed."""
    guessed = [name for name, fact in all_facts(plant) if fact.source == "guessed"]
    if guessed:
        yield found(
            guessed[0],
            f"guessed: {few(guessed)}",
            {"guessed": Quantity(float(len(guessed)), Kind.COUNT)},
            "measure or look them up at the next visit",
        )


@rule(
    "facts-old",
    severity=RECORD,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(FACT_DAYS,),
    trips='building.design_load = { value = 88000, from = "calculated", on = 2021-11-24 }',
    passes='building.design_load = { value = 88000, from = "calculated", on = 2021-11-25 }',
)
def facts_old(plant: Plant) -> Drafts:
    """Facts that findings rest on are old: windows, radiators and tenants change.

    More than five years by the fact's own date; facts without a date are passed over.
    """
    most = timedelta(days=plant.threshold(FACT_DAYS))
    old = [name for name, fact in all_facts(plant) if fact.on is not None and plant.as_of - fact.on > most]
    if old:
        yield found(
            old[0],
            f"not checked for over {most.days:,} days: {few(old)}",
            {"old": Quantity(float(len(old)), Kind.COUNT)},
            "check them at the next visit, and date them",
        )


def all_facts(plant: Plant) -> list[tuple[str, Fact]]:
    """Return all recorded facts by name, those of the emitters last."""
    return sorted(plant.facts.items(), key=lambda one: ("[" in one[0], one[0]))


@rule(
    "secret-in-record",
    severity=OUTAGE,
    certainty=LIKELY,
    cautions=("privacy",),
    source=COMMON_PRACTICE,
    assumes="the digits are what they look like",
    trips='visit.why = "lock box code 4711 at the side door"',
    passes='visit.why = "key with the caretaker"',
)
def secret_in_record(plant: Plant) -> Drafts:
    """A free text seems to hold a code, a telephone number or an address.

    Reasons and names of visit, settings and acceptances; the text itself is not repeated.
    """
    texts = [(f"visit.{name}", str(plant.known(f"visit.{name}") or "")) for name in ("why", "by", "fault_cause")]
    texts += [
        (name, text)
        for name, entry in plant.entries.items()
        for text in (entry.why, entry.by, entry.watched_by)
        if text
    ]
    texts += [(f"accepted[{one.index}]", text) for one in plant.accepted for text in (one.because, one.by) if text]
    for name, text in texts:
        if _secret(text):
            yield found(
                name,
                "a free text seems to hold a code, a telephone number or an address",
                {},
                "delete it and change the code: the history keeps what was committed",
            )


def _secret(text: str) -> bool:
    numbers = (sum(map(str.isdigit, one.group())) for one in TELEPHONE.finditer(text))
    return any(pattern.search(text) for pattern in (CODE, ADDRESS)) or any(one >= FEWEST_DIGITS for one in numbers)


@rule(
    "date-in-the-future",
    severity=RECORD,
    cautions=CAUTION,
    source=ARITHMETIC,
    trips="visit.on = 2026-11-26",
    passes="visit.on = 2026-11-25",
)
def date_in_the_future(plant: Plant) -> Drafts:
    """Something that was done has a date in the future, or a temporary value ends more than two years ahead.

    Visit, readings, tests, calibrations, first firing, the dates of facts and settings; the end of a temporary value is
    at most two years ahead. As bad as the worst rule that can't be checked because of it, at a setting as bad as
    its caution class: who changed it, and whether that was proved, depends on that date.
    """
    for name, doubt in plant.doubts.items():
        if doubt.dated:
            what = "first firing" if name == FIRED else title_of(name)
            yield found(name, f"{what}: {doubt.why}", {}, "correct the date")
    for name, entry in plant.entries.items():
        for key, why in wrong_days_of(entry, plant.as_of).items():
            yield found(
                name,
                f"{title_of(name)}{': ' if key == 'on' else ' is temporary, and its end '}{why}",
                {},
                "correct the date",
                severity=severity_of(name),
                cautions=cautions_of(name),
            )
    if plant.recorded("visit.on") is None:
        yield Missing("visit.on")


@rule(
    "fired-though-not-yet",
    severity=RECORD,
    cautions=("combustion", "record"),
    source=ARITHMETIC,
    trips="plant.first_fired = false, counters.burner_hours = 1500",
    passes="plant.first_fired = 2024-09-03",
)
def fired_though_not_yet(plant: Plant) -> Drafts:
    """By the record the burner has not fired once, but readings, burner hours or starts are recorded.

    Dated combustion readings at high or low fire, counted burner hours, counted starts. As bad as the worst rule that
    can't be checked because of it.
    """
    if plant.recorded(FIRED) is None:
        raise Missing(FIRED)
    doubt = plant.doubts.get(FIRED)
    if doubt is not None and not doubt.dated:
        yield found(FIRED, f"first firing: {doubt.why}", {}, "record when the burner first fired")


@rule(
    "setting-dated-too-early",
    severity=DANGER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips="settings.maximum_fan_speed = { value = 6000, on = 1989-12-31 }",
    passes="settings.maximum_fan_speed = { value = 6000, on = 2024-09-03 }",
)
def setting_dated_too_early(plant: Plant) -> Drafts:
    """A setting carries a date from before the boiler: more than a year before it first fired, or before 1990.

    Whether a change was proved depends on that date, so it proves nothing. As bad as the setting.
    """
    dated = [(name, entry) for name, entry in plant.entries.items() if entry.on is not None]
    fired = None if FIRED in plant.doubts else plant.recorded(FIRED)
    for name, entry in dated:
        if why := too_early(entry.on, fired):
            yield found(
                name,
                f"{title_of(name)}: {why}",
                {},
                "correct the date: record when it was really set",
                severity=severity_of(name),
                cautions=cautions_of(name),
            )
    if dated and plant.recorded(FIRED) is None:
        yield Missing(FIRED)


RULES: Final[tuple[Rule, ...]] = (
    record_old,
    service_code_as_delivered,
    serial_unlike_plate,
    control_revision_unknown,
    remote_writer_without_owner,
    guessed_facts,
    facts_old,
    secret_in_record,
    date_in_the_future,
    fired_though_not_yet,
    setting_dated_too_early,
)
