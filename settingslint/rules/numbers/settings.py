"""Rules: settings whose number only makes sense in another unit, scale or reading."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Final, NamedTuple

from settingslint.model.effect import TOLERANCE
from settingslint.rules.base import (
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    PROVEN,
    RECORD,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Severity,
    found,
)
from settingslint.rules.numbers.facts import FACT_RANGES
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind, System, from_si, show, to_si
from settingslint.vocabulary.facts import fact_row
from settingslint.vocabulary.settings import FIRING, LIMITS, SETTINGS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

SEVERITY_OF: Final[dict[str, Severity]] = {
    "firing": DANGER, "scald": DANGER, "hygiene": DANGER, "limit": DANGER, "freeze": DAMAGE,
}  # fmt: skip
"""How bad a wrong number is, by the caution class of its setting; the rest is an outage, a fact spoils the record."""

TIMES: Final = frozenset({Kind.SECONDS, Kind.MINUTES, Kind.HOURS})
DEGREES: Final = frozenset({Kind.POINT, Kind.DIFFERENCE})
RATES: Final = ("heating_maximum_rate", "hot_water_maximum_rate", "stage_on_rate", "stage_off_rate")
"""Settings in per cent that are a firing rate, which is counted in several ways."""


class Number(NamedTuple):
    """A recorded number: SI, as its file shows it, and the range in which it is plausible, SI."""

    name: str
    kind: Kind
    value: float
    shown: float
    low: float
    high: float
    certain: bool
    """Whether it lies outside what is plausible at all, not only outside the control's own range."""

    def fits(self, value: float) -> bool:
        """Return whether a value is plausible here."""
        return _lies_in(value, self.low, self.high)


def other_system(plant: Plant) -> System:
    """Return the unit system that the profile is not in."""
    return "metric" if plant.system == "us" else "us"


def odd_numbers(plant: Plant) -> tuple[Number, ...]:
    """Return the numbers of the profile that lie outside their range: settings as typed, then facts."""
    return tuple(_odd_numbers(plant))


@cache
def _si(bound: float, kind: Kind) -> float:
    return to_si(bound, kind, "us")


def _odd_numbers(plant: Plant) -> Iterator[Number]:
    for name in plant.entries:
        typed, has, wide = plant.typed(name), plant.row(name), _of_setting(name)
        if wide is None or not isinstance(typed, float):
            continue
        kind, lowest, highest = wide
        low = max(lowest, has.low) if has and has.low is not None else lowest
        high = min(highest, has.high) if has and has.high is not None else highest
        if not _lies_in(typed, low, high):
            certain = not _lies_in(typed, lowest, highest)
            yield Number(name, kind, typed, from_si(typed, kind, plant.system), low, high, certain)
    for name, (value, _, _) in plant.facts.items():
        bounds = _of_fact(name)
        if bounds is not None and isinstance(value, float) and not _lies_in(value, *bounds[1:]):
            kind, low, high = bounds
            yield Number(name, kind, value, from_si(value, kind, plant.system), low, high, True)


def _lies_in(value: float, low: float, high: float) -> bool:
    return low - TOLERANCE <= value <= high + TOLERANCE


@cache
def _of_setting(name: str) -> tuple[Kind, float, float] | None:
    """Return the kind of a setting and the range in which it is plausible at all, SI, or None where it has none."""
    row = SETTINGS[name]
    if row.low is None or row.high is None:
        return None
    return row.kind, _si(row.low, row.kind), _si(row.high, row.kind)


@cache
def _of_fact(name: str) -> tuple[Kind, float, float] | None:
    """Return the kind of a fact and the range in which it is plausible, SI, or None where it has none."""
    head, _, rest = name.partition("[")
    bounds = FACT_RANGES.get(head + rest.partition("]")[2])
    if bounds is None:
        return None
    kind = fact_row(name).kind
    return kind, _si(bounds[0], kind), _si(bounds[1], kind)


def severity_of(name: str) -> Severity:
    """Return how bad a wrong number is."""
    return SEVERITY_OF.get(SETTINGS[name].caution, OUTAGE) if name in SETTINGS else RECORD


def barred(name: str) -> bool:
    """Return whether a setting is one of firing or a limit, for which no number is ever named."""
    return name in FIRING or name in LIMITS


def remedy_for(name: str, value: float, text: str) -> Remedy:
    """Return a remedy with a value, without one for firing, limits and facts."""
    if name in FIRING:
        return Remedy("restore the maker's value: licensed person, combustion proof at high and low fire")
    if name in LIMITS:
        return Remedy("restore the maker's value: qualified person, tested afterwards")
    return Remedy(text, {name: value} if name in SETTINGS else {})


def _proof(number: Number, meant: float) -> dict[str, Quantity]:
    proof = {"recorded": Quantity(number.value, number.kind)}
    return proof if barred(number.name) else {**proof, "meant": Quantity(meant, number.kind)}


def cautions_of(name: str) -> tuple[str, ...]:
    """Return the caution class of a setting, or none for a fact."""
    return (SETTINGS[name].caution,) if name in SETTINGS else ()


def _with_32(number: Number, system: System) -> float:
    """Return the difference, K, that was converted as if it were a point on the scale."""
    return (number.shown - 32) / 1.8 if system == "us" else number.shown + 32 / 1.8


@rule(
    "typed-in-other-unit",
    severity=DANGER,
    cautions=("record",),
    source=(COMMON_PRACTICE, CONTROL_FILE),
    assumes="the control's own range is recorded rightly",
    trips="settings.heating_setpoint = 58",
    passes="settings.heating_setpoint = 160",
)
def typed_in_other_unit(plant: Plant) -> Drafts:
    """A temperature is plausible only in the other unit: Fahrenheit in a Celsius file, or the reverse.

    Each temperature and difference is compared with the range in which it is plausible at all, and with the control's
    own range; a finding is what lies outside and would lie inside in the other unit. As bad as the setting it stands
    in.
    """
    other = other_system(plant)
    for number in plant.once(odd_numbers):
        if number.kind not in DEGREES:
            continue
        meant = to_si(number.shown, number.kind, other)
        if not number.fits(meant):
            continue
        was, would = show(number.value, number.kind, plant.system), show(meant, number.kind, other)
        now = plant.show(number.kind, meant)
        fact_or_setting = "setting" if number.name in SETTINGS else "fact"
        yield found(
            number.name,
            f"{was} makes no sense here"
            + ("" if barred(number.name) else f", {would} does ({now})")
            + ": it is in the other unit",
            _proof(number, meant),
            remedy_for(number.name, meant, f"look at the display and record the {fact_or_setting} with its unit"),
            severity=severity_of(number.name),
            certainty=PROVEN if number.certain else LIKELY,
            cautions=cautions_of(number.name),
        )


@rule(
    "difference-converted-with-32",
    severity=DAMAGE,
    cautions=("record",),
    source=ARITHMETIC,
    trips="settings.heating_differential = 68",
    passes="settings.heating_differential = 36",
)
def difference_converted_with_32(plant: Plant) -> Drafts:
    """A temperature difference was converted as if it were a point on the scale, with the 32.

    20 K is 36 F of difference; with the 32 it becomes 68 F. A finding is a difference that is not plausible as it
    stands and is when the 32 is taken back.
    """
    for number in plant.once(odd_numbers):
        if number.kind is not Kind.DIFFERENCE or number.low < 0:
            continue
        meant = _with_32(number, plant.system)
        if not number.fits(meant) or number.fits(to_si(number.shown, number.kind, other_system(plant))):
            continue
        yield found(
            number.name,
            f"{plant.show(number.kind, number.value)} of difference is "
            + ("a difference" if barred(number.name) else plant.show(number.kind, meant))
            + " converted with the 32 of a point on the scale",
            _proof(number, meant),
            remedy_for(number.name, meant, f"enter {plant.show(number.kind, meant)} where that was meant"),
            severity=WASTE if severity_of(number.name) is OUTAGE else severity_of(number.name),
            cautions=cautions_of(number.name),
        )


def _time_meant(number: Number) -> float | None:
    return next((meant for factor in (1 / 60, 60.0) if number.fits(meant := number.value * factor)), None)


@rule(
    "time-in-other-unit",
    severity=DANGER,
    cautions=("record",),
    source=COMMON_PRACTICE,
    trips="settings.pump_overrun = 180",
    passes="settings.pump_overrun = 3",
)
def time_in_other_unit(plant: Plant) -> Drafts:
    """A time is plausible only in another unit: seconds typed for minutes, minutes for hours, or the reverse."""
    for number in plant.once(odd_numbers):
        meant = _time_meant(number) if number.kind in TIMES else None
        if meant is None:
            continue
        yield found(
            number.name,
            f"{plant.show(number.kind, number.value)} is not plausible"
            + ("" if barred(number.name) else f", {plant.show(number.kind, meant)} is")
            + ": seconds, minutes and hours are mixed",
            _proof(number, meant),
            remedy_for(number.name, meant, "look at the display and record the time in the unit of the file"),
            severity=severity_of(number.name),
            cautions=cautions_of(number.name),
        )


@rule(
    "raw-bus-value-recorded",
    severity=DANGER,
    certainty=LIKELY,
    cautions=("record", "remote"),
    source=ARITHMETIC,
    assumes="it was read from a bus",
    trips="settings.hot_water_maximum_rate = 950",
    passes="settings.hot_water_maximum_rate = 95",
)
def raw_bus_value_recorded(plant: Plant) -> Drafts:
    """A number is what a bus carries, ten or a hundred times the value, or a negative one counted down from 65,536.

    Looked for only where no mix-up of units explains the number.
    """
    for number in plant.once(odd_numbers):
        if number.name not in SETTINGS or not number.certain or _explained(plant, number):
            continue
        below = number.shown - 65536
        candidates = [number.shown / 10, number.shown / 100]
        if number.shown > 32767:
            candidates = [below, below / 10, below / 100]
        shown = next((one for one in candidates if number.fits(to_si(one, number.kind, plant.system))), None)
        if shown is None:
            continue
        meant = to_si(shown, number.kind, plant.system)
        yield found(
            number.name,
            f"{plant.show(number.name, number.value)} is not plausible; as a raw value it "
            + ("would be" if barred(number.name) else f"would be {plant.show(number.name, meant)}"),
            _proof(number, meant),
            remedy_for(number.name, meant, "read the value at the panel and record that"),
            severity=severity_of(number.name),
            cautions=cautions_of(number.name),
        )


def _explained(plant: Plant, number: Number) -> bool:
    if number.kind in TIMES:
        return _time_meant(number) is not None
    if number.kind not in DEGREES:
        return number.kind in (Kind.COUNT, Kind.PRESSURE)
    if number.fits(to_si(number.shown, number.kind, other_system(plant))):
        return True
    return number.kind is Kind.DIFFERENCE and number.low >= 0 and number.fits(_with_32(number, plant.system))


@rule(
    "rounding-through-other-unit",
    severity=RECORD,
    certainty=LIKELY,
    cautions=("record",),
    source=ARITHMETIC,
    assumes="the control counts in whole degrees of the other unit",
    trips="settings.heating_setpoint = { value = 163, read_back = 163.4 }",
    passes="settings.heating_setpoint = { value = 163, read_back = 163 }",
)
def rounding_through_other_unit(plant: Plant) -> Drafts:
    """A read-back differs from what was typed by no more than the control's rounding in the other unit.

    62 C becomes 143.6 F, is kept as 144 F and comes back as 62.2 C: no drift.
    """
    other = other_system(plant)
    for name, entry in plant.entries.items():
        kind, typed, back = SETTINGS[name].kind, plant.typed(name), entry.read_back
        if kind not in DEGREES or not isinstance(typed, float) or not isinstance(back, float):
            continue
        kept = float(round(from_si(typed, kind, other)))
        rounded = from_si(to_si(kept, kind, other), kind, plant.system)
        shown = from_si(back, kind, plant.system)
        if abs(back - typed) <= 0.01 or abs(shown - rounded) > 0.051:
            continue
        yield found(
            name,
            f"typed {plant.show(kind, typed)}, read back {round(shown, 1):g}: the control keeps"
            f" {show(to_si(kept, kind, other), kind, other)}; this is rounding and no drift",
            {"typed": Quantity(typed, kind), "read back": Quantity(back, kind)},
            "record in the unit that the control counts in",
        )


@rule(
    "percent-of-what",
    severity=OUTAGE,
    cautions=("record",),
    source=(CONTROL_FILE, COMMON_PRACTICE),
    trips='control.setting.heating_maximum_rate = { unit = "%" }',
    passes='control.setting.heating_maximum_rate = { unit = "% of input" }',
)
def percent_of_what(plant: Plant) -> Drafts:
    """A firing rate in per cent, and the control file does not say per cent of what.

    Of the input, of the fan speed, of the span between low and high fire, or of the output: at a turndown of 10,
    50 % of the span is 55 % of the input.
    """
    rates = [name for name in RATES if isinstance(plant.typed(name), float)]
    if not rates:
        raise DoesNotApply("no rate is recorded")
    for name in rates:
        row = plant.row(name)
        if row is None:
            yield Missing(name, f"the control file {plant.word('control.name')} does not describe it")
            continue
        if row.unit is not None and row.unit.strip(" %."):
            continue
        typed = plant.typed(name)
        assert isinstance(typed, float)
        yield found(
            name,
            f"{plant.show(Kind.PERCENT, typed)} of what? The control file names no unit; of the input, of the span and"
            " of the fan speed are three different fires",
            {"typed": Quantity(typed, Kind.PERCENT)},
            "take it from the maker's papers into the control file: unit = per cent of what",
            cautions=cautions_of(name),
        )


RULES: Final[tuple[Rule, ...]] = (
    typed_in_other_unit,
    difference_converted_with_32,
    percent_of_what,
    time_in_other_unit,
    raw_bus_value_recorded,
    rounding_through_other_unit,
)
