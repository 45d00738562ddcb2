"""Rules: does the heating get the water it needs, and no hotter than the emitters may take."""

from __future__ import annotations

from textwrap import shorten
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.model.values import Value, title_of
from settingslint.physics.emitter import supply_need
from settingslint.rules.base import (
    DAMAGE,
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Remedy,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
)
from settingslint.rules.derived.line import (
    follows,
    highest_supply,
    line_setting,
    own_line,
    own_supply,
    reset_is_on,
    top,
)
from settingslint.rules.derived.need import NEED_FACTS, direct_emitters, emitter, need_at_share
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import COMMON_PRACTICE, EN_442, EN_1264

NEED_MARGIN: Final = Threshold(
    "short_of_need", kelvin(3), Kind.DIFFERENCE, COMMON_PRACTICE, "how far the supply may be below the need",
    kelvin(0.5), kelvin(10), "common practice, no source: 10 F less costs an emitter a tenth of its output",
    looser="up",
)  # fmt: skip


LONGEST_NAME: Final = 24
"""Characters of an emitter's name that a headline has room for."""


def name_of(plant: Plant, index: int) -> str:
    """Return how the text calls an emitter: by the beginning of its name, or by its number."""
    name = plant.known(f"emitter[{index}].name")
    return shorten(str(name), LONGEST_NAME, placeholder="...") if name is not None else f"emitter {index + 1}"


@rule(
    "setpoint-below-emitter-need",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("heating_setpoint", *NEED_FACTS),
    applies=own_supply,
    cautions=("heating", "limit"),
    source=(EN_442, COMMON_PRACTICE),
    assumes="design flow and emitters as recorded",
    thresholds=(NEED_MARGIN,),
    trips="settings.heating_setpoint = 150",
    passes="settings.heating_setpoint = 158",
)
def setpoint_below_emitter_need(plant: Plant) -> Drafts:
    """The hottest allowed supply is too cool for the emitters on the design day.

    Fine in autumn, cold rooms in the worst week, and a boiler that never goes to high fire. Need on the design day:
    room + (design mean water - room) / oversize^(1/n) + half the drop; compared with the lower of heating set point and
    maximum supply.
    """
    wanted = need_at_share(plant, 1.0)
    highest, at = top(plant)
    short = Kelvin(wanted - highest)
    if short <= plant.threshold(NEED_MARGIN) + TOLERANCE:
        return
    low = [one for one in ("heating_setpoint", "maximum_supply") if _below(plant, one, wanted)]
    values = {one: attainable(plant, one, at_least=wanted) for one in low}
    raised: dict[str, Value] = {one: value for one, value in values.items() if value is not None}
    if len(raised) == len(low):
        names = " and ".join(title_of(one) for one in raised)
        remedy = Remedy(f"raise the {names} to {plant.show(at, raised[at])}, then check the limits", raised)
    else:
        remedy = Remedy("add emitters or check the design: this control can't go that high")
    yield found(
        at,
        f"supply reaches {plant.show(Kind.POINT, highest)}; emitters need {plant.show(Kind.POINT, wanted)} at"
        f" {plant.show('site.design_outdoor')} outdoors",
        {"highest supply": celsius_of(highest), "need": celsius_of(wanted), "short": kelvin_of(short)},
        remedy,
    )


def _below(plant: Plant, name: str, wanted: Celsius) -> bool:
    value = plant.known(name)
    return isinstance(value, float) and value < wanted


def hottest_supplies(plant: Plant) -> list[tuple[Celsius, str]]:
    """Return the hottest heating supplies that are possible, each with its setting: own line, boost, signal."""
    supplies: list[tuple[Celsius, str]] = []
    if plant.known("external_signal") == "temperature":
        supplies.append((plant.point("external_high"), "external_high"))
    if follows(plant):
        return supplies
    highest, at = top(plant)
    boosted = plant.known("boost_step") not in (None, OFF)
    if reset_is_on(plant) and not boosted:
        coldest = plant.known("site.coldest")
        outdoor = Celsius(coldest) if isinstance(coldest, float) else plant.point("site.design_outdoor")
        supply = own_line(plant).supply(outdoor)
        if supply is not None and supply < highest:
            highest, at = supply, line_setting(plant)
    return [*supplies, (highest, at)]


@rule(
    "supply-above-emitter-limit",
    severity=DAMAGE,
    needs=("emitter",),
    cautions=("heating", "limit"),
    source=(COMMON_PRACTICE, EN_1264),
    trips=(
        'emitter = [{ kind = "heated floor", design_supply = 104, design_return = 90, maximum_supply = 120, '
        "mixed = false }]"
    ),
    passes="settings.maximum_supply = 118",
)
def supply_above_emitter_limit(plant: Plant) -> Drafts:
    """The supply can get hotter than an emitter, or the floor above it, may take.

    Gapped wood, cracked screed, pipe beyond its rating, burns on touch. The hottest supply of line, set point, boost or
    outside signal is compared with the designer's maximum for each emitter that has no mixing valve of its own. The
    maximum is a supply temperature; a floor's surface limit is another thing. A heated floor must record its maximum.
    """
    limits: list[tuple[Celsius, int]] = []
    for index in plant.emitters:
        at = f"emitter[{index}]"
        try:
            if plant.word(f"{at}.kind") != "heated floor" and plant.known(f"{at}.maximum_supply") is None:
                continue
            if not plant.flag(f"{at}.mixed"):
                limits.append((plant.point(f"{at}.maximum_supply"), index))
        except Missing as lack:
            yield lack
    if not limits:
        raise DoesNotApply("no unmixed emitter has a limit")
    limit, index = min(limits)
    for supply, at in hottest_supplies(plant):
        if supply <= limit + TOLERANCE:
            continue
        yield found(
            at,
            f"supply can reach {plant.show(Kind.POINT, supply)}; {name_of(plant, index)}: at most"
            f" {plant.show(Kind.POINT, limit)}, no mixing valve",
            {"hottest supply": celsius_of(supply), "limit": celsius_of(limit)},
            _cooler(plant, at, limit),
        )


def _cooler(plant: Plant, at: str, limit: Celsius) -> Remedy:
    """Return the fix for a supply above a limit: a maximum where no other emitter needs hotter water, else mixing."""
    name = "maximum_supply" if at != "external_high" and plant.has("maximum_supply") else at
    if name == "reset_slope":
        name = "heating_setpoint"
    ceiling = attainable(plant, name, at_most=limit)
    mixing = "fit a mixing valve with a high limit"
    if ceiling is None or _hotter_need(plant, limit):
        return Remedy(f"{mixing}: another emitter needs hotter water" if ceiling is not None else mixing)
    return Remedy(f"set {title_of(name)} to {plant.show(name, ceiling)}, or {mixing}", {name: ceiling})


def _hotter_need(plant: Plant, limit: Celsius) -> bool:
    try:
        return need_at_share(plant, 1.0) > limit + TOLERANCE
    except (Missing, DoesNotApply):
        return False


@rule(
    "one-temperature-for-unlike-emitters",
    severity=WASTE,
    certainty=LIKELY,
    needs=NEED_FACTS,
    cautions=("heating",),
    source=(EN_442, COMMON_PRACTICE),
    assumes="the emitters share one supply",
    trips=(
        'emitter = [{ kind = "cast-iron radiator", design_supply = 158, design_return = 138, '
        'mixed = false }, { kind = "heated floor", design_supply = 104, design_return = 90, '
        "maximum_supply = 120, mixed = false }]"
    ),
    passes=(
        'emitter = [{ kind = "cast-iron radiator", design_supply = 158, design_return = 138, '
        'mixed = false }, { kind = "panel radiator", design_supply = 150, design_return = 130, '
        "maximum_supply = 176, mixed = false }]"
    ),
)
def one_temperature_for_unlike_emitters(plant: Plant) -> Drafts:
    """One supply serves an emitter that needs hotter water than another one may take.

    The floor overheats or the radiators stay cool. Need of each unmixed emitter on the design day, compared with the
    lowest maximum of the others.
    """
    direct = direct_emitters(plant)
    if len(direct) < 2:
        raise DoesNotApply("no two emitters share a supply")
    room = plant.point("building.indoor_design")
    wanted, hot = max((supply_need(emitter(plant, index), 1.0, room), index) for index in direct)
    limits = [
        (limit, index)
        for index in direct
        if index != hot and isinstance(limit := plant.known(f"emitter[{index}].maximum_supply"), float)
    ]
    if not limits:
        raise DoesNotApply("no other emitter has a limit")
    limit, cold = min(limits)
    if wanted <= limit + TOLERANCE:
        return
    yield found(
        f"emitter[{cold}].mixed",
        f"same supply for {name_of(plant, hot)} (need {plant.show(Kind.POINT, wanted)}) and"
        f" {name_of(plant, cold)} (at most {plant.show(Kind.POINT, limit)})",
        {"need": celsius_of(wanted), "limit": celsius_of(limit)},
        "give the cooler one a mixed circuit with its own line and high limit",
    )


@rule(
    "new-system-above-supply-ceiling",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("heating_setpoint", "site.design_outdoor", "site.new_system_supply_ceiling"),
    only_if={"building.new_system": (True,)},
    applies=own_supply,
    cautions=("law", "heating"),
    source="Approved Document L volume 1, 2021, England: 55 C for new systems (from memory); check the local rule",
    assumes="the recorded maximum applies to this system",
    trips="building.new_system = true, site.new_system_supply_ceiling = 131",
    passes="site.new_system_supply_ceiling = 170",
)
def new_system_above_supply_ceiling(plant: Plant) -> Drafts:
    """A new heating system runs hotter on the design day than the local rules for new systems allow.

    It fails inspection. The effective supply on the design day is compared with the recorded maximum.
    """
    supply, ceiling = highest_supply(plant), plant.point("site.new_system_supply_ceiling")
    if supply <= ceiling + TOLERANCE:
        return
    yield found(
        line_setting(plant),
        f"new system runs at {plant.show(Kind.POINT, supply)} on the design day; local maximum"
        f" {plant.show(Kind.POINT, ceiling)}",
        {"supply": celsius_of(supply), "local maximum": celsius_of(ceiling)},
        "size the emitters for cooler water, or record the exemption and who decided it",
    )


RULES: Final[tuple[Rule, ...]] = (
    setpoint_below_emitter_need,
    supply_above_emitter_limit,
    one_temperature_for_unlike_emitters,
    new_system_above_supply_ceiling,
)
