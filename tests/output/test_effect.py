"""The figures of `effect`: each by hand on the kit's plant, the hours by hand on a year of a few bins."""

from __future__ import annotations

import math
from typing import Any

import pytest

from settingslint.output.effect import effect_data, effect_text
from settingslint.output.figures import ASSUMPTIONS, Figure, figures
from settingslint.output.workout import workout_text
from settingslint.physics.weather import Hours, Summary
from settingslint.rules.derived.hours import NOT_KNOWN, SHORT_FROM, between, hours_short
from settingslint.rules.plant import Context, Plant
from settingslint.units import Celsius, Kind, celsius, from_si, kelvin
from settingslint.workout import calculate
from tests.rules.kit import AS_OF, make_plant

SUMMARY = Summary("NOWHERE, XX", 8760, Celsius(8.0), Celsius(-20.0), Celsius(30.0), Celsius(-10.0), 3000.0, 3100.0)
# middles -15.5, -3.5, 0.5, 10.5, 15.5, 20.5 C: 4.1, 25.7, 32.9, 50.9, 59.9, 68.9 F
YEAR = Hours(((-16.0, 5), (-4.0, 20), (0.0, 100), (10.0, 700), (15.0, 900), (20.0, 3000)), SUMMARY)
TWO_POINTS: dict[str, Any] = {"style": "two points"}


def plant(changes: dict[str, Any] | None = None, hours: Hours | None = None, **more: Any) -> Plant:
    return make_plant(changes, context=Context(AS_OF, hours=hours), **more)


def shown(of: Plant) -> dict[str, float | str]:
    """Return each figure in US units, or why there is none."""
    return {
        one.title: one.why if one.value is None else from_si(one.value, one.kind, "us") for one in figures(of)
    }  # fmt: skip


def share(outdoor: float) -> float:
    """Return the load share at an outdoor temperature, F: none at 62 F, all at 4 F."""
    return (62 - outdoor) / 58


def need(outdoor: float) -> float:
    """Return the water of the kit's radiators, F: 158/138/70 F, 1.3 (EN 442)."""
    return float(70 + 78 * share(outdoor) ** (1 / 1.3) + 10 * share(outdoor))


class TestByHand:
    def test_line_need_and_dew_point(self) -> None:
        # 162 F at 4 F to 98 F at 62 F
        found = shown(plant(**TWO_POINTS))
        assert found["supply on the design day"] == pytest.approx(162)
        assert found["need on the design day"] == pytest.approx(158)
        assert found["line first falls short at"] == "nowhere from the design day up"
        # natural gas, 8.9 % CO2, 600 ft: 129.1 F; 162 - 64 (1 - x) - 20 x = 98 + 44 x is 129.1 F at x = 0.707, 21.0 F
        assert found["flue dew point"] == pytest.approx(129.1, abs=0.05)
        assert found["return is below the flue dew point from"] == pytest.approx(21.0, abs=0.9)

    def test_the_line_falls_short_where_its_cap_meets_the_need(self) -> None:
        # set point 150 F: need 151 F at 10.1 F, so that it is short by more than 1 F just below
        found = shown(plant({"settings.heating_setpoint": 150}, **TWO_POINTS))
        first = found["line first falls short at"]
        assert isinstance(first, float)
        assert need(first) > 151 > need(first + 0.91)

    def test_cycling_input_and_recovery(self) -> None:
        found = shown(plant())
        # low fire 15,000 x 0.92 = 13,800 Btu/h of 88,000: 62 - 58 x 0.1568 = 52.9 F
        assert found["burner begins to cycle at"] == pytest.approx(52.90, abs=0.01)
        assert found["input at low fire, about"] == pytest.approx(15e3)
        assert found["input at high fire without that limit, about"] == pytest.approx(118e3)
        # 58 gal x 8.33 x (145 - 46) F / 90,000 Btu/h = 31.9 min; water of 40 C holds 0.8 % less
        assert found["recovery of the tank from cold, without losses"] == pytest.approx(31.9, rel=0.01)

    def test_input_follows_the_effective_fan_speeds(self) -> None:
        # 103,000 Btu/h over 4,800 rpm: at 3,700 rpm 15,000 + 103,000 x 2,400/4,800
        found = shown(plant({"settings.maximum_fan_speed": 3700}))
        assert found["input at high fire without that limit, about"] == pytest.approx(66_500)
        outside = shown(plant({"settings.maximum_fan_speed": 6200}))["input at high fire without that limit, about"]
        assert "fan_speed = 6200 lies outside 1300 to 6100" in str(outside)


class TestHours:
    def test_hours_by_hand(self) -> None:
        # set point 140 F caps the line: short by 17.9 F at 4.1 F, and at 25.7 F 133.3 F is needed and 138.1 F given
        of = plant({"settings.heating_setpoint": 140}, YEAR, **TWO_POINTS)
        found = shown(of)
        assert need(4.1) - 140 == pytest.approx(17.9, abs=0.05)
        assert found["hours a year short of the need"] == 5
        assert found["short in these hours, mean"] == found["short in these hours, at most"]
        assert found["short in these hours, at most"] == pytest.approx(need(4.1) - 140, abs=1e-6)
        # the return is 98 + 44 x F where the cap of 140 F is not met: below 129.1 F in all hours but the coldest, where
        # it is 140 - 20 x 0.998 = 120 F, below too; those above the balance point of 62 F do not count
        assert found["hours a year with the return below the flue dew point"] == 5 + 20 + 100 + 700 + 900
        # above 52.9 F, and below 62 F
        assert found["hours a year with a load below low fire"] == 900

    def test_mean_and_most_are_weighed_by_the_hours(self) -> None:
        found = shown(plant({"settings.heating_setpoint": 125}, YEAR, **TWO_POINTS))
        short = {5: need(4.1) - 125, 20: need(25.7) - 125}
        assert need(32.9) < 125
        assert found["hours a year short of the need"] == 25
        assert found["short in these hours, at most"] == pytest.approx(short[5], abs=1e-6)
        assert found["short in these hours, mean"] == pytest.approx(
            sum(hours * by for hours, by in short.items()) / 25, abs=1e-6
        )

    def test_nowhere_short(self) -> None:
        found = shown(plant(hours=YEAR, **TWO_POINTS))
        assert found["hours a year short of the need"] == 0
        assert found["short in these hours, mean"] == found["short in these hours, at most"] == "nowhere short"

    def test_hours_short_that_are_colder_than_the_design_day_are_said_to_be(self) -> None:
        # -0.5 C is 31.1 F and the design day 4 F; -25.5 C is -13.9 F, where the line stands at its hot end of 162 F
        assert need(-13.9) > 163
        found = shown(plant(hours=Hours(((-26.0, 7), (-1.0, 100))), **TWO_POINTS))
        assert found["hours a year short of the need"] == 7
        assert found["line first falls short at"] == (
            "nowhere from the design day up; the hours short, below, are colder than the 4 F of that day"
        )
        warm = shown(plant(hours=YEAR, **TWO_POINTS))
        assert warm["line first falls short at"] == "nowhere from the design day up", "no hour is short"

    def test_an_hour_within_the_margin_is_not_short(self) -> None:
        coldest = Hours(((-16.0, 5),))
        for below, hours in ((0.0, 0), (0.99, 0), (1.01, 5)):
            of = plant({"settings.heating_setpoint": need(4.1) - below}, coldest, style="none")
            assert hours_short(of).hours == hours
        assert kelvin(1) == SHORT_FROM

    def test_without_a_weather_file(self) -> None:
        of = plant()
        hours = [one for one in figures(of) if one.kind is Kind.COUNT or "these hours" in one.title]
        assert len(hours) == 5
        assert all(one.value is None and NOT_KNOWN in one.why for one in hours)
        text = effect_text(of, 100)
        assert text.count(NOT_KNOWN) == 1
        assert "a year" not in text
        assert effect_data(of)["weather"] is None

    def test_between_two_temperatures(self) -> None:
        of = plant(hours=YEAR)
        assert between(of, Celsius(-3.5), Celsius(10.5)) == 820
        assert between(of, Celsius(0.0), Celsius(60.0)) == 4700
        assert between(plant(), Celsius(0.0), Celsius(60.0)) is None

    def test_the_place_is_named(self) -> None:
        of = plant(hours=YEAR)
        assert "hours by the portfolio's weather file: NOWHERE, XX" in effect_text(of, 100)
        assert effect_data(of)["weather"] == "NOWHERE, XX"
        assert NOT_KNOWN not in effect_text(of, 100)


class TestWhatIsMissing:
    @pytest.mark.parametrize(
        ("drop", "titles"),
        [
            ("gas.fuel", {"flue dew point", "return is below the flue dew point from"}),
            ("emitter", {"need on the design day", "line first falls short at"}),
        ],
    )
    def test_a_figure_says_what_it_needs(self, drop: str, titles: set[str]) -> None:
        found = {one.title: one for one in figures(plant(drop=[drop]))}
        for title in titles:
            assert found[title].value is None
            assert found[title].why.startswith("not checked: needs " + drop)
        assert found["supply on the design day"].value == pytest.approx(celsius(162), abs=1.0)

    @pytest.mark.parametrize(
        ("drop", "title", "says"),
        [
            ("building.design_load", "burner begins to cycle at", "heat load on the design day"),
            ("hot_water.tank_volume", "recovery of the tank from cold, without losses", "volume of the tank"),
            ("building.balance_point", "burner begins to cycle at", "balance point: 55 F to 65 F"),
        ],
    )
    def test_a_figure_is_told_as_a_band_where_something_usual_is_assumed(
        self, drop: str, title: str, says: str
    ) -> None:
        of = plant(drop=[drop])
        one = {one.title: one for one in figures(of)}[title]
        assert one.value is not None and one.low is not None and one.high is not None
        assert one.low <= one.value <= one.high and one.low < one.high
        assert says in one.assumed
        text = " ".join(effect_text(of, 100).split())
        assert "(assumed; " in text and "Assumed, because nobody recorded it: " in text
        assert effect_data(of)["figures"][title]["assumed"] == one.assumed

    def test_out_of_range_names_the_argument(self) -> None:
        found = {one.title: one for one in figures(plant({"combustion.high.co2": 14}))}
        assert found["flue dew point"] == Figure(
            "flue dew point", None, Kind.POINT, "out of range: co2_percent = 14 lies outside 2.5 to 11.7606"
        )

    def test_a_follower_has_no_line_of_its_own(self) -> None:
        found = shown(plant({"settings.cascade_role": "follower"}, YEAR))
        assert found["supply on the design day"] == "does not apply (the supply is set from outside)"
        assert found["hours a year short of the need"] == "does not apply (the supply is set from outside)"

    def test_shut_down_on_the_design_day(self) -> None:
        assert shown(plant({"settings.warm_weather_shutdown": 0}))["supply on the design day"] == "shut down"

    def test_assumptions_are_named(self) -> None:
        text = " ".join(effect_text(plant(), 80).split())
        assert ASSUMPTIONS in text
        for words in ("constant flow", "one exponent", "follows the outdoor temperature", "25% excess air", "50 F"):
            assert words in ASSUMPTIONS


def test_no_line_is_longer_than_a_pipe_is_wide() -> None:
    names = {"plant.name": "Boiler with a rather long name", "plant.site": "The old school of the upper town"}
    of = plant(names, control={"control.title": "A control whose title goes on for quite a while, as some titles do"})
    worked = workout_text(calculate(of), of, 80)
    for text in (effect_text(of, 80), worked):
        assert max(map(len, text.splitlines())) <= 80
    assert "as some titles do" in " ".join(effect_text(of, 80).split())
    assert "never calculated: the maker's values, licensed persons." in " ".join(worked.split())


@pytest.mark.parametrize("style", ["one number", "two points", "slope and shift", "none"])
def test_us_and_metric_files_give_the_same_figures(style: Any) -> None:
    """The same plant in both units. Rounded to four decimals in the metric file: 1e-3; a grid step where searched."""
    us, metric = figures(plant(style=style, hours=YEAR)), figures(plant(style=style, hours=YEAR, metric=True))
    for one, other in zip(us, metric, strict=True):
        assert (one.title, one.why) == (other.title, other.why)
        if one.value is not None and other.value is not None:
            assert math.isclose(one.value, other.value, rel_tol=1e-3, abs_tol=0.01), one.title


def test_both_candidates_are_shown_where_the_boiler_contradicts_the_control_file() -> None:
    silent = {"setting.high_limit": {"treatments": [], "access": "factory", "default": 206}}
    of = plant({"settings.high_limit": {"value": 215, "read_back": 215}}, control=silent)
    text = str(effect_text(of, 100))
    assert "206 F or 215 F" in text and "which of them is true is not known" in " ".join(text.split())
    rows = {one["setting"]: one for one in effect_data(of)["settings"]}
    assert (rows["high_limit"]["effective"], rows["high_limit"]["candidates"]) == (None, [206, 215])
    assert rows["heating_setpoint"]["candidates"] == []


def test_input_at_high_fire_is_told_with_the_heating_rate_limit() -> None:
    """The kit's limit of 90 % lets through 90 % of 118,000 Btu/h while heating; without a limit there is one number."""
    told = {one.title: one.value for one in figures(make_plant()) if "high fire" in one.title}
    full, limited = told["input at high fire without that limit, about"], told[
        "input at high fire while heating, with its rate limit, about"
    ]  # fmt: skip
    assert full is not None and limited is not None and limited == pytest.approx(0.9 * full)
    whole = figures(make_plant({"settings.heating_maximum_rate": 100}))
    assert [one.title for one in whole if "high fire" in one.title] == ["input at high fire, about"]
    unknown = figures(make_plant(drop=["settings.heating_maximum_rate"]))
    [lacking] = [one for one in unknown if "with its rate limit" in one.title]
    assert lacking.value is None and "heating_maximum_rate" in lacking.why
