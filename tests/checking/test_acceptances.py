"""The acceptance of a danger: words, a name and an end in time, whatever severity the owner gives it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Any, Final

import pytest

from settingslint.checking.audit import Result, audit, finding_at
from settingslint.checking.several import together
from settingslint.rules.base import DANGER, OUTAGE, RECORD, WASTE, Draft, Finding, Severity
from settingslint.rules.plant import Context
from settingslint.rules.record.acceptance import LONGEST, has_words
from settingslint.rules.rule import Rule
from tests.rules.kit import AS_OF, make_plant, rule_named

FUEL: Final = {"rule": "fuel-setting-unlike-gas", "setting": "fuel_setting"}
FULL: Final = {"because": "conversion is booked", "by": "M. Okoro", "until": "2026-12-20"}
RAISED: Final = {"rule": "low-fire-raised"}


def look(
    *accepted: Mapping[str, str], longest: float | None = None, severities: Mapping[str, Severity] | None = None,
    changes: Mapping[str, Any] | None = None, rules: Sequence[str] = ("fuel-setting-unlike-gas",),
) -> Result:  # fmt: skip
    """Return what some rules, and those about acceptances, say of the kit's plant that accepts something."""
    thresholds = {} if longest is None else {LONGEST.name: longest}
    plant = make_plant({**(changes or {"gas.fuel": "propane"}), "accepted": [dict(one) for one in accepted]})
    plant.context = Context(AS_OF, thresholds)
    own = ("acceptance-expired", "acceptance-unused", "acceptance-of-danger-incomplete", "acceptance-too-long")
    asked = [rule_named(name) for name in (*rules, *own)]

    def place(result: Result, rule: Rule, draft: Draft) -> Finding:
        return finding_at(rule, draft, plant)

    return together([audit(plant, asked, severities)], asked, AS_OF, severities or {}, place, thresholds)[0]


def told(result: Result) -> dict[str, bool]:
    """Return for each rule that found something whether that is accepted."""
    return {one.rule: one.accepted is not None for one in result.findings}


BOTH: Final = {"fuel-setting-unlike-gas": False, "acceptance-of-danger-incomplete": False}


@pytest.mark.parametrize("lowered", [OUTAGE, WASTE, RECORD])
@pytest.mark.parametrize("lacking", ["because", "by", "until"])
def test_a_danger_stays_one_for_its_acceptance_whatever_it_was_lowered_to(lowered: Severity, lacking: str) -> None:
    severities = {"fuel-setting-unlike-gas": lowered}
    accepted = {**FUEL, **{key: text for key, text in FULL.items() if key != lacking}}
    result = look(accepted, severities=severities)
    assert told(result) == BOTH
    one = next(one for one in result.findings if one.rule == "fuel-setting-unlike-gas")
    assert (one.severity, one.tool_severity, one.gravest) == (lowered, DANGER, DANGER)
    assert f"(its acceptance lacks {lacking}: it does not hold)" in one.message
    assert told(look({**FUEL, **FULL}, severities=severities)) == {"fuel-setting-unlike-gas": True}


def test_a_lowered_danger_over_several_plants_stays_one_too() -> None:
    severities = {"serial-twice": RECORD}
    asked = [rule_named(name) for name in ("serial-twice", "acceptance-of-danger-incomplete")]
    for accepted, holds in ((FULL, False), ({**FULL, "setting": "plant.serial"}, True)):
        plants = {
            name: make_plant({"plant.name": name, "accepted": [{"rule": "serial-twice", **accepted}]}, path=name)
            for name in ("a", "b")
        }

        def place(result: Result, rule: Rule, draft: Draft, plants: Mapping[str, Any] = plants) -> Finding:
            return finding_at(rule, draft, plants[result.path])

        results = [audit(plant, asked, severities) for plant in plants.values()]
        for result in together(results, asked, AS_OF, severities, place):
            one = next(one for one in result.findings if one.rule == "serial-twice")
            assert (one.severity, one.tool_severity, one.accepted is not None) == (RECORD, DANGER, holds)


WORDLESS: Final = (
    " ", "\t \t", "\u00a0\u2003\u3000", "\u200b", "\u2060\ufeff\u200d", "\u00ad\u00ad", "\u202e\u202c", "\x01\x1b",
    "\u3164", "\u3164\u3164", "\u115f\u1160", "\uffa0\uffa0", "\u2800\u2800", "\u180e", "\u034f\u0301\u0301",
    "\U000e0041\U000e0042", "\ue000\ue001", ".", "-", "\u2014", "?!", "...", "x", "X", "\u1f88", " x ", "1", "12/3",
    "\U0001f44d", "\u20ac", "",
)  # fmt: skip
WORDS: Final = (
    "M. Okoro", "ok", "\u674e", "\u042f\u043d", "\u0645\u062f\u064a\u0631", "e\u0301x", "\uff2d\uff2b",
    "\u200bMO\u200b",
)  # fmt: skip


@pytest.mark.parametrize("text", WORDLESS)
def test_what_has_no_word_in_it_is_no_reason_and_no_name(text: str) -> None:
    assert not has_words(text)
    for key in ("because", "by"):
        result = look({**FUEL, **FULL, key: text}) if text else look({**FUEL, **FULL, key: "."})
        assert told(result) == BOTH
        assert f"lacks {key} (no word in it)" in result.findings[0].message


@pytest.mark.parametrize("text", WORDS)
def test_a_word_of_any_script_is_one(text: str) -> None:
    assert has_words(text)
    assert told(look({**FUEL, **FULL, "because": text, "by": text})) == {"fuel-setting-unlike-gas": True}


def test_less_than_danger_needs_no_words() -> None:
    result = look({**RAISED, "because": " "}, changes={"settings.minimum_fan_speed": 1400}, rules=["low-fire-raised"])
    assert told(result) == {"low-fire-raised": True}


@pytest.mark.parametrize(
    ("days", "longest", "holds"),
    [
        (366, None, True), (367, None, False), (731, None, False), (26_600, None, False),
        (30, 30.0, True), (31, 30.0, False), (731, 731.0, True), (732, 731.0, False), (0, 1.0, True),
    ],
)  # fmt: skip
def test_the_acceptance_of_a_danger_ends_in_time(days: int, longest: float | None, holds: bool) -> None:
    until = (AS_OF + timedelta(days=days)).isoformat()
    for severities in (None, {"fuel-setting-unlike-gas": WASTE}):
        result = look({**FUEL, **FULL, "until": until}, longest=longest, severities=severities)
        assert told(result) == ({"fuel-setting-unlike-gas": True} if holds else BOTH)
        if not holds:
            why = f"ends on {until}, and a danger is accepted for {longest or 366:g} days at most"
            assert all(why in one.message for one in result.findings)


def test_a_danger_that_was_accepted_too_long_ago_says_so_itself() -> None:
    result = look({**FUEL, **FULL, "until": "2026-06-30"})
    assert told(result) == {"fuel-setting-unlike-gas": False, "acceptance-expired": False}
    own = next(one for one in result.findings if one.rule == "fuel-setting-unlike-gas")
    assert own.message.endswith("(its acceptance ended on 2026-06-30: it does not hold)")


def test_the_acceptance_of_a_danger_names_its_setting() -> None:
    """Without it, whatever else the rule finds at that boiler would be accepted with it, later too."""
    result = look({**FULL, "rule": "fuel-setting-unlike-gas"})
    assert told(result) == BOTH
    assert all("lacks setting: " in one.message for one in result.findings)


def test_a_danger_without_an_acceptance_speaks_of_none() -> None:
    assert "acceptance" not in look().findings[0].message
    other = look({"rule": "fuel-setting-unlike-gas", "setting": "high_limit", "because": " "})
    assert "acceptance" not in next(one for one in other.findings if one.rule == "fuel-setting-unlike-gas").message


def test_the_second_of_two_acceptances_of_a_danger_counts_where_the_first_does_not() -> None:
    result = look({**FUEL, "because": "."}, {**FUEL, **FULL})
    assert told(result) == {"fuel-setting-unlike-gas": True, "acceptance-of-danger-incomplete": False}
