"""The tables of plausible values and of questions: whole, of the right kind, mild, and in line with handbooks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from itertools import chain
from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.derived.output import MAINS
from settingslint.rules.past import HISTORY
from settingslint.rules.rule import Rule
from settingslint.units import Kind, celsius
from settingslint.vocabulary import plausible_facts, plausible_settings
from settingslint.vocabulary.bounds import Bounds
from settingslint.vocabulary.facts import FACTS, FactRow, fact_row
from settingslint.vocabulary.plausible import NEVER_ASSUMED, Choice, Span
from settingslint.vocabulary.questions import QUESTIONS, Learned, Question
from settingslint.vocabulary.settings import LICENSED, OFF, SETTINGS, Setting
from tests.checking.thin import LEVELS, example_plants, right_plants, thin_plant
from tests.rules.kit import make_plant

Row = Span | Choice
ROWS: Final[tuple[Row, ...]] = (*plausible_facts.ROWS, *plausible_settings.ROWS)
SPANS: Final = [row for row in ROWS if isinstance(row, Span)]
CHOICES: Final = [row for row in ROWS if isinstance(row, Choice)]
OF_CONTROL: Final = ("size.input_maximum", "size.input_minimum")
"""What a control file states of a size; facts may rest on it."""
NO_NUMBER: Final = (Kind.FLAG, Kind.WORD, Kind.TEXT, Kind.DATE)

ASKED: Final[dict[str, str]] = {
    "hot_water.mixing_valve": "without one people are scalded",
    "hot_water.safety_plan": "legionella: a plan that is not there keeps nothing clean",
    "hot_water.low_use": "legionella: water that stands",
    "site.occupants": "the vulnerable are burnt sooner, and an empty house freezes unseen",
    "hot_water.mixing_valve_setpoint": "a valve set hot scalds",
    "hot_water.outlet_measured": "a hot tap scalds",
    "hot_water.return_measured": "legionella: a loop that comes back cool",
    "visit.role": "who may not change firing or a limit has changed it",
    "site.alarm_path": "without one an empty house freezes",
    "site.manual_reset_required": "a limit that resets by itself hides what heats up",
    "gas.fuel": "the wrong gas makes carbon monoxide",
    "vent.common": "flue gas of one boiler comes back through the other",
    "vent.common_damper": "flue gas of one boiler comes back through the other",
    "hot_water_schedule": "legionella: a tank that is cold by the clock",
    "freeze_protection": "pipes burst",
    "outdoor_sensor_loss": "people are left without heat",
    "leader_loss": "people are left without heat",
    "external_loss": "people are left without heat",
    "piping.outside_walls": "pipes burst",
    "piping.return_protection": "a flue rusts through",
    "piping.system_pump_interlocked": "a boiler without flow overheats",
    "emitter.kind": "there is no usual one",
}
"""What has no usual value, and what happens where it is guessed wrong."""

LOOKED_UP: Final = "dates and texts are looked up"
MEASURED: Final = "a reading is measured, not guessed"
RATING: Final = "a rating or a maker's figure is read off the plate; a guessed one could lead to a limit"
RULE_OF_PLACE: Final = "the law's or a policy's own number"
BURNER: Final = "firing and limits: licensed persons"
HYGIENE: Final = "decides about scalding and hygiene"
PURE_RECORD: Final = "only the record itself is judged by it"
NOT_ASKED: Final = "no rule lacks it: a rule takes it where it is recorded"
COUNTED: Final = "counted or shown at the control"
WITHOUT: Final[dict[str, tuple[str, ...]]] = {
    LOOKED_UP: (
        "site.jurisdiction", "boiler.size_on_plate", "boiler.serial_on_plate", "hot_water.mixing_valve_tested",
        "water.tested", "accessories.remote_writer_owner", "emitter.name", "emitter.maximum_reason",
    ),
    MEASURED: (
        "gas.clocked_input", "water.glycol_percent", "piping.flow_at_minimum_speed", "piping.system_flow",
    ),
    RATING: (
        "boiler.minimum_flow", "boiler.maximum_difference", "boiler.lowest_rated_part", "boiler.manufacturer_retries",
        "vent.material", "vent.rating", "vent.equivalent_length", "vent.outdoor_air", "hot_water.tank_rating",
        "water.relief_pressure", "water.static_height",
    ),
    RULE_OF_PLACE: ("site.insurer_minimum", "site.new_system_supply_ceiling", "holiday_room"),
    BURNER: (
        *sorted(LICENSED), "low_fire_hold", "control_gain", "service_mode", "service_mode_limit",
    ),
    HYGIENE: (
        "tank_setpoint", "outlet_setpoint", "hot_water_reduced", "hygiene_target", "hygiene_time_limit",
        "recirculation", "recirculation_off_hours",
    ),
    PURE_RECORD: ("accessories.remote_writer", "remote_writing"),
    NOT_ASKED: (
        "hot_water.coil_output", "emitter.load", "emitter.oversize", "minimum_return", "pump_minimum_speed",
        "heating_target_difference",
    ),
    "left on by mistake: a guess would say that nobody left it on": ("floor_drying", "purge_program"),
    "as wired: nobody can say what the control should listen to": (
        "call_source", "piping.calls_have_end_switches", "accessories.signal_low", "accessories.signal_high",
        "external_low", "external_high",
    ),
    "of a group: whoever has one knows it": (
        "cascade_address", "stage_order", "stage_on_rate", "stage_off_rate", "stage_on_delay", "rotation_interval",
    ),
}  # fmt: skip
"""What has no plausible value on purpose, and why; beside these nothing of a visit, a reading or a counter has one."""
NEVER: Final = ("visit.", "combustion.", "counters.")


def about(name: str) -> FactRow | Setting:
    return SETTINGS[name] if name in SETTINGS else fact_row(name)


def values_of(name: str) -> tuple[object, ...]:
    """Return what a word or flag can be, with `off` where a setting can be that."""
    row = about(name)
    off = (OFF,) if isinstance(row, Setting) and row.can_be_off else ()
    return (*row.words, *off) if row.kind is Kind.WORD else (True, False, *off) if row.kind is Kind.FLAG else off


def follows(row: Row) -> bool:
    """Return whether a row is no guess: what is recorded leaves one value, or a number that it rests on."""
    return bool(row.of) if isinstance(row, Span) else bool(row.when) and len(row.among) == 1


def shown(row: Row) -> str:
    return f"{row.name} {dict(row.when)}"


@pytest.mark.parametrize("row", SPANS, ids=shown)
def test_a_span_is_of_a_number_and_in_order(row: Span) -> None:
    assert about(row.name).kind not in NO_NUMBER
    assert row.low <= row.high
    assert row.usual is None or row.low <= row.usual <= row.high
    assert row.low < row.high or row.of  # it is the other number
    assert row.origin


@pytest.mark.parametrize("row", [row for row in SPANS if not row.of], ids=shown)
def test_a_span_lies_within_what_is_plausible_at_all(row: Span) -> None:
    bounds = about(row.name).plausible
    assert isinstance(bounds, Bounds)
    assert bounds.low <= row.low and row.high <= bounds.high


@pytest.mark.parametrize("row", [row for row in SPANS if row.of], ids=shown)
def test_a_span_rests_on_a_number_that_is_there(row: Span) -> None:
    if row.of in OF_CONTROL:
        assert isinstance(make_plant().recorded(row.of), float)
        return
    assert about(row.of).kind not in NO_NUMBER
    assert (about(row.of).kind is Kind.POINT) is (about(row.name).kind is Kind.POINT)
    if about(row.name).kind is not Kind.POINT:
        assert row.low > 0  # it is a share


@pytest.mark.parametrize("row", CHOICES, ids=shown)
def test_a_choice_is_among_what_can_be(row: Choice) -> None:
    can_be = values_of(row.name)
    assert can_be
    assert set(row.among) <= set(can_be)
    assert row.usual is None or row.usual in (row.among or can_be)
    assert row.origin


@pytest.mark.parametrize("row", [row for row in ROWS if row.when], ids=shown)
def test_a_condition_is_about_something_that_can_be(row: Row) -> None:
    for name, values in row.when.items():
        assert values and set(values) <= set(values_of(name)), name


def test_no_row_is_hidden_by_one_before_it() -> None:
    general: set[str] = set()
    for row in ROWS:
        assert row.name not in general, f"{shown(row)}: a row that always fits stands before it"
        if not row.when and not (isinstance(row, Span) and row.of):
            general.add(row.name)


def test_firing_and_limits_have_no_plausible_value() -> None:
    assert not {row.name for row in ROWS} & LICENSED


@pytest.mark.parametrize("name", ASKED)
def test_what_endangers_is_asked(name: str) -> None:
    rows = [row for row in ROWS if row.name == name]
    assert rows
    for row in rows:
        assert row.usual is None or follows(row), ASKED[name]


def test_what_is_never_assumed_has_no_usual_value() -> None:
    assert [
        shown(row) for row in ROWS if row.name in NEVER_ASSUMED and row.usual is not None and not follows(row)
    ] == []


def test_every_name_has_rows_or_a_reason_for_none() -> None:
    with_rows = {row.name for row in ROWS}
    without = list(chain.from_iterable(WITHOUT.values()))
    assert len(without) == len(set(without))
    assert not with_rows & set(without)
    with_rows.remove("visit.role")  # asked, never guessed
    assert not [name for name in with_rows if name.startswith(NEVER)]
    rest = {name for name in (*FACTS, *SETTINGS) if not name.startswith(NEVER)}
    assert rest == with_rows | set(without)


# questions ------------------------------------------------------------------------------------------------------------

WITHOUT_QUESTION: Final = (HISTORY, "climate", "settings")
"""What no answer brings: the history of a profile, the weather file of a portfolio, a profile without any setting."""
NOT_SAID: Final = ("tempering", "store", "obeyed", "stands", "draw ", "tap water", "from afar", "least", "nought")


@cache
def asked_by_rules() -> frozenset[str]:
    """Return the names that any rule lacks on some plant of which next to nothing is recorded, or says it needs."""
    rules: tuple[Rule, ...] = tuple(all_rules())
    names = set(chain.from_iterable((*rule.needs, *rule.only_if) for rule in rules))
    for _, plant in (*right_plants(), *example_plants()):
        for bare in (plant, *(thin_plant(plant, keep) for keep in LEVELS.values())):
            names.update(chain.from_iterable(one.needs for one in audit(bare, rules).not_checked))
    names.update(chain.from_iterable(one.needs for one in audit(nothing_recorded(), rules).not_checked))
    return frozenset(row_of(name) for name in names)


def nothing_recorded() -> Any:
    """Return a plant of which nothing is recorded but what it is."""
    plant = make_plant()
    names = [name for name in plant.profile.source.data if name not in ("format", "units", "plant", "settings")]
    return make_plant(drop=[*names, *(f"settings.{name}" for name in plant.profile.settings)])


def row_of(name: str) -> str:
    head, bracket, rest = name.partition("[")
    return head + rest.partition("]")[2] if bracket else name


def test_whatever_a_rule_lacks_has_a_question() -> None:
    asked = asked_by_rules()
    assert len(asked) > 150
    assert sorted(name for name in asked if name not in QUESTIONS and name not in WITHOUT_QUESTION) == []


def test_every_fact_and_setting_has_one_question() -> None:
    assert set(QUESTIONS) == {*FACTS, *SETTINGS, "emitter", "plant.size", "plant.first_fired", "plant.revision"}
    texts = [question.text for question in QUESTIONS.values()]
    assert len(texts) == len(set(texts))


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=lambda question: question.name)
def test_a_question_is_short_and_plain(question: Question) -> None:
    text = question.text
    assert len(text) <= 70
    assert text.endswith("?") and text.count("?") == 1
    assert text[0].isupper()
    assert not [word for word in NOT_SAID if word in text.casefold()]


def test_a_setting_is_read_at_the_control_and_little_else_is() -> None:
    read = {name for name, question in QUESTIONS.items() if question.learned is Learned.READ}
    assert set(SETTINGS) <= read
    assert {name.partition(".")[0] for name in read - set(SETTINGS)} == {"counters", "visit", "plant"}


# mildness -------------------------------------------------------------------------------------------------------------


def assumed_outages() -> Iterator[str]:
    for level, keep in LEVELS.items():
        for name, plant in right_plants():
            for one in audit(thin_plant(plant, keep), all_rules()).findings:
                if one.assumed and one.certainty is Certainty.LIKELY and one.severity.at_least(Severity.OUTAGE):
                    yield f"{level}: {name}: {one.rule}"


def test_no_assumption_makes_an_outage_of_a_plant_that_is_set_right() -> None:
    assert list(assumed_outages()) == []


# handbooks ------------------------------------------------------------------------------------------------------------


def span(name: str, *values: str) -> Span:
    """Return the first span of a name whose condition holds some values, or that has no condition."""
    return next(
        row for row in SPANS if row.name == name and all({*values} & set(map(str, one)) for one in row.when.values())
    )


def holds(name: str, value: float, *values: str) -> bool:
    row = span(name, *values)
    return row.low <= value <= row.high


OF_HANDBOOKS: Final[dict[str, Callable[[], bool]]] = {
    # ASHRAE Handbook, HVAC Systems and Equipment, hydronic units (from memory): finned tube is rated at some 180 F
    "finned tube at its rating": lambda: holds("emitter.design_supply", 180, "finned tube"),
    # EN 442-2:2014: 75/65/20 C
    "panel radiators at their rating": lambda: holds("emitter.design_supply", 167, "panel radiator"),
    # Approved Document L volume 1, 2021, England (from memory): at most 55 C in new systems
    "panel radiators of new systems": lambda: holds("emitter.design_supply", 131, "panel radiator"),
    # EN 442-2: 75/65 C falls by 10 K
    "drop of panel radiators": lambda: holds("emitter.design_return", -18, "panel radiator"),
    # EN 1264-4 (from memory): at most 55 C around the pipe
    "limit of a floor": lambda: span("emitter.maximum_supply", "heated floor").high == 131,
    # EN 1264-2: 29 C at the surface gives 100 W/m2 at 20 C in the room; no supply below the surface's temperature does
    "a floor is warmer than its surface": lambda: span("emitter.design_supply", "heated floor").low > 84.2,
    # US degree days count from 65 F
    "base of degree days": lambda: span("building.balance_point").high == 65,
    # EN 12831 (from memory): 20 C in rooms people live in
    "room": lambda: span("building.indoor_design").usual == 68,
    # TMY3 723170 by pvlib's reader: 99 % of hours at or above -9.4 C, coldest -16.7 C
    "design day of a weather file": lambda: holds_of("site.design_outdoor", "", 15.1),
    "coldest of a weather file": lambda: holds("site.coldest", 1.9 - 15.1),
    # 10 CFR 430.32(e) (from memory): 0.82, later 0.84, gas-fired hot-water boilers
    "lawful efficiency": lambda: holds("boiler.efficiency", 0.82, "False")
    and holds("boiler.efficiency", 0.84, "False"),
    # by the gross heating value no more comes out than goes in
    "condensing": lambda: span("boiler.efficiency", "True").low > 0.84
    and span("boiler.efficiency", "True").high < 1,
    # IECC C403.3.4: 3:1 for a plant of 1 to 5 million Btu/h
    "turndown": lambda: holds_of("boiler.input_minimum", "boiler.input_maximum", 0.33),
    # US Energy Policy Act of 1992 (from memory): a shower head passes at most 2.5 gpm
    "shower": lambda: holds("hot_water.peak_flow", 2.5),
    # the tool's own mains water, 10 C
    "mains": lambda: abs(celsius(span("hot_water.cold_inlet").usual or 0.0) - MAINS) < 0.1,
}  # fmt: skip


def holds_of(name: str, of: str, value: float) -> bool:
    return any(row.low <= value <= row.high for row in SPANS if row.name == name and row.of == of)


@pytest.mark.parametrize("name", OF_HANDBOOKS)
def test_in_line_with_a_handbook(name: str) -> None:
    assert OF_HANDBOOKS[name]()


def test_baseboard_at_its_usual_water_gives_what_an_oversized_one_has_to() -> None:
    """Printed factors of baseboard ratings, 65 F air, 215 F base: .45 at a mean of 150 F, .61 at 170 F (from memory).

    Rated at 180/160 F and a half too large, it carries its load at the usual supply with the usual drop.
    """
    usual, fall = (span(*one).usual for one in (("emitter.design_supply", "finned tube"), ("emitter.design_return",)))
    assert usual is not None and fall is not None
    mean = usual + fall / 2
    share = ((mean - 65) / 150) ** 1.4 / 0.61
    assert 0.45 < ((mean - 65) / 150) ** 1.4 < 0.61
    assert 1.2 < 1 / share < 1.5
