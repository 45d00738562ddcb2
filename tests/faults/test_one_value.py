"""One value never stops the others: whatever a number or a rule does, every other plant is checked and told."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Final

import pytest

from settingslint.api import FORMS, render
from settingslint.checking.audit import audit
from settingslint.checking.check import Check
from settingslint.checking.report import Report
from settingslint.files.reader import Reader
from settingslint.output.effect import effect_data, effect_text
from settingslint.report.pages import write_report
from settingslint.rules import all_rules
from settingslint.rules.base import DANGER, Drafts, Missing, Quantity, found
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from tests.rules.kit import make_plant

HOME: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)
SITES: Final = ("bell-street-library", "tanners-court", "orchard-house")
EXTREMES: Final = ("5e-324", "1e-320", "0", "-1", "1e-9", "999999999")
NUMBER: Final = re.compile(r"(?<=[=:,{ ])(-?\d+(?:\.\d+)?)(?=\s*(?:[,}#\n]|$))")


@pytest.fixture
def estate(tmp_path: Path) -> Path:
    """Return three plants of the example."""
    for site in SITES:
        shutil.copytree(HOME / "sites" / site, tmp_path / "sites" / site)
    for folder in ("controls", "climate"):
        shutil.copytree(HOME / folder, tmp_path / folder)
    shutil.copy(HOME / "portfolio.toml", tmp_path)
    return tmp_path


def report_of(estate: Path, rules: tuple[Rule, ...] | None = None) -> tuple[Report, dict[str, Plant]]:
    plants: dict[str, Plant] = {}
    return Check(Reader(estate, AS_OF), rules).report([estate], keep=plants), plants


def numbers(profile: Path) -> Iterator[tuple[int, int, int]]:
    """Yield line, start and end of each number in a profile."""
    for at, line in enumerate(profile.read_text(encoding="utf-8").split("\n")):
        if not line.lstrip().startswith("#") and line.partition("=")[2].strip()[:2] != "20":
            for match in NUMBER.finditer(line.partition("#")[0]):
                yield at, *match.span()


def test_no_number_stops_a_check_or_an_output(estate: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Every number of one plant in turn becomes one of the extremes, in turn; all forms, the pages and `effect`."""
    profile = estate / "sites" / SITES[0] / "boiler-1.toml"
    lines = profile.read_text(encoding="utf-8").split("\n")
    places = list(numbers(profile))
    assert len(places) >= 60
    others = len(report_of(estate)[0].results) - 1
    read = 0
    for turn, (at, start, end) in enumerate(places):
        changed = [*lines]
        changed[at] = lines[at][:start] + EXTREMES[turn % len(EXTREMES)] + lines[at][end:]
        profile.write_text("\n".join(changed), encoding="utf-8")
        report, plants = report_of(estate)
        assert len(report.results) >= others, changed[at]
        assert not [one for one in report.problems if "itself failed" in one.message], changed[at]
        read += len(report.results) > others
        for form in FORMS:
            assert render(form, report), changed[at]
        for plant in plants.values():
            effect_text(plant, 80)
            effect_data(plant)
        assert write_report(report, plants, tmp_path_factory.mktemp("pages"))[1] == [], changed[at]
    assert read > len(places) / 2


@rule("always-fails", severity=DANGER, cautions=(), source="none")
def always_fails(plant: Plant) -> Drafts:
    """Fails at one plant."""
    if plant.profile.site.startswith("Bell"):
        raise TypeError("a thing that is none")
    yield Missing("nothing")


@rule("group-fails", severity=DANGER, cautions=(), source="none", scope="site")
def group_fails(plants: object) -> Drafts:
    """Fails."""
    raise KeyError("gone")
    yield


def test_a_fault_in_a_rule_is_a_problem_at_that_plant(estate: Path) -> None:
    report, _ = report_of(estate, (always_fails, *all_rules()))
    whole, _ = report_of(estate)
    assert [one.findings for one in report.results] == [one.findings for one in whole.results]
    assert [(one.file.rsplit("/", 2)[1], one.line) for one in report.problems] == [("bell-street-library", 1)]
    assert "settingslint itself failed here, in the rule always-fails (TypeError: a thing that is none)" in (
        report.problems[0].message
    )
    assert report.exit_status(None) == 2
    bell = next(one for one in report.results if one.site.startswith("Bell"))
    assert "always-fails" not in bell.checked and "always-fails" not in bell.not_applicable


def test_a_fault_in_a_rule_about_several_plants_is_one_too(estate: Path) -> None:
    report, _ = report_of(estate, (group_fails, *all_rules()))
    assert len(report.problems) == len(SITES)
    assert all("in the rule group-fails (KeyError: 'gone')" in one.message for one in report.problems)
    assert not [one for one in report.results if "group-fails" in (*one.checked, *one.not_applicable)]


@pytest.mark.parametrize("value", [float("inf"), float("-inf"), float("nan")])
def test_a_proof_that_can_not_be_shown_is_not_checked(value: float) -> None:
    @rule("endless", severity=DANGER, cautions=(), source="none", needs=("heating_setpoint",))
    def endless(plant: Plant) -> Drafts:
        """Proves too much."""
        plant.point("heating_setpoint")
        yield found("heating_setpoint", "too much", {"much": Quantity(value, Kind.RATIO)})

    result = audit(make_plant(), [endless])
    assert result.findings == () and result.faults == ()
    assert [(one.rule, one.needs) for one in result.not_checked] == [("endless", ("heating_setpoint",))]
    assert "can't be calculated" in result.not_checked[0].why
