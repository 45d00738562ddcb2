"""What numbers and dates can be, and what of that is plausible: every row of the vocabulary at both of its ends.

The figures are the vocabulary's own, each with its origin; these tests hold the program to the table.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any, Final

import pytest

from settingslint.model.bounds import (
    FIRED,
    Doubt,
    Range,
    doubts,
    plausible_range,
    range_of,
    wrong_day,
    wrong_days_of,
)
from settingslint.model.profile import Entry, Fact, profile_from, toml_path
from settingslint.model.schema_parts import in_either
from settingslint.model.source import Source, parse
from settingslint.model.validate import check_schema, schema
from settingslint.model.values import NUMERIC, Unreadable
from settingslint.rules.plant import Context, Plant
from settingslint.units import Kind, System, from_si, to_si
from settingslint.vocabulary.bounds import PHYSICAL, Bounds, Dated, Direction
from settingslint.vocabulary.facts import DATES, FACTS, FactRow
from settingslint.vocabulary.settings import SETTINGS
from tests.rules.kit import make_control

AS_OF: Final = date(2026, 11, 25)
SYSTEMS: Final[tuple[System, ...]] = ("us", "metric")
NUMBERS: Final = sorted(name for name, row in FACTS.items() if row.kind in NUMERIC)
TYPED: Final = sorted(name for name, row in SETTINGS.items() if row.kind in NUMERIC)
DAYS: Final = sorted(name for name, row in FACTS.items() if row.kind is Kind.DATE)
OWN: Final = sorted(name for name in NUMBERS if FACTS[name].physical is not None)
HEAD: Final = 'format = 1\nunits = "{units}"\n[plant]\nname = "A"\nsite = "B"\ncontrol = "kit"\n[settings]\n'


def beside(end: float, outward: int) -> float:
    """Return a number a little beyond an end."""
    return end + outward * max(abs(end), 1.0) * 1e-3


def ends(own: Range) -> Iterator[tuple[float, int]]:
    """Yield the ends of a range with the direction that leads out of it."""
    yield own.low, -1
    yield own.high, 1


def of_fact(name: str, fact: Fact) -> dict[str, Doubt]:
    return doubts({name: fact}, {}, {}, "us", AS_OF)


# the table ------------------------------------------------------------------------------------------------------------


def test_every_number_and_date_has_its_columns() -> None:
    for name in (*NUMBERS, *TYPED):
        row = FACTS[name] if name in FACTS else SETTINGS[name]
        assert row.plausible is not None, name
        assert row.plausible.origin, name
        assert row.plausible.low < row.plausible.high, name
        assert row.kind in PHYSICAL, name
    for name, row in FACTS.items():
        assert (row.dated is not None) == (row.kind is Kind.DATE), name
        assert row.dated is None or row.dated.origin, name
        assert row.plausible is None or row.kind in NUMERIC, name
    assert all(own.origin for own in PHYSICAL.values())
    assert all(own.origin for own in DATES.values())


@pytest.mark.parametrize("name", [*NUMBERS, *TYPED])
def test_what_is_plausible_can_be(name: str) -> None:
    row = FACTS[name] if name in FACTS else SETTINGS[name]
    assert row.plausible is not None
    own = row.plausible
    if row.physical is not None:
        assert row.physical.low <= own.low < own.high <= row.physical.high
        assert row.physical.origin
    for system in SYSTEMS:
        low, high = in_either(row.kind, row.physical) if row.physical else PHYSICAL[row.kind][:2]
        for end in own[:2]:
            assert low <= from_si(to_si(end, row.kind, "us"), row.kind, system) <= high


# plausible ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NUMBERS)
def test_a_fact_at_its_ends(name: str) -> None:
    own = plausible_range(name)
    assert own is not None
    for end, outward in ends(own):
        assert of_fact(name, Fact(end)) == {}
        (found,) = of_fact(name, Fact(beside(end, outward))).values()
        assert found.why.endswith("is not plausible")
        assert not found.dated


@pytest.mark.parametrize("name", TYPED)
def test_a_setting_at_its_ends(name: str) -> None:
    own = plausible_range(name)
    assert own is not None
    for end, outward in ends(own):
        assert doubts({}, {name: end}, {}, "us", AS_OF) == {}
        assert list(doubts({}, {name: beside(end, outward)}, {}, "us", AS_OF)) == [name]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NUMBERS)
def test_a_file_at_the_ends(name: str, system: System) -> None:
    """As a file of either unit system states the end itself, to the last digit that a number has."""
    own = plausible_range(name)
    assert own is not None
    for end, _ in ends(own):
        shown = from_si(end, own.kind, system)
        assert of_fact(name, Fact(to_si(shown, own.kind, system))) == {}


def test_no_word_and_no_flag_is_in_doubt() -> None:
    told = {"gas.fuel": Fact("propane"), "boiler.condensing": Fact(True)}
    assert doubts(told, {"reset": True, "keep_warm": "off"}, {"plant.size": "two"}, "us", AS_OF) == {}


# dates ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DAYS)
def test_the_date_of_a_fact(name: str) -> None:
    assert of_fact(name, Fact(AS_OF)) == {}
    assert of_fact(name, Fact(AS_OF + timedelta(1))) == {name: Doubt("2026-11-26 is in the future", dated=True)}


@pytest.mark.parametrize(
    ("name", "value"), [("hot_water.outlet_measured", 45.0), ("gas.fuel", "propane"), ("vent.common", True)]
)
def test_the_date_beside_a_fact(name: str, value: float | str | bool) -> None:
    assert of_fact(name, Fact(value, on=AS_OF)) == {}
    found = of_fact(name, Fact(value, on=AS_OF + timedelta(1)))
    assert found == {name: Doubt("its date 2026-11-26 is in the future", dated=True)}


def test_the_first_firing() -> None:
    for fired in (AS_OF, True, False, None):
        assert doubts({}, {}, {FIRED: fired} if fired is not None else {}, "us", AS_OF) == {}
    assert list(doubts({}, {}, {FIRED: AS_OF + timedelta(1)}, "us", AS_OF)) == [FIRED]


def test_the_dates_of_a_setting() -> None:
    def wrong(on: date | None = None, until: date | None = None) -> set[str]:
        return set(wrong_days_of(Entry("tank_setpoint", 60.0, on=on, until=until), AS_OF))

    assert wrong(on=AS_OF, until=AS_OF + timedelta(730)) == set()
    assert wrong(on=AS_OF + timedelta(1), until=date(2020, 1, 1)) == {"on"}
    assert wrong(until=AS_OF + timedelta(731)) == {"until"}


def test_a_date_that_has_to_come() -> None:
    to_come = Dated(Direction.FUTURE)
    assert wrong_day(AS_OF, to_come, AS_OF) == ""
    assert wrong_day(AS_OF + timedelta(9000), to_come, AS_OF) == ""
    assert wrong_day(AS_OF - timedelta(1), to_come, AS_OF) == "2026-11-24 is in the past"


# what can't be --------------------------------------------------------------------------------------------------------


def text_with(name: str, value: str, system: System) -> str:
    """Return a profile with one fact."""
    *path, key = ["high" if part == "" else str(part) for part in toml_path(name)]
    table = '[[emitter]]\nkind = "panel radiator"' if path == ["emitter"] else f"[{'.'.join(path)}]"
    return HEAD.format(units=system) + f"{table}\n{key} = {value}\n"


def problems(text: str) -> list[tuple[int, int, str]]:
    try:
        check_schema(parse(text.encode(), "a.toml"), "profile")
    except Unreadable as error:
        return [(one.line, one.column, one.message) for one in error.problems]
    return []


def physical(row: FactRow, system: System) -> tuple[float, float]:
    """Return what a file of a unit system may state at least and at most."""
    if row.physical is None:
        return PHYSICAL[row.kind][:2]
    low, high = (from_si(to_si(end, row.kind, "us"), row.kind, system) for end in row.physical[:2])
    return low, high


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NUMBERS)
def test_beyond_what_can_be_a_file_is_refused(name: str, system: System) -> None:
    low, high = physical(FACTS[name], system)
    for end, outward in ((low, -1), (high, 1)):
        for form in ("{}", "{{ value = {} }}"):
            assert problems(text_with(name, form.format(end), system)) == []
            text = text_with(name, form.format(beside(end, outward)), system)
            ((line, column, message),) = problems(text)
            last = text.splitlines()[line - 1]
            assert line == len(text.splitlines())
            assert last[column - 1 :].startswith(f"{beside(end, outward)}")
            assert "can't be: at least" in message or "can't be: at most" in message


@pytest.mark.parametrize("name", OWN)
def test_the_schema_alone_refuses_what_can_not_be_in_either_unit(name: str) -> None:
    """An editor knows the schema only. It can't tell the unit systems apart, and says the wider of both."""
    import jsonschema_rs

    accepts = jsonschema_rs.Draft202012Validator(schema("profile")).is_valid
    row = FACTS[name]
    assert row.physical is not None
    low, high = in_either(row.kind, row.physical)
    for system in SYSTEMS:
        own = physical(row, system)
        assert low <= own[0] + 1e-9
        assert high >= own[1] - 1e-9
    for end, outward in ((low, -1), (high, 1)):
        for form in ("{}", "{{ value = {} }}"):
            assert accepts(parse(text_with(name, form.format(end), "us").encode(), "a").data)
            assert not accepts(parse(text_with(name, form.format(beside(end, outward)), "us").encode(), "a").data)


def test_in_plain_words_with_the_other_unit_where_that_is_it() -> None:
    (found,) = problems(text_with("hot_water.cold_inlet", "8.5", "us"))
    assert found[2] == (
        "hot_water.cold_inlet: 8.5 F can't be: at least 32 F, at most 212 F (water is ice below and steam above);"
        " 8.5 C would be 47.3 F: is it in the other unit?"
    )
    (found,) = problems(text_with("hot_water.outlet_measured", "-112", "us"))
    assert found[2].endswith("at most 212 F (water is ice below and steam above)")
    (found,) = problems(text_with("hot_water.outlet_measured", "112", "metric"))
    assert found[2].endswith("112 F would be 44.4 C: is it in the other unit?")


def test_all_that_can_not_be_is_said_at_once_and_once_each() -> None:
    text = text_with("hot_water.outlet_measured", "-1e5", "us") + "return_measured = 244\ncold_inlet = true\n"
    found = problems(text)
    assert [line for line, _, _ in found] == [9, 10, 11]
    assert ["can't be" in message for _, _, message in found] == [True, True, False]


def test_readings_of_a_visit_are_refused_too() -> None:
    data: dict[str, Any] = {"units": "us", "hot_water": {"outlet_measured": -112}}
    with pytest.raises(Unreadable, match="can't be"):
        check_schema(Source("visit.toml", "", data), "readings")
    check_schema(Source("visit.toml", "", {"units": "us", "hot_water": {"outlet_measured": 112}}), "readings")


def test_a_range_is_said_as_files_state_it() -> None:
    own = range_of(Kind.POINT, Bounds(80, 212))
    assert (own.show("us"), own.show("metric")) == ("80 to 212 F", "26.7 to 100 C")
    assert range_of(Kind.POWER, Bounds(3e3, 2e7)).show("us") == "3,000 to 20,000,000 Btu/h"


# what rules are given -------------------------------------------------------------------------------------------------


def test_a_fact_in_doubt_is_given_to_no_rule_and_a_setting_is() -> None:
    text = text_with("hot_water.outlet_measured", "60", "us").replace("[settings]", "[settings]\ntank_setpoint = 14")
    source = parse(text.encode(), "a.toml")
    plant = Plant(profile_from(source), make_control(), Context(AS_OF))
    assert set(plant.doubts) == {"hot_water.outlet_measured", "tank_setpoint"}
    plant.asked.anew(by_rule=True)
    assert [lack.name for lack in plant.lacks(["hot_water.outlet_measured", "tank_setpoint"])] == [
        "hot_water.outlet_measured"
    ]
    assert plant.value("tank_setpoint") == pytest.approx(-10)
    assert plant.asked.doubted == {"hot_water.outlet_measured", "tank_setpoint"}
    assert plant.recorded("hot_water.outlet_measured") == pytest.approx(to_si(60, Kind.POINT, "us"))
    plant.asked.anew()
    assert plant.known("hot_water.outlet_measured") is None  # for outputs it is not known


def test_a_result_that_is_kept_keeps_the_doubt_too() -> None:
    text = HEAD.format(units="us") + "tank_setpoint = 14\n"
    plant = Plant(profile_from(parse(text.encode(), "a.toml")), make_control(), Context(AS_OF))
    for _ in range(2):
        plant.asked.anew(by_rule=True)
        assert plant.once(_tank) == pytest.approx(-10)
        assert plant.asked.doubted == {"tank_setpoint"}


def _tank(plant: Plant) -> object:
    return plant.value("tank_setpoint")
