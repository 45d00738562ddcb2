"""What a rule says is short and in the words of the trade: headline, fix, and all that explains them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Final

import pytest

from settingslint.checking.audit import audit
from settingslint.checking.check import check
from settingslint.rules import by_group
from settingslint.rules.base import Draft, Finding
from settingslint.rules.rule import Rule
from settingslint.rules.summary import Plants, Summary
from tests.rules.examples import example_of
from tests.rules.kit import make_plant
from tests.rules.tables import module_of_tests, topics

GROUPS: Final = frozenset(by_group())
"""Groups whose texts are looked at: in the rules' examples and in the example portfolio. All of them."""
IN_EVERY_CASE: Final = {
    "cascade",
    "cycling",
    "heating",
    "reset",
}
"""Those whose texts are looked at in all cases of their tests' tables too, and so in both systems of units."""

LONGEST: Final = 90
PORTFOLIO: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)

NOT_SAID: Final = {
    r"ways? out|remed(y|ies)": "fix",
    r"asked for": "set to, typed",
    r"obey(s|ed)?|effective at": "runs at",
    r"store[sd]?|storing": "tank",
    r"temper(s|ed|ing)?": "mixing valve",
    r"outlets?": "tap",
    r"draws?|drawn|drew": "people using the hot water",
    r"(?<!at )(most|least)(?! (places|emitters|plants|important))": "minimum, maximum, at most, at least",
    r"stands?|stood|lies?|lay": "is at, is set to, runs at",
    r"h[au]ngs? on": "depends on",
    r"like weather": "similar weather",
    r"(numbers? )?of habit": "rule of thumb",
    r"nobody (has )?said|nobody named": "no reason recorded",
    r"found otherwise|as left before": "changed since the last visit",
    r"licensed for|licensed person|somebody licensed": "licensed gas technician",
    r"holders?": "person responsible for water safety",
    r"from afar": "remote write access",
    r"new board": "control board replaced",
    r"nought|no day of the calendar|in no git repository": "zero, not a valid date, not in a git repository",
    r"tak(e|en|ing)-(in|out)": "import, export",
    r"work(s|ed|ing)?[ -]out|wr(ite|itten)[ -](down|out)": "calculate, record",
    r"safe|safely|optim\w+|guarante\w+|complian\w+|recommend\w*": "no finding, not checked, unproved",
}
"""What no text says, as whole words, and what it says instead."""
UNSAID: Final = re.compile("|".join(rf"\b(?:{words})\b" for words in NOT_SAID), re.IGNORECASE)


def whole(finding: Finding | Draft) -> tuple[str, str]:
    """Return what was found and its fix, each in one line."""
    said = finding.says if isinstance(finding, Finding) else finding.message
    return said, finding.remedy.text if finding.remedy is not None else ""


def rules_of(groups: Iterable[str]) -> list[Rule]:
    return [rule for group in sorted(groups) for rule in by_group()[group]]


def in_examples(rule: Rule) -> list[Finding]:
    """Return what a rule finds in its own tripping example."""
    example = example_of(rule, trips=True)
    return list(audit(make_plant(example.profile, control=example.control, style=example.style), [rule]).findings)


def in_cases(rule: Rule) -> Iterator[Finding | Draft]:
    """Yield what a rule finds in the cases of its table, about one plant or several."""
    topic = next(topic for topic, own in topics().items() if rule in own)
    for name, how, given, more, *_ in module_of_tests(topic).CASES:
        if name != rule.name or how != "found":
            continue
        if isinstance(given, Mapping) and isinstance(more, Mapping):
            yield from audit(make_plant(given, **more), [rule]).findings
        elif isinstance(given, list) and all(isinstance(one, Summary) for one in given):
            yield from (one for _, one in rule.check(Plants.of(given, {})) if isinstance(one, Draft))


def assert_short_and_plain(findings: Iterable[Finding | Draft]) -> None:
    for one in findings:
        said, fix = whole(one)
        for text in (said, fix):
            assert len(text) <= LONGEST, (len(text), text)
            assert not text[:1].isupper() and not text.endswith("."), text
        for text in (said, fix, *one.remarks, *one.numbers):
            assert not UNSAID.search(text), text


@pytest.mark.parametrize("rule", rules_of(GROUPS), ids=lambda rule: rule.name)
def test_an_example_says_it_in_short(rule: Rule) -> None:
    if rule.scope != "plant" or any(rule.history):  # a file alone does not trip it
        return
    findings = in_examples(rule)
    assert findings
    assert_short_and_plain(findings)


@pytest.mark.parametrize("rule", rules_of(IN_EVERY_CASE), ids=lambda rule: rule.name)
def test_every_case_says_it_in_short(rule: Rule) -> None:
    findings = list(in_cases(rule))
    assert findings
    assert_short_and_plain(findings)


def test_the_example_portfolio_says_it_in_short() -> None:
    names = {rule.name for rule in rules_of(GROUPS)}
    found = [one for result in check([PORTFOLIO], AS_OF).results for one in result.findings if one.rule in names]
    assert found
    assert_short_and_plain(found)


@pytest.mark.parametrize("rule", rules_of(GROUPS), ids=lambda rule: rule.name)
def test_what_explains_a_rule_is_in_words_of_the_trade(rule: Rule) -> None:
    """Its title is one sentence, and nobody has to learn other words for its assumptions and thresholds."""
    assert rule.title.endswith((".", "?")), rule.title
    thresholds = [text for one in rule.thresholds for text in (one.name.replace("_", " "), one.means, one.reason)]
    for text in (rule.doc, *rule.assumes, *thresholds):
        assert not UNSAID.search(text), text


@pytest.mark.parametrize(
    ("text", "unsaid"),
    [
        ("a store of 144 F without a tempering valve", True),
        ("111 F is the most", True),
        ("the line stands at 164 F", True),
        ("Least flow", True),
        ("asked for 140 F, and the control obeys", True),
        ("restore the maker's value, at least 4 gpm and at most 120 F", False),
        ("where the maker's piping drawing shows it; mostly in outlying zones of a temperate place", False),
        ("tank at 144 F and no mixing valve: scalds in about 3 s", False),
    ],
)
def test_words_are_whole_words(text: str, unsaid: bool) -> None:
    assert bool(UNSAID.search(text)) is unsaid
