"""How much is heard of a thin record: of what the full one has, how much is said as proven, likely or a question.

The goals are shares of the findings other than about the record; right plants must not be alarmed. `thin.py` strips.
"""

from __future__ import annotations

from collections import Counter
from typing import Final

import pytest

from settingslint.checking.audit import Result
from settingslint.rules.base import Certainty, Severity
from tests.checking.thin import LEVELS, example_plants, hazards, right_plants, said, table, thin_plant

GOALS: Final = {"settings only": 0.60, "what one sees": 0.85, "half an hour of facts": 0.95}
MOST_QUESTIONS: Final = 6
Row = tuple[str, str, Counter[str], Result]


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    return list(table())


@pytest.mark.parametrize("level", LEVELS)
def test_the_share_that_is_heard(level: str, rows: list[Row]) -> None:
    own = [(full, hazards(result)) for at, _, full, result in rows if at == level]
    whole = sum(full.total() for full, _ in own)
    heard = sum((full & thin).total() for full, thin in own)
    assert whole > 40
    assert heard / whole >= GOALS[level], f"{heard} of {whole}"


def test_nothing_is_proven_that_the_full_record_does_not_have(rows: list[Row]) -> None:
    for level, name, full, result in rows:
        proven = {
            one.rule
            for one in result.findings
            if one.certainty is Certainty.PROVEN and one.severity is not Severity.RECORD
        }
        assert proven <= set(full), (level, name)


@pytest.mark.parametrize("level", LEVELS)
def test_right_plants_are_not_alarmed(level: str) -> None:
    for name, plant in right_plants():
        result = said(thin_plant(plant, LEVELS[level]))
        alarms = [
            one.rule
            for one in result.findings
            if one.certainty is not Certainty.ASK and one.severity.at_least(Severity.OUTAGE)
        ]
        assert alarms == [], name
        assert len({asked for one in result.findings for asked in one.asks}) <= MOST_QUESTIONS, name


def test_a_right_plant_that_is_fully_recorded_raises_no_question() -> None:
    for name, plant in right_plants():
        assert [one.rule for one in said(plant).findings] == [], name


def test_what_is_recorded_of_the_example_keeps_its_certainty() -> None:
    for name, plant in example_plants():
        full = said(plant)
        assert all(not one.assumed or one.certainty is Certainty.LIKELY for one in full.findings), name
        assert all(one.certainty is Certainty.ASK for one in full.findings if one.asks), name
