"""Questions are ranked by what the answer decides; each order here is worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from settingslint.api import Estate
from settingslint.checking.audit import Result
from settingslint.checking.questions import questions, questions_of
from settingslint.cli import app
from settingslint.rules.base import ASK, DANGER, LIKELY, OUTAGE, WASTE, Finding, NotChecked, Severity
from tests.output.reports import report_of, result_of
from tests.rules.kit import AS_OF


def finding(severity: Severity, *, asks: tuple[str, ...] = (), assumed: tuple[str, ...] = ()) -> Finding:
    one = result_of().findings[0]
    return replace(one, severity=severity, certainty=ASK if asks else LIKELY, asks=asks, assumed=assumed)


def plant(name: str, *findings: Finding, lacks: tuple[tuple[str, ...], ...] = ()) -> Result:
    lacking = tuple(NotChecked(f"rule-{number}", needs) for number, needs in enumerate(lacks))
    return replace(result_of(), plant=name, findings=findings, not_checked=lacking)


def names(*results: Result) -> list[str]:
    return [one.name for one in questions(results)]


def test_the_worst_comes_first_then_the_most_findings_then_what_costs_least_then_the_most_checks() -> None:
    one = plant(
        "Boiler 1",
        finding(WASTE, asks=("hot_water.tank_volume",)),
        finding(WASTE, asks=("hot_water.tank_volume",)),
        finding(WASTE, asks=("hot_water.tank_volume",)),
        finding(DANGER, asks=("site.occupants",)),
        finding(OUTAGE, asks=("site.coldest",)),
        finding(OUTAGE, assumed=("building.design_load",)),
        finding(OUTAGE, asks=("building.design_load",)),
        finding(WASTE, asks=("hot_water.mixing_valve",)),
        finding(WASTE, asks=("hot_water.mixing_valve",)),
        finding(WASTE, asks=("hot_water.mixing_valve",)),
        lacks=(("gas.fuel",), ("gas.fuel",), ("boiler.location",), ("hot_water.tank_volume",)),
    )
    assert names(one) == [
        "site.occupants",  # danger
        "building.design_load", "site.coldest",  # outage: two findings, then one
        "hot_water.mixing_valve",  # waste, three findings: seen
        "hot_water.tank_volume",  # waste, three findings: more work to know
        "gas.fuel", "boiler.location",  # checks only: two, then one
    ]  # fmt: skip
    asked = {one.name: one for one in questions([one])}
    assert (asked["building.design_load"].worst, asked["building.design_load"].findings) == (OUTAGE, 2)
    assert (asked["gas.fuel"].worst, asked["gas.fuel"].findings, asked["gas.fuel"].checks) == (None, 0, 2)


def test_the_same_question_at_several_plants_is_one_with_their_names() -> None:
    kind = finding(OUTAGE, assumed=("emitter[0].kind",))
    asked = questions(
        [plant("Boiler 1", kind, kind), plant("Boiler 2", lacks=(("emitter",),)), plant("Boiler 3", kind)]
    )
    assert [(one.name, one.findings, one.checks, [name for _, name in one.plants]) for one in asked] == [
        ("emitter", 3, 1, ["Boiler 1", "Boiler 2", "Boiler 3"])
    ]
    assert asked[0].text.endswith("?")


def test_what_is_accepted_asks_nothing_and_nobody_is_asked_for_the_history() -> None:
    accepted = replace(finding(DANGER, asks=("site.occupants",)), accepted={"because": "a", "by": "b", "until": ""})
    assert names(plant("Boiler 1", accepted, lacks=(("history",), ("portfolio",)))) == []


def test_each_plant_has_its_own_questions_those_with_the_worst_first() -> None:
    first = plant("Boiler 1", finding(WASTE, asks=("hot_water.tank_volume",)))
    second = plant("Boiler 2", finding(DANGER, asks=("site.occupants",)), lacks=(("gas.fuel",),))
    found = questions_of(report_of(first, second, plant("Boiler 3")))
    assert [(one.plant, [ask.name for ask in one.asked]) for one in found.plants] == [
        ("Boiler 2", ["site.occupants", "gas.fuel"]),
        ("Boiler 1", ["hot_water.tank_volume"]),
    ]


def test_the_interface_and_the_command_say_the_same_and_unreadable_files_end_in_status_2(tmp_path: Path) -> None:
    from tests.report.conftest import write_portfolio

    root = write_portfolio(tmp_path / "p")
    found = Estate(root, AS_OF).questions()
    assert found.problems == () and len(found.asked) > 10 and found.plants

    def run(*words: str) -> tuple[int, str, str]:
        done = CliRunner().invoke(app(("questions",)), ["questions", str(root), "--as-of", AS_OF.isoformat(), *words])
        return done.exit_code, done.stdout, done.stderr

    status, text, _ = run()
    assert status == 0
    assert text.startswith(f"1. {found.asked[0].text}"[:60])
    numbers = [line.partition(".")[0] for line in text.splitlines() if line[:1].isdigit()]
    assert numbers == [str(number) for number in range(1, 11)]
    assert text.splitlines()[-1] == f"and {len(found.asked) - 10} more: --all"
    every = run("--all")[1]
    assert sum(line[:1].isdigit() for line in every.splitlines()) == len(found.asked)
    (root / "sites" / "bare" / "plant.toml").write_text("format = \n", encoding="utf-8")
    status, text, said = run()
    assert status == 2 and "1. " in text and "unreadable" in said and "bare" in said


@pytest.mark.parametrize("form", ["html", "text", "json", "csv"])
def test_nothing_to_ask_is_said(form: str) -> None:
    from settingslint.output import Look
    from settingslint.report.questions import render

    text = render(form, questions_of(report_of(plant("Boiler 1"))), Look())
    assert ("No question" in text) is (form in ("text", "html"))
