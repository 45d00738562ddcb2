"""Rules of the firing group about the readings: do they agree with themselves, with the gas and with the settings."""

from __future__ import annotations

from datetime import date
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics.combustion import co2_from_o2, co_ratio
from settingslint.rules.base import (
    ASK,
    DANGER,
    LIKELY,
    RECORD,
    Drafts,
    Missing,
    Quantity,
    Threshold,
    found,
    kelvin_of,
    watts_of,
)
from settingslint.rules.derived.output import high_input
from settingslint.rules.firing.record import CAUTION, ENDS
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind, kelvin
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

GAP: Final = Threshold(
    "combustion_readings_apart", 0.5, Kind.PERCENT, COMMON_PRACTICE, "how far O2 and CO2 may disagree, points of CO2",
    0.1, 1.0, "common practice, no source: 1 point of CO2 is the way from a clean flame to a bad one", looser="up",
)  # fmt: skip
RATIO_OFF: Final = Threshold(
    "combustion_ratio_off", 0.05, Kind.RATIO, COMMON_PRACTICE, "share by which a printed ratio may differ from CO/CO2",
    0.01, 0.2, "common practice, no source: a fifth is more than an analyser rounds", looser="up",
)  # fmt: skip
HALF_A_DIGIT: Final = 0.00005
"""Of a ratio as analysers print it, to four decimals."""
CALIBRATED: Final = Threshold(
    "analyser_calibration_days", 366.0, Kind.COUNT, COMMON_PRACTICE, "days between calibrations of an analyser",
    90.0, 731.0, "common practice, no source: calibrated every year, every second at most", looser="up",
)  # fmt: skip
CLOCKED_OFF: Final = Threshold(
    "clocked_input_off", 0.05, Kind.RATIO, COMMON_PRACTICE, "share by which the clocked input may differ",
    0.01, 0.1, "common practice, no source: a tenth of the input is more than clocking a meter gets wrong",
    looser="up",
)  # fmt: skip
SEASONS: Final = Threshold(
    "one_season_range", kelvin(60), Kind.DIFFERENCE, COMMON_PRACTICE,
    "outdoor range above which readings of one half-year are not enough",
    kelvin(20), kelvin(100), "common practice, no source: 100 F is the range of nearly any place in a year",
    looser="up",
)  # fmt: skip


@rule(
    "combustion-readings-disagree",
    severity=DANGER,
    needs=("gas.fuel",),
    cautions=("combustion",),
    source="stoichiometry: CO2 = CO2max (20.9 - O2)/20.9",
    thresholds=(GAP, RATIO_OFF),
    trips=(
        "combustion.high.on = 2026-10-06, combustion.high.o2 = 5.0, combustion.high.co2 = 9.41, combustion.high.co = 42"
    ),
    passes="combustion.high.co2 = 9.4",
)
def combustion_readings_disagree(plant: Plant) -> Drafts:
    """O2 and CO2 of one reading do not fit: a typing error, or the analyser was set to the wrong fuel.

    CO2 = CO2max (20.9 - O2)/20.9 within half a point; a printed ratio must be CO/CO2 within 5 %, or within
    half of its fourth decimal.
    """
    fuel = plant.word("gas.fuel")
    for end in ENDS:
        at = f"combustion.{end}"
        o2, co2 = plant.known(f"{at}.o2"), plant.known(f"{at}.co2")
        if not isinstance(o2, float) or not isinstance(co2, float):
            yield Missing(f"{at}.o2" if not isinstance(o2, float) else f"{at}.co2")
            continue
        apart = abs(co2 - co2_from_o2(o2, fuel))
        if apart > plant.threshold(GAP) + TOLERANCE:
            yield found(
                f"{at}.co2",
                f"{end} fire: CO2 {co2:g} % and O2 {o2:g} % do not fit {fuel}, {apart:.1f} points apart",
                {"apart": Quantity(apart, Kind.PERCENT)},
                "check the analyser's fuel and the sheet, then measure again",
            )
        co, ratio = plant.known(f"{at}.co"), plant.known(f"{at}.ratio")
        if isinstance(co, float) and isinstance(ratio, float) and co2 > 0:
            right = co_ratio(co, co2)
            if abs(right - ratio) > max(plant.threshold(RATIO_OFF) * ratio, HALF_A_DIGIT):
                yield found(
                    f"{at}.ratio",
                    f"{end} fire: CO/CO2 ratio typed {ratio:g}, but {co:g} ppm and {co2:g} % give {right:.5f}",
                    {"typed": Quantity(ratio, Kind.RATIO), "from CO and CO2": Quantity(right, Kind.RATIO)},
                    "check the sheet, then measure again",
                )


@rule(
    "analyser-on-wrong-fuel",
    severity=DANGER,
    needs=("gas.fuel",),
    cautions=("combustion",),
    source=ARITHMETIC,
    trips=(
        "combustion.low.on = 2026-10-06, combustion.low.o2 = 5.6, combustion.low.co2 = 8.6, "
        'combustion.low.fuel = "propane"'
    ),
    passes='combustion.low.fuel = "natural gas"',
)
def analyser_on_wrong_fuel(plant: Plant) -> Drafts:
    """The analyser was set to another fuel than the one on site."""
    fuel = plant.word("gas.fuel")
    for end in ENDS:
        selected = plant.known(f"combustion.{end}.fuel")
        if selected is None:
            yield Missing(f"combustion.{end}.fuel")
        elif selected != fuel:
            yield found(
                f"combustion.{end}.fuel",
                f"analyser was set to {selected} at {end} fire, the gas on site is {fuel}",
                {},
                "measure again with the right fuel selected",
            )


@rule(
    "analyser-calibration-old",
    severity=RECORD,
    cautions=("combustion",),
    source=COMMON_PRACTICE,
    thresholds=(CALIBRATED,),
    trips="combustion.high.on = 2026-10-06, combustion.high.analyser_calibrated = 2025-10-04",
    passes="combustion.high.analyser_calibrated = 2025-10-05",
)
def analyser_calibration_old(plant: Plant) -> Drafts:
    """The analyser had not been calibrated within a year of the reading.

    At high and at low fire: more than 366 days.
    """
    for end in ENDS:
        at = f"combustion.{end}"
        try:
            days = (plant.day(f"{at}.on") - plant.day(f"{at}.analyser_calibrated")).days
        except Missing as lack:
            yield lack
            continue
        if days > plant.threshold(CALIBRATED):
            yield found(
                f"{at}.analyser_calibrated",
                f"analyser was last calibrated {days:,} days before the reading at {end} fire",
                {"days": Quantity(float(days), Kind.COUNT)},
                "measure again with a calibrated analyser",
            )


@rule(
    "combustion-readings-copied",
    severity=RECORD,
    cautions=("combustion", "record"),
    source=COMMON_PRACTICE,
    trips="combustion.high.on = 2026-10-06",
    passes="",
    history=("that has the same figures under another date", "that has other figures"),
)
def combustion_readings_copied(plant: Plant) -> Drafts:
    """A combustion reading is identical to one of another date.

    Looks into the history of the profile: O2, CO2 and CO at one end, all equal.
    """
    if plant.past is None:
        raise Missing("history")
    for end in ENDS:
        names = [f"combustion.{end}.{one}" for one in ("o2", "co2", "co")]
        try:
            now, on = [plant.value(name) for name in names], plant.day(f"combustion.{end}.on")
        except Missing as lack:
            yield lack
            continue
        for state in reversed(plant.past.states):
            earlier = state.facts.get(f"combustion.{end}.on")
            if earlier is not None and earlier != on and [state.facts.get(name) for name in names] == now:
                yield found(
                    f"combustion.{end}.on",
                    f"{end} fire reading of {on} is identical to that of {earlier}",
                    {},
                    "ask for the printout; where there is none, measure again",
                )
                break


@rule(
    "clocked-input-off",
    severity=DANGER,
    certainty=LIKELY,
    needs=("gas.clocked_input", "gas.heating_value_basis"),
    cautions=CAUTION,
    source="clocking a gas meter: general practice; heating value basis as recorded",
    assumes="the meter was clocked at high fire with nothing else burning",
    thresholds=(CLOCKED_OFF,),
    trips="gas.clocked_input = 112000",
    passes="gas.clocked_input = 112100",
)
def clocked_input_off(plant: Plant) -> Drafts:
    """The input clocked at the gas meter does not match the settings.

    Compared: the clocked input, with the input at the maximum fan speed it runs at by the control file, else the rated
    input, within 5 %.
    """
    clocked, set_ = plant.number("gas.clocked_input"), high_input(plant)
    if set_ <= 0:
        raise Missing("boiler.input_maximum")
    off = clocked / set_ - 1
    if abs(off) > plant.threshold(CLOCKED_OFF) + TOLERANCE:
        yield found(
            "gas.clocked_input",
            f"input clocked at {plant.show(Kind.POWER, clocked)} ({plant.show('gas.heating_value_basis')}) is"
            f" {off * 100:+,.0f} % against the settings",
            {"clocked": watts_of(clocked), "off": Quantity(off, Kind.RATIO)},
            "have a licensed gas technician check gas pressure, orifice and size, with an analyser",
        )


@rule(
    "one-season-combustion",
    severity=DANGER,
    certainty=ASK,
    needs=("vent.outdoor_air", "site.coldest", "site.hottest", "combustion.high.on"),
    only_if={"vent.outdoor_air": (True,)},
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(SEASONS,),
    trips="vent.outdoor_air = true, site.coldest = 34, site.hottest = 95",
    passes="site.coldest = 35",
)
def one_season_combustion(plant: Plant) -> Drafts:
    """Combustion air comes from outside, and readings of one half-year must do for a wide range of weather.

    Range from the coldest to the hottest outdoor temperature above 60 F; the halves are April to September and the
    rest. Readings in the history count as well.
    """
    span = plant.point("site.hottest") - plant.point("site.coldest")
    if span <= plant.threshold(SEASONS) + TOLERANCE:
        return
    on = plant.day("combustion.high.on")
    earlier = [state.facts.get("combustion.high.on") for state in plant.past.states] if plant.past else []
    if all(_warm_half(day) == _warm_half(on) for day in earlier if isinstance(day, date)):
        yield found(
            "combustion.high.on",
            f"combustion read in {on:%Y-%m}, outdoor air varies by {plant.show(Kind.DIFFERENCE, span)}:"
            " read in the other half-year too?",
            {"outdoor range": kelvin_of(span)},
            "measure combustion in cold and in warm weather (licensed gas technician)",
        )


def _warm_half(day: date) -> bool:
    return 4 <= day.month <= 9


RULES: Final[tuple[Rule, ...]] = (
    combustion_readings_disagree,
    analyser_on_wrong_fuel,
    analyser_calibration_old,
    combustion_readings_copied,
    clocked_input_off,
    one_season_combustion,
)
