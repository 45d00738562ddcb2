"""`--form markdown`: bounded, new findings first, and nothing in it that a file's text could have made.

Read back by `markdown-it-py`, an implementation of CommonMark (https://spec.commonmark.org/0.31.2/).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from markdown_it import MarkdownIt

from settingslint.checking.report import Report, key_of
from settingslint.checking.weakening import TITLE as WEAKER
from settingslint.checking.weakening import Weakening
from settingslint.model.values import Problem
from settingslint.output import Look, render
from settingslint.output.markdown import MOST_CHARACTERS, MOST_LINES
from settingslint.output.owner import TITLE
from settingslint.rules.base import Severity
from tests.output.reports import HOSTILE, hostile, ordinary, report_of, thin


def kinds(text: str) -> list[str]:
    """Return the kinds of all that a reader of Markdown sees, texts aside."""
    reader = MarkdownIt("gfm-like", {"linkify": False, "html": True})
    tokens = [one for token in reader.parse(text) for one in [token, *(token.children or ())]]
    return [one.type for one in tokens if one.type != "text"]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_makes_no_markup(text: str) -> None:
    assert kinds(render("markdown", hostile(text), Look())) == kinds(render("markdown", hostile("plain"), Look()))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_shown_as_it_is(text: str) -> None:
    out = render("markdown", hostile(text), Look())
    assert all(char == "\n" or char.isprintable() for char in out)
    assert "@everyone" not in out and "www.e" not in out and "https://" not in out


def test_it_is_bounded_and_says_what_it_left_out() -> None:
    one = ordinary().results[0]
    long = replace(one, findings=tuple(replace(one.findings[0], says="x" * 900) for _ in range(400)))
    out = render("markdown", report_of(long), Look())
    assert len(out) <= MOST_CHARACTERS
    shown = out.count("- **danger**")
    assert 20 < shown < 400 and f"and {400 - shown} more" in out
    assert "has not seen the boiler" in out


def test_many_problems_leave_room_for_findings() -> None:
    report = hostile("y" * 490)
    many = Report(report.portfolio, report.results, tuple(replace(report.problems[0], line=n) for n in range(1, 500)),
                  report.rules)  # fmt: skip
    out = render("markdown", many, Look())
    assert len(out) <= MOST_CHARACTERS and "### Findings" in out and "- **danger**" in out


def test_new_ones_are_listed_and_old_ones_counted() -> None:
    plain = ordinary()
    result = plain.results[0]
    known = frozenset({key_of(result, result.findings[0])})
    out = render("markdown", Report(plain.portfolio, plain.results, (), plain.rules, known, "main"), Look())
    assert "### New since main" in out and "; 1 finding from before, not listed;" in out
    assert "- **danger**" not in out.partition("### Accepted risks")[0]


def test_the_worst_stands_first() -> None:
    out = render("markdown", ordinary(), Look())
    places = [out.index(f"- **{word}**") for word in ("danger", "waste", "record")]
    assert places == sorted(places)


def in_front(text: str) -> list[str]:
    """Return the lines that are not folded away."""
    before, _, rest = text.partition("<details>")
    return [*before.splitlines(), *rest.partition("</details>")[2].splitlines()[1:]]


def everything() -> Report:
    """Return a report with more of every part than there is room for."""
    plain, unsure = ordinary(), thin()
    danger = plain.results[0].findings[0]
    accepted = replace(danger, accepted={"because": "r", "by": "b", "until": "2027-01-31"})
    many = []
    for number, worst in enumerate([*Severity] * 3):
        own = [replace(danger, rule=f"r{number}-{severity}", severity=severity) for severity in Severity]
        findings = (*own, replace(accepted, severity=worst), *unsure.results[0].findings)
        place = f"sites/{number}.toml"
        many.append(replace(plain.results[0], site=f"Site {number}", path=place, findings=findings))
    problems = [Problem(f"sites/{number}-.toml", 1, 1, "not TOML") for number in range(9)]
    weaker = [Weakening("acceptance", f"a{number}", "", "new", f"acceptance of a{number} new", (), "portfolio.toml")
              for number in range(9)]  # fmt: skip
    made = report_of(*many, problems=problems, known=frozenset(), known_from="main")
    return replace(made, weakened=tuple(weaker), no_history="no git")


def test_thirty_lines_are_not_folded() -> None:
    for report in (ordinary(), thin(), everything()):
        text = render("markdown", report, Look())
        assert len(in_front(text)) <= MOST_LINES == 30
        assert text.count("<details>") == text.count("</details>") == 1
    front = "\n".join(in_front(text))
    for title in (WEAKER, TITLE, "Unreadable", "Do first", "Ask next"):
        assert f"### {title}\n" in front
    assert front.count("more: below") == 4 and "### Unreadable" in text.partition("<details>")[2]
    assert "accepted danger" in front.partition(f"### {TITLE}")[2].split("\n")[1], "no danger is accepted unseen"


def test_what_to_do_first_has_its_fix_and_the_rest_is_folded() -> None:
    front, _, folded = render("markdown", ordinary(), Look()).partition("<details>")
    head = "**, Mill Lane Hall, Boiler 1\\: the store runs at 145 F\\\n   fix: lower the store"
    assert head in front and "rule, " not in front
    assert "(sites/a/one.toml\\:1, store-too-warm)\n  - fix: lower the store" in folded
    assert "assumes that somebody is at home" in folded and "- Scalding: " in folded
