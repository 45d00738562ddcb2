# ruff: noqa: E501
"""Combustion records at their boundaries, and that no rule of firing or limits ever gives a figure.

Stoichiometry: CO2max 11.7 % for natural gas (methane), 13.8 % for propane: 5.0 % O2 leave 8.90 % and 10.50 % CO2.
42 ppm CO and 8.9 % CO2 are a ratio of 0.00047191. All margins are common practice, no source. Dates count from the
check on 2026-11-25 and from the visit and the readings on 2026-10-06.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.model.values import Value, kind_of
from settingslint.rules import by_group
from settingslint.rules.base import Certainty, Finding, Severity, found
from settingslint.rules.plant import Context, Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import System, from_si
from settingslint.vocabulary.settings import FIRING, LIMITS
from tests.rules import test_firing, test_limits
from tests.rules.earlier import earlier, past
from tests.rules.examples import example_of
from tests.rules.kit import AS_OF, Answer, ask, finding, make_plant

METRIC: Final[dict[str, Any]] = {"metric": True}
PROOF: Final = "firing-change-without-combustion-proof"
NO_FIRING: Final = [f"settings.{name}" for name in FIRING]
MAKERS: Final = {"settings.maximum_fan_speed": 6100}
OLD: Final = {"combustion.high.on": "2026-10-05", "combustion.low.on": "2026-10-05"}
WAS: Final = {"heating_maximum_rate": 90}
PROPANE: Final = {"gas.fuel": "propane", "combustion.low.co2": 10.1}
AIR: Final = {"vent.outdoor_air": True, "site.coldest": 34, "site.hottest": 95}
HIGH: Final = {
    "combustion.high.on": "2025-10-07",
    "combustion.high.o2": 5.0,
    "combustion.high.co2": 8.9,
    "combustion.high.co": 42,
}
LOW: Final = {
    "combustion.low.on": "2025-10-07",
    "combustion.low.o2": 5.6,
    "combustion.low.co2": 8.6,
    "combustion.low.co": 18,
}


def typed(day: str, value: float = 6000) -> dict[str, Any]:
    return {"settings.maximum_fan_speed": {"value": value, "on": day}}


def read(day: str) -> dict[str, Any]:
    return past(earlier(day, facts={"combustion.high.on": day}))


CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    (PROOF, "clear", typed("2026-10-06"), {}),
    (PROOF, "found", typed("2026-10-07"), {}),
    (PROOF, "found", {**typed("2026-10-06"), "combustion.low.on": "2026-10-05"}, {}),
    (PROOF, "found", {**typed("2026-10-06"), "combustion.high.on": "2026-10-05"}, {}),
    (PROOF, "found", typed("2026-10-06"), {"drop": ["combustion.low"]}),
    (PROOF, "found", typed("2026-10-06"), {"drop": ["combustion.high"]}),
    (PROOF, "found", typed("2026-10-07"), METRIC),
    # dated though it equals the default: somebody typed it
    (PROOF, "found", typed("2026-10-07", 6100), {}),
    # the newest change counts
    (PROOF, "found", {**typed("2026-10-07"), "settings.minimum_fan_speed": {"value": 1300, "on": "2026-10-01"}}, {}),
    (PROOF, "found", {**typed("2026-10-01"), "settings.minimum_fan_speed": {"value": 1300, "on": "2026-10-07"}}, {}),
    (PROOF, "not checked", {}, {"drop": NO_FIRING}),
    (PROOF, "does not apply", MAKERS, {"drop": NO_FIRING}),
    # a default that nobody changed is no change, whatever the readings
    (PROOF, "does not apply", {"settings.maximum_fan_speed": {"left": "default"}}, {"drop": [*NO_FIRING, "combustion"]}),
    (PROOF, "does not apply", {"settings.maximum_fan_speed": {"left": "not reachable"}}, {"drop": [*NO_FIRING, "combustion"]}),
    # no date and no history: a reading of the visit's day proves it, an older one leaves it open, none at all does not
    (PROOF, "clear", {}, {}),
    (PROOF, "not checked", OLD, {}),
    (PROOF, "not checked", {"combustion.low.on": "2026-10-05"}, {}),
    (PROOF, "not checked", {"combustion.high.on": "2026-10-05"}, {}),
    (PROOF, "not checked", {}, {"drop": ["visit.on"]}),
    (PROOF, "found", {}, {"drop": ["combustion"]}),
    # without a default nothing says that it was changed at all
    (PROOF, "not checked", {"settings.fuel_setting": "natural gas"}, {"drop": [*NO_FIRING, "combustion"]}),
    (PROOF, "not checked", {"settings.fuel_setting": "natural gas", **OLD}, {"drop": NO_FIRING}),
    (PROOF, "clear", {"settings.fuel_setting": "natural gas"}, {"drop": NO_FIRING}),
    # by the history: changed at the visit, at an earlier one, or never
    (PROOF, "found", OLD, past(earlier("2026-03-01", {"heating_maximum_rate": 95}))),
    (PROOF, "clear", {}, past(earlier("2026-03-01", {"heating_maximum_rate": 95}))),
    (PROOF, "clear", OLD, past(earlier("2026-03-01", {"heating_maximum_rate": 95}), earlier("2026-10-05", WAS))),
    (PROOF, "found", OLD, past(earlier("2026-03-01", {"heating_maximum_rate": 95}), earlier("2026-10-06", WAS))),
    (PROOF, "clear", OLD, past(earlier("2026-03-01", WAS), earlier("2026-10-06", WAS))),
    (PROOF, "not checked", OLD, past(earlier("2026-10-06", WAS))),
    (PROOF, "clear", OLD, past(earlier("2026-03-01"), earlier("2026-10-05", WAS))),
    (PROOF, "not checked", OLD, past(earlier("2026-03-01"), earlier("2026-10-06", WAS))),
    (PROOF, "not checked", OLD, past(earlier("2026-03-01"))),
    # put back to the default is a change as well
    (PROOF, "found", {**OLD, "settings.heating_maximum_rate": {"left": "default"}}, past(earlier("2026-03-01", WAS))),
    # another gas or another vent material
    (PROOF, "found", {**OLD, **MAKERS}, {"drop": NO_FIRING, **past(earlier("2026-03-01", facts={"gas.fuel": "propane"}))}),
    (PROOF, "found", {**OLD, **MAKERS}, {"drop": NO_FIRING, **past(earlier("2026-03-01", facts={"vent.material": "pvc"}))}),
    (PROOF, "does not apply", {**OLD, **MAKERS}, {"drop": NO_FIRING, **past(earlier("2026-03-01", facts={"gas.fuel": "natural gas"}))}),
    (PROOF, "clear", MAKERS, {"drop": NO_FIRING, **past(earlier("2026-03-01", facts={"gas.fuel": "propane"}))}),
    ("combustion-reading-missing-or-old", "clear", {"combustion.low.on": "2025-10-21"}, {}),
    ("combustion-reading-missing-or-old", "found", {"combustion.low.on": "2025-10-20"}, {}),
    ("combustion-reading-missing-or-old", "found", {"combustion.high.on": "2025-10-20"}, {}),
    ("combustion-reading-missing-or-old", "clear", {"combustion.low.on": "2026-11-25"}, {}),
    ("combustion-reading-missing-or-old", "not checked", {"combustion.low.on": "2026-11-26"}, {}),
    ("combustion-reading-missing-or-old", "found", {}, {"drop": ["combustion.low"]}),
    ("combustion-reading-missing-or-old", "found", {}, {"drop": ["combustion.high"]}),
    ("combustion-reading-missing-or-old", "clear", {"plant.first_fired": "2026-10-06"}, {}),
    ("combustion-reading-missing-or-old", "found", {"plant.first_fired": "2026-10-07"}, {}),
    ("combustion-reading-missing-or-old", "clear", {"plant.first_fired": True}, {}),
    ("combustion-reading-missing-or-old", "found", {"plant.first_fired": True}, {"drop": ["combustion.low"]}),
    ("combustion-reading-missing-or-old", "does not apply", {"plant.first_fired": False}, {"drop": ["combustion"]}),
    ("combustion-reading-missing-or-old", "not checked", {}, {"drop": ["plant.first_fired", "combustion"]}),
    ("combustion-reading-missing-or-old", "clear", {}, {"context": Context(AS_OF, {"combustion_reading_days": 50.0})}),
    ("combustion-reading-missing-or-old", "found", {}, {"context": Context(AS_OF, {"combustion_reading_days": 49.0})}),
    ("combustion-readings-disagree", "clear", {"combustion.high.co2": 9.4}, {}),
    ("combustion-readings-disagree", "found", {"combustion.high.co2": 9.41}, {}),
    ("combustion-readings-disagree", "clear", {"combustion.high.co2": 8.41}, {}),
    ("combustion-readings-disagree", "found", {"combustion.high.co2": 8.4}, {}),
    # 5.6 % O2 leave 8.565 %
    ("combustion-readings-disagree", "clear", {"combustion.low.co2": 9.06}, {}),
    ("combustion-readings-disagree", "found", {"combustion.low.co2": 9.07}, {}),
    ("combustion-readings-disagree", "clear", {**PROPANE, "combustion.high.co2": 10.99}, {}),
    ("combustion-readings-disagree", "found", {**PROPANE, "combustion.high.co2": 11.0}, {}),
    ("combustion-readings-disagree", "found", {"combustion.high.co2": 9.41}, METRIC),
    # within half of the fourth decimal, and within 5 %
    ("combustion-readings-disagree", "clear", {"combustion.high.ratio": 0.0005218}, {}),
    ("combustion-readings-disagree", "found", {"combustion.high.ratio": 0.000522}, {}),
    ("combustion-readings-disagree", "clear", {"combustion.high.ratio": 0.00496, "combustion.high.co": 420}, {}),
    ("combustion-readings-disagree", "found", {"combustion.high.ratio": 0.00497, "combustion.high.co": 420}, {}),
    ("combustion-readings-disagree", "clear", {"combustion.high.ratio": 0.0045, "combustion.high.co": 420}, {}),
    ("combustion-readings-disagree", "found", {"combustion.high.ratio": 0.00449, "combustion.high.co": 420}, {}),
    ("combustion-readings-disagree", "found", {"combustion.high.ratio": 0}, {}),
    ("combustion-readings-disagree", "found", {"combustion.low.ratio": 0.0005}, {}),
    ("combustion-readings-disagree", "clear", {"combustion.high.co2": 0, "combustion.high.o2": 20.9, "combustion.high.ratio": 0.1}, {}),
    # 20.0 % O2 leave 0.50 %
    ("combustion-readings-disagree", "found", {"combustion.high.co2": 0.5, "combustion.high.o2": 20.0, "combustion.high.ratio": 0.1}, {}),
    ("combustion-readings-disagree", "clear", {"combustion.high.co2": 0.5, "combustion.high.o2": 20.0, "combustion.high.ratio": 0.0084}, {}),
    ("combustion-readings-disagree", "clear", {"combustion.high.ratio": 0.1}, {"drop": ["combustion.high.co"]}),
    ("combustion-readings-disagree", "not checked", {}, {"drop": ["gas.fuel"]}),
    ("combustion-readings-disagree", "not checked", {}, {"drop": ["combustion.high.o2"]}),
    ("combustion-readings-disagree", "not checked", {}, {"drop": ["combustion.high.co2"]}),
    ("combustion-readings-disagree", "not checked", {}, {"drop": ["combustion.low.o2"]}),
    ("combustion-readings-disagree", "not checked", {"combustion.low.o2": 21}, {}),
    # one end that lacks something does not hide the other
    ("combustion-readings-disagree", "found", {"combustion.low.co2": 9.5}, {"drop": ["combustion.high.o2"]}),
    ("analyser-on-wrong-fuel", "found", {"combustion.high.fuel": "propane"}, {}),
    ("analyser-on-wrong-fuel", "found", {"combustion.low.fuel": "propane"}, {}),
    ("analyser-on-wrong-fuel", "clear", {"combustion.low.fuel": "natural gas"}, {}),
    ("analyser-on-wrong-fuel", "found", {"gas.fuel": "propane"}, {}),
    ("analyser-on-wrong-fuel", "not checked", {}, {"drop": ["gas.fuel"]}),
    ("analyser-on-wrong-fuel", "not checked", {}, {"drop": ["combustion.high.fuel"]}),
    ("analyser-on-wrong-fuel", "not checked", {}, {"drop": ["combustion.low"]}),
    ("analyser-on-wrong-fuel", "found", {"combustion.low.fuel": "propane"}, {"drop": ["combustion.high"]}),
    ("analyser-calibration-old", "clear", {"combustion.high.analyser_calibrated": "2025-10-05"}, {}),
    ("analyser-calibration-old", "found", {"combustion.high.analyser_calibrated": "2025-10-04"}, {}),
    ("analyser-calibration-old", "clear", {"combustion.low.analyser_calibrated": "2025-10-05"}, {}),
    ("analyser-calibration-old", "found", {"combustion.low.analyser_calibrated": "2025-10-04"}, {}),
    ("analyser-calibration-old", "not checked", {}, {"drop": ["combustion.high.analyser_calibrated"]}),
    ("analyser-calibration-old", "not checked", {}, {"drop": ["combustion.low"]}),
    ("analyser-calibration-old", "found", {"combustion.low.analyser_calibrated": "2025-10-04"}, {"drop": ["combustion.high"]}),
    ("combustion-readings-copied", "found", {}, past(earlier("2025-10-07", facts=HIGH))),
    ("combustion-readings-copied", "found", {}, past(earlier("2025-10-07", facts=LOW))),
    ("combustion-readings-copied", "found", {}, past(earlier("2024-10-07", facts=HIGH), earlier("2025-10-07"))),
    ("combustion-readings-copied", "clear", {}, past(earlier("2025-10-07", facts={**HIGH, "combustion.high.co": 43}))),
    ("combustion-readings-copied", "clear", {}, past(earlier("2025-10-07", facts={**HIGH, "combustion.high.o2": 5.1}))),
    ("combustion-readings-copied", "clear", {}, past(earlier("2025-10-07", facts={**HIGH, "combustion.high.co2": 8.8}))),
    # the same reading, still there
    ("combustion-readings-copied", "clear", {}, past(earlier("2026-10-06", facts={**HIGH, "combustion.high.on": "2026-10-06"}))),
    ("combustion-readings-copied", "clear", {}, past()),
    ("combustion-readings-copied", "not checked", {}, {}),
    ("combustion-readings-copied", "not checked", {}, {"drop": ["combustion.high.co"], **past()}),
    ("combustion-readings-copied", "not checked", {}, {"drop": ["combustion.low"], **past()}),
    ("combustion-readings-copied", "found", {}, {"drop": ["combustion.high"], **past(earlier("2025-10-07", facts=LOW))}),
    # 118,000 Btu/h at 6,100 rpm
    ("clocked-input-off", "clear", {"gas.clocked_input": 112100}, {}),
    ("clocked-input-off", "found", {"gas.clocked_input": 112099}, {}),
    ("clocked-input-off", "clear", {"gas.clocked_input": 123900}, {}),
    ("clocked-input-off", "found", {"gas.clocked_input": 123901}, {}),
    # 15,000 + 103,000 x 4,700/4,800 = 115,854 Btu/h at 6,000 rpm
    ("clocked-input-off", "clear", {"gas.clocked_input": 110062, "settings.maximum_fan_speed": 6000}, {}),
    ("clocked-input-off", "found", {"gas.clocked_input": 110061, "settings.maximum_fan_speed": 6000}, {}),
    # without the control's figures the plate's count
    ("clocked-input-off", "clear", {"gas.clocked_input": 95000, "boiler.input_maximum": 100000}, {"drop_control": ["size"]}),
    ("clocked-input-off", "found", {"gas.clocked_input": 94999, "boiler.input_maximum": 100000}, {"drop_control": ["size"]}),
    ("clocked-input-off", "found", {"boiler.input_maximum": 5000}, {"drop_control": ["size"]}),
    ("clocked-input-off", "not checked", {"boiler.input_maximum": 0}, {"drop_control": ["size"]}),
    ("clocked-input-off", "clear", {"gas.clocked_input": 32.86}, METRIC),
    ("clocked-input-off", "found", {"gas.clocked_input": 32.85}, METRIC),
    ("clocked-input-off", "not checked", {}, {"drop": ["gas.clocked_input"]}),
    ("clocked-input-off", "not checked", {}, {"drop": ["gas.heating_value_basis"]}),
    ("clocked-input-off", "not checked", {}, {"drop": ["boiler.input_maximum"], "drop_control": ["size"]}),
    ("one-season-combustion", "found", AIR, {}),
    ("one-season-combustion", "clear", {**AIR, "site.coldest": 35}, {}),
    ("one-season-combustion", "does not apply", {**AIR, "vent.outdoor_air": False}, {}),
    ("one-season-combustion", "found", {"vent.outdoor_air": True, "site.coldest": 1.6, "site.hottest": 35}, METRIC),
    ("one-season-combustion", "clear", {"vent.outdoor_air": True, "site.coldest": 1.7, "site.hottest": 35}, METRIC),
    # the halves of the year change with April and with October
    ("one-season-combustion", "clear", AIR, read("2026-04-01")),
    ("one-season-combustion", "found", AIR, read("2026-03-31")),
    ("one-season-combustion", "clear", AIR, read("2025-09-30")),
    ("one-season-combustion", "found", AIR, read("2025-10-01")),
    ("one-season-combustion", "clear", AIR, past(earlier("2025-01-01"), *read("2025-07-01")["past"].states, *read("2026-01-01")["past"].states)),
    ("one-season-combustion", "not checked", AIR, {"drop": ["combustion.high"]}),
    ("one-season-combustion", "not checked", {}, {"drop": ["vent.outdoor_air"]}),
    ("one-season-combustion", "not checked", {"vent.outdoor_air": True}, {"drop": ["site.coldest"]}),
    ("one-season-combustion", "not checked", {"vent.outdoor_air": True}, {"drop": ["site.hottest"]}),
]  # fmt: skip


@pytest.mark.parametrize(("rule_name", "answer", "changes", "more"), CASES)
def test_boundaries(rule_name: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule_name, changes, **more) == answer


def test_which_change_is_named_and_what_it_lacks() -> None:
    one = finding(PROOF, {**typed("2026-10-08"), "settings.minimum_fan_speed": {"value": 1300, "on": "2026-10-07"}})
    assert one.at == "maximum_fan_speed"
    assert one.certainty is Certainty.PROVEN
    assert one.message == (
        "maximum fan speed was changed on 2026-10-08, and no analyser reading proves it: the one at high fire is of"
        " 2026-10-06; the one at low fire is of 2026-10-06"
    )
    low = finding(PROOF, typed("2026-10-06"), drop=["combustion.low"])
    assert low.message.endswith("proves it: none is recorded at low fire")
    undated = finding(PROOF, drop=["combustion"])
    assert undated.at == "heating_maximum_rate"
    assert "is not as the control came" in undated.message
    gas = finding(
        PROOF, {**OLD, **MAKERS}, drop=NO_FIRING, **past(earlier("2026-03-01", facts={"gas.fuel": "propane"}))
    )
    assert gas.at == "gas.fuel"
    assert "on 2026-10-06" in gas.message


def test_each_fault_of_a_reading_is_said_in_its_words() -> None:
    name = "combustion-reading-missing-or-old"
    assert finding(name, drop=["combustion.high"]).message.endswith("burns now: none is recorded at high fire")
    both = finding(name, {"plant.first_fired": "2026-11-01"})
    assert both.message.count("before the first firing on 2026-11-01") == 2
    assert both.at == "combustion.high.on"
    old = finding(name, {"combustion.low.on": "2025-10-06"})
    assert old.at == "combustion.low.on"
    assert old.message.endswith("the one at low fire is of 2025-10-06, 415 days ago")


def test_how_far_readings_are_apart() -> None:
    one = finding("combustion-readings-disagree", {"combustion.high.co2": 9.9})
    assert one.numbers["apart"].value == pytest.approx(0.999, abs=1e-3)
    assert "8.9" not in one.message
    ratio = finding("combustion-readings-disagree", {"combustion.high.ratio": 0.01})
    assert ratio.at == "combustion.high.ratio"
    assert ratio.numbers["from CO and CO2"].value == pytest.approx(42 / 89000)


@pytest.mark.parametrize("lacking", ["combustion.high.o2", "combustion.high.co2", "combustion.low.co2"])
def test_which_reading_is_missing(lacking: str) -> None:
    rules = [one for one in by_group()["firing"] if one.name == "combustion-readings-disagree"]
    assert audit(make_plant(drop=[lacking]), rules).not_checked[0].needs == (lacking,)


def test_how_far_the_clocked_input_is_off() -> None:
    one = finding("clocked-input-off", {"gas.clocked_input": 236000})
    assert one.numbers["off"].value == pytest.approx(1.0)
    assert "+100 %" in one.message
    assert "-20 %" in finding("clocked-input-off", {"gas.clocked_input": 94400}).message
    assert "gross" in one.message


# no figures -----------------------------------------------------------------------------------------------------------

NUMBER: Final = re.compile(r"(?<![\w.])\d[\d,]*(?:\.\d+)?")
GROUPS: Final = ("firing", "limits")


def tripping() -> Iterator[tuple[Rule, Plant]]:
    """Yield every rule of the two groups with every plant that is known to trip it."""
    rules = {one.name: one for group in GROUPS for one in by_group()[group]}
    for one in rules.values():
        if any(one.history):  # a file alone does not trip it
            continue
        example = example_of(one, trips=True)
        yield one, make_plant(example.profile, control=example.control, style=example.style)
    for name, answer, changes, more in (*CASES, *test_firing.CASES, *test_limits.CASES):
        if answer == "found" and name in rules:
            yield rules[name], make_plant(changes, **more)


Named = tuple[str, Value | None]


def makers(plant: Plant) -> Iterator[Named]:
    """Yield what the control file states of firing and of limits: defaults, ranges, fan speeds and inputs of sizes."""
    for name, row in plant.control.rows.items():
        if name in FIRING or name in LIMITS:
            yield from ((name, one) for one in (row.default, row.low, row.high, *row.default_by_size.values()))
            yield from ((name, one.amount) for one in row.treatments or ())
    for size in plant.control.sizes.values():
        yield from (("maximum_fan_speed", one) for one in (size.fan_at_minimum, size.fan_at_maximum))
        yield from (("boiler.input_maximum", one) for one in (size.input_minimum, size.input_maximum))
    yield "ignition_trials", plant.profile.fact_value("boiler.manufacturer_retries")


def recorded(plant: Plant, at: str) -> Iterator[Named]:
    """Yield what the profile records itself, and what the boiler obeys at the place of the finding."""
    for name, entry in plant.profile.settings.items():
        yield from ((name, one) for one in (entry.typed, entry.read_back, entry.then))
    yield from ((name, fact.value) for name, fact in plant.facts.items())
    effect = plant.effects.get(at)
    if effect is not None:
        yield at, effect.effective
        yield from ((at, one) for one in effect.band or ())


def si(values: Iterator[Named]) -> set[float]:
    """Return the numbers among values, SI."""
    return {round(value, 6) for _, value in values if isinstance(value, float)}


def printed(values: Iterator[Named]) -> set[float]:
    """Return the numbers among values as both unit systems print them: whole and to three decimals."""
    systems: tuple[System, System] = ("us", "metric")
    shown = [
        from_si(value, kind_of(name), system)
        for name, value in values
        if isinstance(value, float)
        for system in systems
    ]
    return {round(one, digits) for one in shown for digits in range(4)}


def told(one: Finding) -> list[float]:
    """Return every number in a finding's texts."""
    texts = [one.message, one.remedy.text if one.remedy else ""]
    return [float(number.replace(",", "")) for text in texts for number in NUMBER.findall(text)]


def test_no_rule_of_firing_or_limits_gives_a_figure() -> None:
    looked = set()
    for one, plant in tripping():
        findings = audit(plant, [one]).findings
        assert findings, one.name
        for each in findings:
            assert not (printed(makers(plant)) - printed(recorded(plant, each.at))) & set(told(each)), each
            numbers = {round(number.value, 6) for number in each.numbers.values()}
            assert not (si(makers(plant)) - si(recorded(plant, each.at))) & numbers, each
            assert each.remedy is not None
            assert not set(each.remedy.set) & (FIRING | LIMITS), each
            looked.add(one.name)
    assert looked == {one.name for group in GROUPS for one in by_group()[group]}


def test_a_figure_would_be_noticed() -> None:
    @rule("chatty", severity=Severity.DANGER, cautions=("firing",), source="a rule for tests")
    def chatty(plant: Plant) -> Iterator[Any]:
        """It gives the maker's figure."""
        yield found(
            "maximum_fan_speed", f"put it back to {plant.show('maximum_fan_speed', 6100.0)}", {}, "by the maker"
        )

    plant = make_plant({"settings.maximum_fan_speed": 6000})
    one = audit(plant, [chatty]).findings[0]
    assert (printed(makers(plant)) - printed(recorded(plant, one.at))) & set(told(one)) == {6100.0}
