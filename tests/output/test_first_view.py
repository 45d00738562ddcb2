"""The first view: worst first, one cause once, the same at many plants in one line, never more than sixty lines."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import pytest

from settingslint.checking.audit import Coverage, Result
from settingslint.checking.report import Report
from settingslint.files.portfolio import Portfolio
from settingslint.output import Look, render
from settingslint.output.first_view import grouped, shown
from settingslint.output.text import ROOM
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Remedy, Severity
from settingslint.rules.plant import Context
from settingslint.rules.summary import summary_of
from tests.checking.test_causes import found
from tests.rules.kit import AS_OF, make_plant

SUMMARY: Final = summary_of(make_plant())


def result(number: int, *findings: Any, site: str = "", **facts: Any) -> Result:
    summary = replace(SUMMARY, path=f"sites/{number}.toml", facts={**SUMMARY.facts, **facts})
    own = tuple(replace(one, file=summary.path) for one in findings)
    return Result(
        summary.path, f"Boiler {number}", site or f"Site {number}", own, (), Coverage((), b""), (), summary
    )  # fmt: skip


def report(*results: Result) -> Report:
    return Report(Portfolio(Path(), "Estate", Context(AS_OF)), results, (), all_rules())


def rules(of: Report) -> list[str]:
    return [one.finding.rule for one in shown(of)]


def test_worst_first_then_most_certain_then_what_poisons_before_a_limit() -> None:
    of = report(
        result(
            1,
            found("high-limit-too-near", "outage"),
            found("high-limit-near-boiling", "danger", cautions=("limit",), line=1),
            found("combustion-readings-disagree", "danger", cautions=("combustion",), line=9),
            found("clocked-input-off", "danger", certainty=Certainty.LIKELY, cautions=("firing",)),
        )
    )
    assert rules(of) == [
        "combustion-readings-disagree", "high-limit-near-boiling", "clocked-input-off", "high-limit-too-near",
    ]  # fmt: skip


def test_vulnerable_people_and_many_plants_come_before_others() -> None:
    one, other = found("loop-return-too-cool", "danger"), found("tap-too-hot", "danger")
    of = report(result(1, one), result(2, other, **{"site.occupants": "vulnerable"}), result(3, one))
    assert rules(of) == ["tap-too-hot", "loop-return-too-cool", "loop-return-too-cool"]
    many = report(result(1, other), result(2, one), result(3, one))
    assert rules(many)[0] == "loop-return-too-cool"


def test_the_same_at_several_plants_is_one_line_with_a_count() -> None:
    of = report(*(result(number, found("pump-exercise-off", "outage", says="idle")) for number in range(80)))
    assert len(grouped(shown(of))) == 1
    text = render("text", of, Look(80))
    assert (
        "outage: Site 0, Boiler 0: idle; the same kind at Site 1, Boiler 1; Site 10, Boiler 10; Site 11, Boiler 11"
        " and 76 more" in " ".join(text.split())
    )


@pytest.mark.parametrize("plants", [1, 17, 300])
@pytest.mark.parametrize("each", [1, 9])
def test_never_more_than_sixty_lines(plants: int, each: int) -> None:
    names = [rule.name for rule in all_rules()]
    of = report(*(
        result(number, *(
            found(names[(number * each + place) * 7 % len(names)], "danger", says="y" * 88,
                  remedy=Remedy("z" * 88), cautions=("scald", "limit", "freeze", "firing", "pump"))
            for place in range(each)
        ))
        for number in range(plants)
    ))  # fmt: skip
    text = render("text", of, Look(80))
    assert text.count("\n") <= ROOM + 1
    assert f"{plants} boiler" in text
    if plants * each > 20:
        assert "do first" in text and "--full shows them" in text


def test_a_path_shows_all_of_its_findings() -> None:
    names = [rule.name for rule in all_rules() if rule.severity is Severity.OUTAGE]
    of = report(result(1, *(found(name, "outage", line=place) for place, name in enumerate(names, 1))))
    text = render("text", of, Look(80, narrow=True))
    told = sum(text.count(f"[{name}]") for name in names)
    assert told == len(shown(of)) > 30


def test_questions_are_asked_and_counted_apart_from_what_is_to_be_done() -> None:
    asked = found("tap-too-hot", "danger", certainty=Certainty.ASK, question="How hot is the tap?", case="if 130 F",
                  asks=("hot_water.outlet_measured",))  # fmt: skip
    of = report(*(result(number, found("pump-exercise-off", "outage", says="x" * 300), asked) for number in range(30)))
    text = render("text", of, Look(80))
    assert "30 outage, 30 to ask about" in " ".join(text.split())
    assert "How hot is the tap?" not in text.partition("by site")[0]
    assert of.exit_status(Severity.OUTAGE) == 1
    assert report(result(1, asked)).exit_status(Severity.OUTAGE) == 0


@pytest.mark.parametrize("by", ["rule", "site", "plant"])
def test_by_rule_site_or_plant_everything_is_told(by: str) -> None:
    of = report(*(result(number, found("pump-exercise-off", "outage", says=f"idle {number}")) for number in range(30)))
    text = render("text", of, Look(200, by=by))
    assert (
        "; the same kind at " in text and "and 26 more" in text
        if by == "rule"
        else all(f"idle {number} [" in text for number in range(30))
    )
