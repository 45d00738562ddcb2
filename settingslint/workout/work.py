"""All steps in their order, then the rules' own verified remedies, then what is left."""

from __future__ import annotations

from functools import cache
from typing import Final

from settingslint.checking.around import around
from settingslint.checking.audit import audit
from settingslint.model.values import NUMERIC, Value, title_of
from settingslint.physics import OutOfRange
from settingslint.rules import by_group
from settingslint.rules.base import DoesNotApply, Finding, Missing
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule
from settingslint.vocabulary.settings import FIRING, LIMITS, SETTINGS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, EN_442, HSE_HSG274
from settingslint.workout import heating, hot_water
from settingslint.workout.steps import Remains, Step, Unmet, Work, Workout

GROUPS: Final = ("heating", "reset", "hot_water")
"""The groups of rules that the values are tried against."""
UNMET: Final = "can't be met"
ROUNDS: Final = 8
"""How many remedies are taken at most."""

_LINE: Final = ("heating_setpoint", *(name for name in SETTINGS if name.startswith("reset_")))
_FLOW: Final = "constant flow, one exponent for each emitter, a load that follows the outdoor temperature"
STEPS: Final[dict[str, tuple[Work, str, str, tuple[str, ...]]]] = {
    "heating set point": (heating.set_point, _FLOW, EN_442, ("heating_setpoint", "maximum_supply")),
    "warm-weather shutdown": (
        heating.shutdown,
        "the balance point as recorded",
        ARITHMETIC,
        ("warm_weather_shutdown",),
    ),
    "return kept warm": (heating.kept_return, "design flow", COMMON_PRACTICE, ("minimum_return",)),
    "floor of the line": (heating.floor, _FLOW, EN_442, ("minimum_supply",)),
    "outdoor reset": (heating.reset, _FLOW, EN_442, _LINE),
    "heating differential": (
        heating.differential,
        "one well-mixed volume, no load, low fire",
        COMMON_PRACTICE,
        ("heating_differential",),
    ),
    "buffer": (heating.buffer, "one well-mixed volume, no load, low fire", COMMON_PRACTICE, ()),
    "tank set point": (hot_water.tank, "the hygiene value of the portfolio", HSE_HSG274, ("tank_setpoint",)),
    "boiler target during hot water": (
        hot_water.boiler_target,
        "a coil of ordinary size",
        COMMON_PRACTICE,
        ("hot_water_boiler_setpoint",),
    ),
    "recovery of the tank": (hot_water.recovery, "full output to the tank", ARITHMETIC, ()),
    "priority time limit": (hot_water.priority, "full output to the tank", ARITHMETIC, ("priority_time_limit",)),
}


def calculate(plant: Plant) -> Workout:
    """Return the steps in order, the plant with all of them applied (a copy), and what the rules still find.

    Raises:
        AssertionError: where a step gave a firing setting or a limit, which nothing here may do.
    """
    steps: list[Step] = []
    settled: set[str] = set()
    for title, (work, assumes, source, about) in STEPS.items():
        step = _step(title, work, assumes, source, plant)
        steps.append(step)
        if step.settings:
            plant = plant.instead(step.settings)
        if step.settings or step.why_not.startswith(UNMET):
            settled |= {*step.settings, *about}
    for _ in range(ROUNDS):
        remedy = _remedy(plant, settled)
        if remedy is None:
            break
        steps.append(remedy)
        settled |= set(remedy.settings)
        plant = plant.instead(remedy.settings)
    if any(name in FIRING or name in LIMITS for name in settled):
        raise AssertionError("firing and limits are never calculated")
    return Workout(tuple(steps), plant, tuple(_remains(finding) for finding in _findings(plant)))


def _step(title: str, work: Work, assumes: str, source: str, plant: Plant) -> Step:
    near, usual = plant, ""
    try:
        try:
            settings, working = work(plant)
        except Missing:
            tried = around(plant, work)
            if tried.plant is plant or not (FIRING | LIMITS).isdisjoint(tried.assumed or {}):
                raise
            near, usual = tried.plant, tried.usual(plant.system)
            settings, working = work(near)
    except Missing as lack:
        why = f"needs {lack.name}" + (f" ({lack.why})" if lack.why else "")
    except Unmet as unmet:
        why = f"{UNMET}: {unmet}"
    except DoesNotApply as none:
        name = str(none)
        because = f"{title_of(name)} is off or has no effect here" if name in SETTINGS else name
        why = f"does not apply: {because}" if because else "does not apply"
    except OutOfRange as error:
        why = f"can't be calculated: {error}"
    else:
        return Step(title, settings, working, assumes, source, usual=usual)
    return Step(title, {}, "", assumes, source, why)


@cache
def _rules() -> tuple[Rule, ...]:
    return tuple(rule for group in GROUPS for rule in by_group()[group])


def _findings(plant: Plant) -> tuple[Finding, ...]:
    return audit(plant, _rules()).findings


def _remedy(plant: Plant, settled: set[str]) -> Step | None:
    """Return the first verified remedy of a finding that sets temperatures and times which no step has settled."""
    sources = {rule.name: rule for rule in _rules()}
    for finding in _findings(plant):
        way = finding.remedy
        if way is None or not way.verified or any(not _may_set(name, settled) for name in way.set):
            continue
        rule = sources[finding.rule]
        values: dict[str, Value] = dict(way.set)
        return Step(
            rule.title.rstrip("."), values, f"{finding.says}; {way.text}", "; ".join(rule.assumes), rule.source[0],
            usual="; ".join(finding.remarks) if finding.assumed else "",
        )  # fmt: skip
    return None


def _may_set(name: str, settled: set[str]) -> bool:
    return SETTINGS[name].kind in NUMERIC and name not in settled and name not in FIRING and name not in LIMITS


def _remains(finding: Finding) -> Remains:
    fix = finding.remedy.text if finding.remedy is not None else "no temperature or time of this control answers it"
    return Remains(finding.rule, finding.at, finding.message, fix)
