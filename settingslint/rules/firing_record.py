"""Rules: is combustion proved after firing was changed, and does the record agree with itself."""

from __future__ import annotations

from datetime import date
from typing import Final

from settingslint.model.treatment import TOLERANCE, same
from settingslint.model.values import Value, title_of
from settingslint.physics.combustion import co2_from_o2, co_ratio
from settingslint.rules.base import (
    DANGER,
    RECORD,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Rule,
    Threshold,
    found,
    rule,
)
from settingslint.rules.plant import Plant
from settingslint.units import Kind
from settingslint.vocabulary.settings import FIRING
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

CAUTION: Final = ("firing", "combustion")
ENDS: Final = ("high", "low")

GAP: Final = Threshold(
    "combustion_readings_apart", 0.5, Kind.PERCENT, COMMON_PRACTICE, "how far O2 and CO2 may disagree, points of CO2"
)
RATIO_OFF: Final = Threshold(
    "combustion_ratio_off", 0.05, Kind.RATIO, COMMON_PRACTICE, "share by which a printed ratio may differ from CO/CO2"
)


def firing_changes(plant: Plant) -> tuple[dict[str, date], list[str]]:
    """Return when each firing setting was last changed, and those which were changed at a time that nobody recorded.

    A change is dated by the setting's own date, else by the history. What equals the control's default and was never
    another is no change.
    """
    dated: dict[str, date] = {}
    undated: list[str] = []
    for name in sorted(FIRING):
        entry = plant.profile.settings.get(name)
        if entry is None or entry.typed is None:
            continue
        plant.touched.add(name)
        on = entry.on or _changed_in_history(plant, name, entry.typed)
        row = plant.row(name)
        default = row.default_for(plant.profile.size) if row else None
        if on is not None:
            dated[name] = on
        elif default is not None and not same(default, entry.typed):
            undated.append(name)
    return dated, undated


def _changed_in_history(plant: Plant, name: str, typed: Value) -> date | None:
    """Return the date of the state that first had the present value, where an earlier one had another."""
    visited = plant.known("visit.on")
    since = visited if isinstance(visited, date) else None
    for state in reversed(plant.past.states if plant.past else ()):
        if name in state.typed and not same(state.typed[name], typed):
            return since
        since = state.on
    return None


@rule(
    "firing-change-without-combustion-proof",
    severity=DANGER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
)
def firing_change_without_combustion_proof(plant: Plant) -> Drafts:
    """Firing was changed, and no analyser reading at both ends is as new as the change.

    Date of the newest change of a firing setting, by its own date or by the history, against the dates of the readings
    at high and at low fire. A value that is not the control's default and has no date is a change of unknown age: any
    reading must be there, and one of the last visit's day or later proves it.

    Trips:
        [settings]
        maximum_fan_speed = { value = 6000, on = 2026-10-07 }
    Passes:
        [settings]
        maximum_fan_speed = { value = 6000, on = 2026-10-06 }
    """
    dated, undated = firing_changes(plant)
    if not dated and not undated:
        raise DoesNotApply("no firing setting was changed")
    name = max(dated, key=lambda one: dated[one]) if dated else undated[0]
    when = dated.get(name)
    visited = plant.known("visit.on") if undated else None
    lacking, open_ends = [], False
    for end in ENDS:
        reading = plant.known(f"combustion.{end}.on")
        if not isinstance(reading, date):
            lacking.append(f"none is recorded at {end} fire")
        elif when is not None and reading < when:
            lacking.append(f"the one at {end} fire is of {reading}")
        elif undated and not (isinstance(visited, date) and reading >= visited):
            open_ends = True
    if lacking:
        changed = f"was changed on {when}" if when is not None else "is not as the control came"
        yield found(
            name,
            f"{title_of(name)} {changed}, and no analyser reading proves it: {'; '.join(lacking)}",
            {},
            "a licensed person proves combustion at high and low fire, or puts the old value back",
        )
    elif open_ends:
        yield Missing("history", f"when {title_of(undated[0])} was changed is not recorded")


@rule(
    "combustion-readings-disagree",
    severity=DANGER,
    needs=("gas.fuel",),
    cautions=("combustion",),
    source="stoichiometry: CO2 = CO2max (20.9 - O2)/20.9",
    thresholds=(GAP, RATIO_OFF),
)
def combustion_readings_disagree(plant: Plant) -> Drafts:
    """O2 and CO2 of one reading do not belong together: a typing error, or the analyser stood on the wrong fuel.

    CO2 = CO2max (20.9 - O2)/20.9 within half a point; a printed ratio must be CO/CO2.

    Trips:
        [combustion.high]
        on = 2026-10-06
        o2 = 5.0
        co2 = 9.5
        co = 42
    Passes:
        [combustion.high]
        on = 2026-10-06
        o2 = 5.0
        co2 = 9.3
        co = 42
    """
    fuel = plant.word("gas.fuel")
    for end in ENDS:
        at = f"combustion.{end}"
        o2, co2 = plant.known(f"{at}.o2"), plant.known(f"{at}.co2")
        if not isinstance(o2, float) or not isinstance(co2, float):
            yield Missing(f"{at}.o2" if not isinstance(o2, float) else f"{at}.co2")
            continue
        belongs = co2_from_o2(o2, fuel)
        if abs(co2 - belongs) > plant.threshold(GAP) + TOLERANCE:
            yield found(
                f"{at}.co2",
                f"at {end} fire CO2 {co2:g} % with O2 {o2:g} %; {belongs:.1f} % would belong to it ({fuel})",
                {"CO2": Quantity(co2, Kind.PERCENT), "belongs": Quantity(belongs, Kind.PERCENT)},
                "look at the analyser's fuel and the sheet, and read it again",
            )
        co, ratio = plant.known(f"{at}.co"), plant.known(f"{at}.ratio")
        if isinstance(co, float) and isinstance(ratio, float) and co2 > 0 and ratio > 0:
            worked = co_ratio(co, co2)
            if abs(worked / ratio - 1) > plant.threshold(RATIO_OFF) + TOLERANCE:
                yield found(
                    f"{at}.ratio",
                    f"at {end} fire the ratio {ratio:g} is written; {co:g} ppm and {co2:g} % make {worked:.5f}",
                    {},
                    "look at the sheet and read it again",
                )


@rule(
    "analyser-on-wrong-fuel",
    severity=DANGER,
    needs=("gas.fuel",),
    cautions=("combustion",),
    source=ARITHMETIC,
)
def analyser_on_wrong_fuel(plant: Plant) -> Drafts:
    """The analyser was set to another fuel than the one on site.

    Trips:
        [combustion.low]
        on = 2026-10-06
        o2 = 5.6
        co2 = 8.6
        fuel = "propane"
    Passes:
        [combustion.low]
        on = 2026-10-06
        o2 = 5.6
        co2 = 8.6
        fuel = "natural gas"
    """
    fuel = plant.word("gas.fuel")
    for end in ENDS:
        selected = plant.known(f"combustion.{end}.fuel")
        if selected is None:
            yield Missing(f"combustion.{end}.fuel")
        elif selected != fuel:
            yield found(
                f"combustion.{end}.fuel",
                f"the analyser was set to {selected} at {end} fire; on site is {fuel}",
                {},
                "read it again with the right fuel selected",
            )


@rule(
    "analyser-calibration-old",
    severity=RECORD,
    needs=("combustion.high.on", "combustion.high.analyser_calibrated"),
    cautions=("combustion",),
    source=COMMON_PRACTICE,
    thresholds=(
        CALIBRATED := Threshold(
            "analyser_calibration_days", 366.0, Kind.COUNT, COMMON_PRACTICE, "days between calibrations of an analyser"
        ),
    ),
)
def analyser_calibration_old(plant: Plant) -> Drafts:
    """The analyser had not been calibrated within a year of the reading.

    Trips:
        [combustion.high]
        on = 2026-10-06
        o2 = 5.0
        co2 = 8.9
        analyser_calibrated = 2025-10-04
    Passes:
        [combustion.high]
        on = 2026-10-06
        o2 = 5.0
        co2 = 8.9
        analyser_calibrated = 2025-10-05
    """
    read, calibrated = plant.day("combustion.high.on"), plant.day("combustion.high.analyser_calibrated")
    days = (read - calibrated).days
    if days > plant.threshold(CALIBRATED):
        yield found(
            "combustion.high.analyser_calibrated",
            f"calibrated {days} days before the reading",
            {"days": Quantity(float(days), Kind.COUNT)},
            "read it again with a calibrated analyser",
        )


@rule(
    "combustion-readings-copied",
    severity=RECORD,
    needs=("combustion.high.on", "combustion.high.o2", "combustion.high.co2", "combustion.high.co"),
    cautions=("combustion", "record"),
    source=COMMON_PRACTICE,
)
def combustion_readings_copied(plant: Plant) -> Drafts:
    """The reading is the same to the digit as one of another date.

    Looks into the history of the profile.

    Trips (with a history that has the same figures under another date):
        [combustion.high]
        on = 2026-10-06
    Passes (with a history that has other figures):
        [combustion.high]
        on = 2026-10-06
    """
    if plant.past is None:
        raise Missing("history")
    names = [f"combustion.high.{one}" for one in ("o2", "co2", "co")]
    now, on = [plant.value(name) for name in names], plant.day("combustion.high.on")
    for state in plant.past.states:
        earlier = state.facts.get("combustion.high.on")
        if earlier is not None and earlier != on and [state.facts.get(name) for name in names] == now:
            yield found(
                "combustion.high.on",
                f"the reading of {on} is the same to the digit as that of {earlier}",
                {},
                "ask for the printout, and read it again where there is none",
            )
            return


RULES: Final[tuple[Rule, ...]] = (
    firing_change_without_combustion_proof,
    combustion_readings_disagree,
    analyser_on_wrong_fuel,
    analyser_calibration_old,
    combustion_readings_copied,
)
