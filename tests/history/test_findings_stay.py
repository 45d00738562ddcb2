"""A finding about a change belongs to that change, and stays through later visits until somebody answers it."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any, Final

import pytest

from settingslint.api import Estate
from settingslint.history.readings import readings_of
from settingslint.history.repository import Repository
from settingslint.history.visit import plan, standing
from settingslint.history.writing import write
from settingslint.rules.base import Finding
from tests.history.kit import Work, started

TODAY: Final = date(2026, 11, 28)
PROFILE: Final = "sites/mill/boiler-1.toml"


@pytest.fixture
def work(tmp_path: Path) -> Work:
    return started(tmp_path / "estate")


def visit(work: Work, on: str, by: str, text: str, role: str = "heating technician", why: str = "filter") -> None:
    """Record a visit as the command does."""
    head = f'serial = "K-1"\n[visit]\non = {on}\nby = "{by}"\nrole = "{role}"\nwhy = "{why}"\n'
    with Repository(work.folder) as repository:
        plant = standing(repository, work.folder, work.folder / PROFILE, TODAY)
        readings = readings_of((head + text).encode(), "readings.toml", plant.control, plant.profile.system)
        write(repository, plan(repository, work.folder, work.folder / PROFILE, readings, TODAY))


def found(work: Work, rule: str) -> list[Finding]:
    """Return what one rule finds in the files as they are."""
    (result,) = Estate(work.folder, TODAY).check().results
    return [one for one in result.findings if one.rule == rule]


PUT_BACK: Final = '[left]\nmaximum_fan_speed = { value = 6100, read_back = 6100, why = "put back" }\n'
AGAIN: Final = '[left]\nmaximum_fan_speed = { value = 6000, read_back = 6000, why = "bulletin" }\n'
ANEW: Final = '[left]\nmaximum_fan_speed = { value = 5900, read_back = 5900, why = "bulletin" }\n'
READ: Final = "[left]\nmaximum_fan_speed = { value = 6000, read_back = 6000 }\n"
FAN: Final = '[left]\nmaximum_fan_speed = { value = 6000, read_back = 6000, why = "too loud" }\n'
OTHER: Final = "[found]\nwarm_weather_shutdown = 63\n"
LICENSED: Final = "gas-licensed technician"


def combustion(on: str) -> str:
    return "".join(f"[combustion.{end}]\non = {on}\no2 = 5.0\nco2 = 8.9\nco = 40\n" for end in ("high", "low"))


def test_what_a_person_without_the_role_typed_stays_theirs(work: Work) -> None:
    visit(work, "2026-11-10", "T. One", FAN)
    for day in ("2026-11-12", "2026-11-14"):
        visit(work, day, "T. Two", OTHER, role=LICENSED)
    (one,) = found(work, "role-not-entitled")
    assert "changed on 2026-11-10 by T. One, heating technician" in one.message
    (proof,) = found(work, "firing-change-without-combustion-proof")
    assert "was changed on 2026-11-10" in proof.message


@pytest.mark.parametrize(
    ("text", "role", "answered"),
    [
        (PUT_BACK, "heating technician", True),
        (AGAIN, LICENSED, True),
        (READ, LICENSED, True),
        (READ, "caretaker", False),
        (ANEW, LICENSED, True),
        (ANEW, "caretaker", False),
        (combustion("2026-11-12"), LICENSED, True),
        (combustion("2026-11-12"), "caretaker", False),
        (combustion("2026-11-09"), LICENSED, False),
        (OTHER, LICENSED, False),
    ],
)
def test_what_answers_it(work: Work, text: str, role: str, answered: bool) -> None:
    visit(work, "2026-11-10", "T. One", FAN)
    visit(work, "2026-11-12", "T. Two", text, role=role)
    assert bool(found(work, "role-not-entitled")) is not answered
    visit(work, "2026-11-20", "T. Three", OTHER, role=LICENSED)
    assert bool(found(work, "role-not-entitled")) is not answered


def test_what_was_found_changed_stays_with_its_day(work: Work) -> None:
    visit(work, "2026-11-10", "T. One", "[found]\nwarm_weather_shutdown = 55\n", role=LICENSED)
    visit(work, "2026-11-14", "T. Two", "[found]\nheating_differential = 17\n", role=LICENSED)
    messages = {one.at: one.message for one in found(work, "as-found-differs")}
    assert messages.keys() == {"warm_weather_shutdown", "heating_differential"}
    assert "found at 55 F on 2026-11-10" in messages["warm_weather_shutdown"]
    assert "found at 17 F on 2026-11-14" in messages["heating_differential"]
    visit(
        work, "2026-11-16", "T. Two", '[left]\nwarm_weather_shutdown = { why = "caretaker, in May" }\n', role=LICENSED
    )
    assert [one.at for one in found(work, "as-found-differs")] == ["heating_differential"]
    visit(work, "2026-11-18", "T. Two", "[left]\nheating_differential = 18\n", role=LICENSED)
    assert found(work, "as-found-differs") == []


def test_an_acceptance_answers_it(work: Work) -> None:
    visit(work, "2026-11-10", "T. One", FAN)
    text = (work.folder / PROFILE).read_text(encoding="utf-8")
    accepted = (
        '\n[[accepted]]\nrule = "role-not-entitled"\nsetting = "maximum_fan_speed"\nbecause = "looked at"\n'
        'by = "M. Okoro"\nuntil = 2026-12-31\n'
    )
    work.write(PROFILE, text + accepted)
    work.commit("accepted")
    visit(work, "2026-11-14", "T. Two", OTHER, role=LICENSED)
    (one,) = found(work, "role-not-entitled")
    assert one.accepted is not None and one.accepted["by"] == "M. Okoro"


@pytest.mark.parametrize(
    ("told", "rule", "limit"),
    [
        ('occasion = "limit test"', "limit-not-put-back-after-test", 200),
        ('kind = "fault"', "limit-widened-after-fault", 209),
    ],
)
def test_a_limit_that_was_moved_stays_moved(work: Work, told: str, rule: str, limit: int) -> None:
    moved = f'{told}\n[left]\nhigh_limit = {{ value = {limit}, read_back = {limit}, why = "x y" }}\n'
    visit(work, "2026-11-10", "T. One", moved, role=LICENSED)
    visit(work, "2026-11-12", "T. Two", OTHER, role=LICENSED)
    assert [one.at for one in found(work, rule)] == ["high_limit"]
    back = '[left]\nhigh_limit = { value = 206, read_back = 206, why = "put back" }\n'
    visit(work, "2026-11-14", "T. Two", back, role=LICENSED)
    assert found(work, rule) == []


# a short visit --------------------------------------------------------------------------------------------------------


def keys(work: Work) -> set[tuple[str, str]]:
    (result,) = Estate(work.folder, TODAY).check().results
    return {(one.rule, one.at) for one in result.findings}


def test_a_short_visit_costs_nothing(work: Work) -> None:
    before = keys(work)
    for day in ("2026-11-10", "2026-11-20"):
        visit(
            work,
            day,
            "T. One",
            "[found]\nwarm_weather_shutdown = 63\npump_overrun = 4\ntank_setpoint = 145\n",
            LICENSED,
        )
        assert keys(work) <= before
    data: dict[str, Any] = tomllib.loads((work.folder / PROFILE).read_text(encoding="utf-8"))
    assert data["visit"]["on"] == date(2026, 11, 20)
    for name, value in (("read_back", True), ("clock_checked", True), ("service_code_default", False)):
        assert data["visit"][name] == {"value": value, "on": date(2026, 10, 6)}
    assert data["counters"]["starts"] == {"value": 3100, "on": date(2026, 10, 6)}
    assert "work_order" not in data["visit"] and "kind" not in data["visit"]


def test_what_a_visit_reads_anew_has_its_date(work: Work) -> None:
    said = "[visit]\nclock_checked = true\n"
    text = f"{OTHER}[counters]\nstarts = 3300\nburner_hours = 1600\n"
    head = f'serial = "K-1"\n{said}on = 2026-11-10\nby = "T. One"\nrole = "{LICENSED}"\nwhy = "filter"\n'
    with Repository(work.folder) as repository:
        plant = standing(repository, work.folder, work.folder / PROFILE, TODAY)
        readings = readings_of((head + text).encode(), "readings.toml", plant.control, plant.profile.system)
        write(repository, plan(repository, work.folder, work.folder / PROFILE, readings, TODAY))
    data: dict[str, Any] = tomllib.loads((work.folder / PROFILE).read_text(encoding="utf-8"))
    assert data["visit"]["clock_checked"] is True and data["counters"]["starts"] == 3300
    assert data["counters"]["idle_months"] == {"value": 0, "on": date(2026, 10, 6)}


def test_counters_of_another_day_are_no_copy_and_those_of_this_day_are(work: Work) -> None:
    visit(work, "2026-11-10", "T. One", OTHER, LICENSED)
    assert found(work, "visit-copied") == []
    visit(work, "2026-11-12", "T. One", "[counters]\nstarts = 3100\nburner_hours = 1500\n", LICENSED)
    assert len(found(work, "visit-copied")) == 1


def test_a_setting_typed_since_is_not_read_back_by_the_visit_before(work: Work) -> None:
    visit(work, "2026-11-10", "T. One", '[left]\ntank_setpoint = { value = 146, why = "plan" }\n', LICENSED)
    assert [one.at for one in found(work, "not-read-back")] == ["tank_setpoint"]
