"""Two validators agree, and each refusal says where, what and the way out.

`jsonschema` (the reference implementation in Python) is the outside authority for `jsonschema_rs` and the other way
round: both read the same schema, JSON Schema 2020-12.
"""

from __future__ import annotations

import copy
import math
import random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.model.bounds import beyond
from settingslint.model.control_file import control_from
from settingslint.model.profile import profile_from
from settingslint.model.source import Source, parse
from settingslint.model.validate import MOST_PROBLEMS, _authority, _quick, check_schema
from settingslint.model.values import Problem, Unreadable
from settingslint.vocabulary.settings import SETTINGS
from tests.strategies import Data, controls, profiles, source_of, text_of

MANY = settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))


# -- the two agree -------------------------------------------------------------------------------------------------

ODD: tuple[Any, ...] = (
    True, False, 0, 1, -1, 0.5, 1e9, -1e9, 10**11, "", "off", "off\n", "Off", "165", "2026-03-12", "2026-03-12\n",
    "2026-13-45", "2026-02-30", "2024-02-29", "2023-02-29", "2100-02-29", "0000-01-01", "1899-12-31", "2099-12-31",
    "9999-12-31", "20260312", "2026-3-1", "2026-W10-1", "\u0662\u0660\u0662\u0666-03-12", "x" * 201, "x" * 2001, "a/b",
    "name\n", "\u00e9", "us", "plate", [], [1], ["plate"], {}, {"value": 1}, {"left": "default"}, {"vale": 1},
)  # fmt: skip


def spots(node: Any) -> list[tuple[Any, Any]]:
    """Return every key and index of a nested structure with the container that holds it."""
    items = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    return [spot for key, value in items for spot in [(node, key), *spots(value)]]


def spoiled(data: Data, chance: random.Random) -> Data:
    """Return the data with one or two things changed, left out or added."""
    data = copy.deepcopy(data)
    for _ in range(chance.randint(1, 2)):
        container, key = chance.choice(spots(data))
        what = chance.randrange(4)
        if what == 0:
            container[key] = copy.deepcopy(chance.choice(ODD))
        elif what == 1:
            del container[key]
        elif what == 2 and isinstance(container, dict):
            container[chance.choice(["colour", "value", "left", "is", "by", "unit", "", "a b", key + "_"])] = 1
        else:
            container[key] = copy.deepcopy(chance.choice(spots(data)))[1]
        if not spots(data):
            break
    return data


def agree(data: Data, name: str) -> bool:
    quick = _quick(name).is_valid(data)
    authority = _authority(name).is_valid(data)
    assert quick == authority, (data, list(_authority(name).iter_errors(data)))
    return bool(authority)


@MANY
@given(profiles())
def test_a_good_profile_is_good_for_both_and_reads(data: Data) -> None:
    assert agree(data, "profile")
    profile = profile_from(source_of(data))
    assert set(profile.settings) == set(data["settings"])


@MANY
@given(controls())
def test_a_good_control_is_good_for_both_and_reads(data: Data) -> None:
    assert agree(data, "control")
    assert set(control_from(source_of(data)).rows) == set(data["setting"])


@MANY
@given(st.one_of(profiles().map(lambda data: ("profile", data)), controls().map(lambda data: ("control", data))))
def test_spoiled_files(made: tuple[str, Data]) -> None:
    """They agree on thousands of spoiled files, whatever is accepted reads, and whatever is refused says why."""
    name, data = made
    chance = random.Random(repr(data))
    for _ in range(25):
        bad = spoiled(data, chance)
        accepted = agree(bad, name)
        source = Source("bad.toml", "", bad)
        try:
            check_schema(source, name)
            assert accepted
            (profile_from if name == "profile" else control_from)(source)
        except Unreadable as unreadable:
            problems = unreadable.problems
        else:
            continue
        assert problems
        # a control may contradict itself, and a number of a profile be beyond what can be in its units
        assert not accepted or name == "control" or list(beyond(source))
        for problem in problems:
            one_clear_line(problem)


def one_clear_line(problem: Problem) -> None:
    assert problem.message.isprintable()
    assert 3 < len(problem.message) <= 500
    assert problem.line >= 1
    assert problem.column >= 1
    for words in ("is not valid under any", " is not of type ", "does not match '", "deque(["):
        assert words not in problem.message, problem.message


@pytest.mark.parametrize("odd", ODD, ids=repr)
@pytest.mark.parametrize("key", ["tank_setpoint", "keep_warm", "reset", "hot_water_method", "size_setting"])
def test_odd_values(key: str, odd: Any) -> None:
    head: Data = {"format": 1, "units": "us", "plant": {"name": "a", "site": "b", "control": "c"}}
    if agree({**head, "settings": {key: odd}}, "profile"):
        profile_from(source_of({**head, "settings": {key: odd}}))
    agree({**head, "settings": {}, "visit": {"on": odd}}, "profile")
    agree({**head, "settings": {}, "format": odd}, "profile")
    agree({**head, "settings": {}, "plant": {**head["plant"], "control": odd, "first_fired": odd}}, "profile")


# -- messages ------------------------------------------------------------------------------------------------------

PROFILE = 'format = 1\nunits = "us"\n[plant]\nname = "a"\nsite = "b"\ncontrol = "c"\n'
CONTROL = 'format = 1\nunits = "us"\n[control]\nname = "c"\nreset_style = "none"\n'


def problems_of(text: str, name: str = "profile") -> list[tuple[int, int, str]]:
    try:
        source = parse(text.encode(), "a.toml")
        check_schema(source, name)
        (profile_from if name == "profile" else control_from)(source)
    except Unreadable as unreadable:
        for problem in unreadable.problems:
            one_clear_line(problem)
            assert problem.file == "a.toml"
        return [(problem.line, problem.column, problem.message) for problem in unreadable.problems]
    return []


SETTINGS_AT_8 = {
    "heating_setpont = 165": (1, "unknown key heating_setpont in settings; did you mean heating_setpoint?"),
    "tank_volume = 40": (1, "unknown key tank_volume in settings; it belongs in [hot_water]"),
    "heating_setpoint = '165'": (
        20, "settings.heating_setpoint: expected a number, found '165'; write 165, without quotes and unit"
    ),
    "heating_setpoint = '165 F'": (
        20, "settings.heating_setpoint: expected a number, found '165 F'; write 165, without quotes and unit"
    ),
    "heating_setpoint = 'hot'": (20, "settings.heating_setpoint: expected a number, found 'hot'"),
    "heating_setpoint = true": (20, "settings.heating_setpoint: expected a number, found true"),
    "heating_setpoint = [1]": (20, "settings.heating_setpoint: expected a number, found a list"),
    "heating_setpoint = 2026-03-12": (20, "settings.heating_setpoint: expected a number, found '2026-03-12'"),
    "heating_setpoint = 4000": (
        20, "settings.heating_setpoint: 4000 can't be: at most 1000"
    ),
    "heating_differential = -300": (
        24, "settings.heating_differential: -300 can't be: at least -200"
    ),
    "heating_setpoint = nan": (20, "settings.heating_setpoint: nan is not a number that can be set"),
    "heating_setpoint = -inf": (20, "settings.heating_setpoint: -inf is not a number that can be set"),
    "heating_setpoint = 1e400": (20, "settings.heating_setpoint: inf is not a number that can be set"),
    f"heating_setpoint = 1{'0' * 400}": (20, "settings.heating_setpoint: the number is absurdly large"),
    f"heating_setpoint = {'9' * 5000}": (20, "a number of thousands of digits"),
    "keep_warm = false": (13, 'settings.keep_warm: expected a number or "off", found false; write "off"'),
    "keep_warm = 'of'": (13, "settings.keep_warm: expected a number or \"off\", found 'of'"),
    "reset = 'on'": (9, "settings.reset: expected true or false, found 'on'; write true, without quotes"),
    "reset = 0": (9, "settings.reset: expected true or false, found 0; write false"),
    "reset = 1.5": (9, "settings.reset: expected true or false, found 1.5"),
    "control_sensor = 'retrun'": (
        18, "settings.control_sensor: 'retrun' is not one of 'supply', 'return', 'system'; did you mean 'return'?"
    ),
    "control_sensor = 'Supply'": (
        18, "settings.control_sensor: 'Supply' is not one of 'supply', 'return', 'system'; did you mean 'supply'?"
    ),
    "control_sensor = 3": (18, "settings.control_sensor: expected one of 'supply', 'return', 'system', found 3"),
    "reset = {valu = true, value = false}": (
        10, "unknown key valu in settings.reset; did you mean value?"
    ),
    "reset = {why = 'x'}": (9, "settings.reset needs one of value, left"),
    "reset = {left = 'defult'}": (
        17, "settings.reset.left: 'defult' is not one of 'default', 'not reachable', 'not applicable'; "
        "did you mean 'default'?"
    ),
    "reset = {value = true, until = 'soon'}": (
        32, "settings.reset.until: expected a date like 2026-03-12, found 'soon'"
    ),
    "reset = {value = true, until = '2026-13-45'}": (
        32, "settings.reset.until: '2026-13-45' is not a valid date"
    ),
    "reset = {value = true, until = '2026-02-29'}": (
        32, "settings.reset.until: '2026-02-29' is not a valid date"
    ),
    "reset = {value = true, until = 2026}": (
        32, "settings.reset.until: expected a date like 2026-03-12, found 2026"
    ),
    "reset = {value = true, until = 07:30:00}": (
        32, "settings.reset.until: expected a date like 2026-03-12, found '07:30:00'"
    ),
    "reset = {value = true, why = ''}": (30, "settings.reset.why: is empty"),
    "reset.value = 7": (15, "settings.reset.value: expected true or false, found 7"),
    "'reset' = {'value' = 7}": (22, "settings.reset.value: expected true or false, found 7"),
    "reset = {why = 'Stra\u00dfe \u6c34', value = 7}": (37, "settings.reset.value: expected true or false, found 7"),
}  # fmt: skip


@pytest.mark.parametrize("line_end", ["\n", "\r\n"], ids=["LF", "CRLF"])
@pytest.mark.parametrize("written", SETTINGS_AT_8, ids=lambda written: written[:40])
def test_a_setting(written: str, line_end: str) -> None:
    column, message = SETTINGS_AT_8[written]
    if written.startswith("reset = {why = 'Stra"):
        column = written.index("7") + 1
    text = f"{PROFILE}[settings]\n{written}\n".replace("\n", line_end)
    assert problems_of(text) == [(8, column, message)]


ELSEWHERE = {
    "no settings": (PROFILE, [(1, 1, "the file lacks settings")]),
    "nothing at all": ("", [(1, 1, "the file lacks format and units and plant and settings")]),
    "no name of the plant": (
        PROFILE.replace('name = "a"\n', "") + "[settings]\n",
        [(3, 1, "plant lacks name")],
    ),
    "another format": (
        PROFILE.replace("format = 1", "format = 2") + "[settings]\n",
        [(1, 10, "format: expected 1, found 2")],
    ),
    "another unit system": (
        PROFILE.replace('"us"', '"imperial"') + "[settings]\n",
        [(2, 9, "units: 'imperial' is not one of 'us', 'metric'")],
    ),
    "a table that is none": (
        PROFILE + "building = 3\n[settings]\n",
        [
            (7, 1, "unknown key building in plant; known are name, site, control, size, serial, group, revision, "
             "first_fired, since"),
        ],
    ),
    "a table's name": (
        PROFILE + "[bulding]\n[settings]\n",
        [(7, 2, "unknown key bulding; did you mean building?")],
    ),
    "the second emitter": (
        PROFILE + "[settings]\n[[emitter]]\nkind = 'fan coil'\n[[emitter]]\nkind = 'fan-coils'\nlode = 3\n",
        [
            (11, 8, "emitter[2].kind: 'fan-coils' is not one of 'panel radiator', 'cast-iron radiator', 'finned tube', "
             "'convector', 'fan coil', 'heated floor', 'air coil', 'pool', 'snow melting'; did you mean 'fan coil'?"),
            (12, 1, "unknown key lode in emitter[2]; did you mean load?"),
        ],
    ),
    "an emitter without a kind": (
        PROFILE + "[settings]\n[[emitter]]\nload = 3\n",
        [(8, 1, "emitter[1] lacks kind")],
    ),
    "two mistakes": (
        PROFILE + "[settings]\nreset = 1\n[water]\nfluid = 'brine'\n",
        [
            (8, 9, "settings.reset: expected true or false, found 1; write true"),
            (10, 9, "water.fluid: 'brine' is not one of 'water', 'propylene glycol', 'ethylene glycol'"),
        ],
    ),
    "a path in place of a control": (
        PROFILE.replace('"c"', '"../c"') + "[settings]\n",
        [(6, 11, "plant.control: '../c' is not a valid name (letters, digits, dot, dash, underscore and blank)")],
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", ELSEWHERE)
def test_elsewhere_in_a_profile(what: str) -> None:
    text, expected = ELSEWHERE[what]
    assert problems_of(text) == expected


IN_A_CONTROL = {
    "[setting.heating_setpont]": [
        (6, 10, "unknown key heating_setpont in setting; did you mean heating_setpoint?"),
    ],
    "[setting.heating_setpoint]\ntreatments = [{does = 'ignre'}]": [
        (7, 23, "setting.heating_setpoint.treatments[1].does: 'ignre' is not one of 'ignore', 'add', 'off when', "
         "'cap', 'floor', 'at most until first firing'; did you mean 'ignore'?"),
    ],
    "[setting.heating_setpoint]\ntreatments = [{does = 'ignore', low = 3}]": [
        (7, 15, "setting.heating_setpoint.treatments[1] lacks high"),
    ],
    "[setting.heating_setpoint]\ntreatments = [{does = 'off when'}]": [
        (7, 15, "setting.heating_setpoint.treatments[1] needs one of equals, by"),
    ],
    "[setting.heating_setpoint]\ntreatments = [{does = 'cap', by = 'maximum_suply'}]": [
        (7, 35, "setting.heating_setpoint.treatments[1].by: 'maximum_suply' is not a known name; did you mean "
         "'maximum_supply'?"),
    ],
    "[setting.reset]\nneeds = [{otherwise = 'off'}]": [
        (7, 10, "setting.reset.needs[1] needs exactly one of accessory, fact with is, setting with is"),
    ],
    "[setting.reset]\nneeds = [{fact = 'hot_water.kind', otherwise = 'off'}]": [
        (7, 10, "setting.reset.needs[1] needs exactly one of accessory, fact with is, setting with is"),
    ],
    "[setting.heating_setpoint]\ndefault = 'warm'": [
        (7, 11, "setting.heating_setpoint.default: expected a number, found 'warm'"),
    ],
    "[setting.heating_setpoint]\ndefault = {small = 'warm'}": [
        (7, 20, "setting.heating_setpoint.default.small: expected a number, found 'warm'"),
    ],
    "[setting.heating_setpoint]\ndefault = {}": [(7, 11, "setting.heating_setpoint.default: is empty")],
    "[setting.heating_setpoint]\nstep = 0": [
        (7, 8, "setting.heating_setpoint.step: 0 can't be: at least 0.001"),
    ],
    "[setting.heating_setpoint]\nkind = 'difference'": [
        (7, 8, "setting.heating_setpoint.kind: expected 'point', found 'difference'"),
    ],
    "[setting.reset]\nrange = {low = 1}": [
        (7, 1, "unknown key range in setting.reset; known are label, menu, kind, unit, default, access, "
         "treatments, needs, "
         "takes_hold, lost_on, read_back, evidence"),
    ],
    "[setting.reset]\n[size.big]\ninput_maximum = -1": [
        (8, 17, "size.big.input_maximum: -1 can't be: it must be above 0"),
    ],
}  # fmt: skip


@pytest.mark.parametrize("written", IN_A_CONTROL)
def test_in_a_control(written: str) -> None:
    assert problems_of(f"{CONTROL}{written}\n", "control") == IN_A_CONTROL[written]


def test_no_more_than_a_hundred_problems_are_shown() -> None:
    text = PROFILE + "[settings]\n" + "".join(f"unknown_{index} = 1\n" for index in range(5000))
    assert len(problems_of(text)) == MOST_PROBLEMS


@given(st.text(min_size=1, max_size=40).filter(lambda key: key not in SETTINGS and "is not" not in key))
@settings(max_examples=150, deadline=None)
def test_any_key_makes_one_printable_line(key: str) -> None:
    data: Data = {"format": 1, "units": "us", "plant": {"name": "a", "site": "b", "control": "c"}, "settings": {}}
    data["settings"][key] = math.pi
    try:
        text = text_of(data)
    except UnicodeEncodeError:
        return
    for line, column, message in problems_of(text):
        assert message.startswith("unknown key ")
        assert text.split("\n")[line - 1][column - 1] in {key[0], '"', "'"}
