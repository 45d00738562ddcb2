"""`--form markdown`: bounded, new findings first, and nothing in it that a file's text could have made.

Read back by `markdown-it-py`, an implementation of CommonMark (https://spec.commonmark.org/0.31.2/).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from markdown_it import MarkdownIt

from settingslint.checking.report import Report, key_of
from settingslint.output import Look, render
from settingslint.output.markdown import MOST_CHARACTERS
from tests.output.reports import HOSTILE, hostile, ordinary, report_of


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
    assert "### New since main" in out and "1 finding from before, not listed." in out
    assert "- **danger**" not in out.partition("### Accepted risks")[0]


def test_the_worst_stands_first() -> None:
    out = render("markdown", ordinary(), Look())
    places = [out.index(f"- **{word}**") for word in ("danger", "waste", "record")]
    assert places == sorted(places)
