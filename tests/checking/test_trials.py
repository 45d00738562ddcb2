"""A rule that lacks something is tried on plausible values: what holds whatever it is, what is asked, what is assumed.

The rule of these tests is made for them, so that each answer can be worked out by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import pytest

from settingslint.checking.audit import ASSUMED, Result, audit
from settingslint.rules.base import (
    DANGER,
    OUTAGE,
    WASTE,
    Certainty,
    Drafts,
    Missing,
    Remedy,
    Severity,
    celsius_of,
    found,
    kelvin_of,
)
from settingslint.rules.plant import Context, Plant
from settingslint.rules.rule import Rule, rule
from settingslint.vocabulary.plausible import Choice, Span, by_name
from tests.rules.kit import AS_OF, make_plant

ROWS: Final = (
    Span("building.balance_point", 55, 60, 65, "test"),
    Span("site.design_outdoor", 0, 10, 20, "test"),
    Span("building.indoor_design", -5, 8, 12, "test", of="building.balance_point"),
    Choice("piping.zone_valves", None, "test"),
    Choice("boiler.heat_exchanger", None, "test"),
    Choice("piping.bypass", True, "test"),
    Choice("hot_water.hardness", "moderate", "test"),
)
NAMES: Final = ("building.balance_point", "site.design_outdoor", "building.indoor_design", "piping.zone_valves",
                "boiler.heat_exchanger", "piping.bypass", "hot_water.hardness")  # fmt: skip


def warm(above: float, severity: Severity = OUTAGE) -> Rule:
    """Return a rule that trips where the balance point is above so many degrees F."""

    @rule("warm", severity=severity, cautions=("heating",), source="test")
    def check(plant: Plant) -> Drafts:
        point = plant.point("building.balance_point")
        bound = (above - 32) / 1.8
        if point > bound:
            yield found(
                "heating_setpoint", f"balance point {plant.show('building.balance_point')}",
                {"point": celsius_of(point), "bound": celsius_of(bound), "off": kelvin_of(point - bound)},
                Remedy("set it", {"heating_setpoint": 70.0}),
            )  # fmt: skip

    return check


def when(names: Sequence[str], trips: Any, severity: Severity = OUTAGE) -> Rule:
    """Return a rule that trips where what `trips` says of the values of some names is true."""

    @rule("when", severity=severity, cautions=("heating",), source="test")
    def check(plant: Plant) -> Drafts:
        values = [plant.value(name) for name in names]
        if trips(*values):
            yield found("heating_setpoint", f"so it is: {values}", {}, Remedy("set it", {"heating_setpoint": 70.0}))

    return check


def tried(rule_: Rule, *dropped: str, changes: dict[str, Any] | None = None) -> Result:
    context = Context(AS_OF, usual=by_name(ROWS))
    return audit(make_plant(changes, drop=list(dropped), context=context), [rule_])


BALANCE: Final = "building.balance_point"


def only(result: Result) -> Any:
    assert len(result.findings) == 1
    return result.findings[0]


def test_what_trips_at_all_plausible_values_is_likely_with_the_mildest_numbers() -> None:
    one = only(tried(warm(54.9), BALANCE))
    assert one.certainty is Certainty.LIKELY
    assert one.message == ("balance point 55 F (for any balance point: 55 F to 65 F)")
    assert one.numbers["off"].value == pytest.approx(0.1 / 1.8)
    assert one.assumed == ()


def test_what_trips_at_the_usual_value_is_likely_and_names_it() -> None:
    one = only(tried(warm(55.1), BALANCE))
    assert one.certainty is Certainty.LIKELY
    assert one.message == "balance point 60 F (assuming balance point: 60 F)"
    assert one.assumed == (BALANCE,)
    assert one.asks == ()


@pytest.mark.parametrize("severity", [DANGER, OUTAGE])
def test_what_trips_beside_the_usual_value_is_a_question(severity: Severity) -> None:
    one = only(tried(warm(60.1, severity), BALANCE))
    assert one.certainty is Certainty.ASK
    assert one.message.endswith("For example if 65 F: balance point 65 F")
    assert one.asks == (BALANCE,)
    assert one.remedy.set == {}


def test_waste_beside_the_usual_value_is_not_asked_about() -> None:
    result = tried(warm(60.1, WASTE), BALANCE)
    assert result.findings == ()
    assert result.coverage.codes == bytes([ASSUMED])


def test_what_trips_nowhere_counts_apart() -> None:
    result = tried(warm(65.1, DANGER), BALANCE)
    assert (result.findings, result.checked, result.assumed, result.not_checked) == ((), (), ("warm",), ())


def test_without_plausible_values_it_is_not_checked() -> None:
    result = audit(make_plant(drop=["combustion.high.co"]), [when(["combustion.high.co"], lambda _: True)])
    assert [lack.needs for lack in result.not_checked] == [("combustion.high.co",)]
    assert result.assumed == ()


def test_what_is_recorded_is_never_replaced() -> None:
    result = tried(warm(50), changes={BALANCE: 58})
    assert only(result).certainty is Certainty.PROVEN


@pytest.mark.parametrize(
    ("trips", "certainty", "says"),
    [
        (lambda _: True, Certainty.LIKELY, "(for any zones are opened by valves: yes or no)"),
        (lambda valves: valves, Certainty.ASK, "If so: so it is"),
        (lambda valves: not valves, Certainty.ASK, "If not: so it is"),
    ],
)
def test_what_has_no_usual_value_is_asked_and_never_assumed(trips: Any, certainty: Certainty, says: str) -> None:
    one = only(tried(when(["piping.zone_valves"], trips), "piping.zone_valves"))
    assert one.certainty is certainty
    assert says in one.message
    assert one.assumed == ()


def test_waste_that_hangs_on_what_has_no_usual_value_is_not_asked_about() -> None:
    result = tried(when(["piping.zone_valves"], lambda valves: valves, WASTE), "piping.zone_valves")
    assert (result.findings, result.assumed) == ((), ("when",))


def test_of_two_that_are_asked_only_the_one_that_decides_is_named() -> None:
    names = ["piping.zone_valves", "boiler.heat_exchanger"]
    one = only(tried(when(names, lambda valves, _: valves), *names))
    assert one.asks == ("piping.zone_valves",)
    both = only(tried(when(names, lambda valves, mass: valves and mass == "low mass"), *names))
    assert both.asks == ("piping.zone_valves",)  # the other only once that is answered
    assert "If so, and heat exchanger: low mass: " in both.message


def test_a_value_that_depends_on_an_assumed_one_moves_with_it() -> None:
    names = [BALANCE, "building.indoor_design"]
    rule_ = when(names, lambda balance, indoor: indoor - balance > 7.9 / 1.8)
    one = only(tried(rule_, *names))
    assert one.certainty is Certainty.LIKELY
    assert one.assumed == ("building.indoor_design",)  # 5 F below would not trip; any balance point does


def test_one_that_needs_the_history_is_not_tried() -> None:
    @rule("past", severity=DANGER, cautions=("heating",), source="test")
    def check(plant: Plant) -> Drafts:
        plant.point(BALANCE)
        raise Missing("history")
        yield

    result = tried(check, BALANCE)
    assert [lack.rule for lack in result.not_checked] == ["past"]


def test_what_is_not_plausible_is_not_replaced_by_an_assumption() -> None:
    result = tried(warm(50), changes={BALANCE: 30})
    assert [lack.rule for lack in result.not_checked] == ["warm"]


def test_what_was_found_without_assumptions_stays_proven() -> None:
    @rule("two", severity=DANGER, cautions=("heating",), source="test")
    def check(plant: Plant) -> Drafts:
        yield found("tank_setpoint", "seen", {}, "do it")
        if plant.point(BALANCE) > 0:
            yield found("heating_setpoint", "assumed", {}, "do it")

    by_place = {one.at: one.certainty for one in tried(check, BALANCE).findings}
    assert by_place == {"tank_setpoint": Certainty.PROVEN, "heating_setpoint": Certainty.LIKELY}


def test_a_site_and_a_group_have_usual_values_of_their_own() -> None:
    rows = (
        Span(BALANCE, 40, 40, 40, "owner", {"plant.site": ("Mill Lane Hall",)}),
        Span(BALANCE, 62, 62, 62, "owner"),
    )
    plant = make_plant(drop=[BALANCE], context=Context(AS_OF, usual=by_name(rows)))
    assert audit(plant, [warm(50)]).findings == ()
    other = make_plant({"plant.site": "Elsewhere"}, drop=[BALANCE], context=Context(AS_OF, usual=by_name(rows)))
    assert len(audit(other, [warm(50)]).findings) == 1


def read_back(value: float) -> Plant:
    """Return a plant whose control file says nothing of what the display shows, read back otherwise than typed."""
    changes = {"settings.heating_setpoint": {"value": 164, "read_back": value}}
    return make_plant(changes, drop_control=["setting.heating_setpoint.read_back"])


@pytest.mark.parametrize("severity", [DANGER, WASTE])
@pytest.mark.parametrize("bound", [151, 163])
def test_where_the_boiler_contradicts_the_file_a_rule_speaks_if_either_trips(bound: float, severity: Severity) -> None:
    plant = read_back(150)
    assert len(plant.effects["heating_setpoint"].candidates) == 2
    one = only(audit(plant, [when(["heating_setpoint"], lambda at: at > (bound - 32) / 1.8, severity)]))
    assert one.certainty is Certainty.ASK
    assert one.case == "if 164 F"
    both = only(audit(plant, [when(["heating_setpoint"], lambda at: at > (149 - 32) / 1.8, severity)]))
    assert both.certainty is Certainty.LIKELY


def test_what_is_compared_with_that_from_which_it_was_taken_over_is_not_checked() -> None:
    rows = (Span("site.elevation", 1.0, 1.0, 1.0, "test", of="elevation_setting"),)
    rule_ = when(["elevation_setting", "site.elevation"], lambda typed, real: typed != real, DANGER)
    plant = make_plant({"settings.elevation_setting": 700}, drop=["site.elevation"],
                       context=Context(AS_OF, usual=by_name(rows)))  # fmt: skip
    result = audit(plant, [rule_])
    assert [lack.rule for lack in result.not_checked] == ["when"]
    other = audit(plant, [when(["site.elevation"], lambda real: real < 0, DANGER)])
    assert other.assumed == ("when",)
