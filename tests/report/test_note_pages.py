"""A note is printed on one page, signature included; the note of a replaced control board on two at most."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import pytest

from settingslint.history.notes import Notes
from settingslint.output import Look
from settingslint.output.note_view import SIGNED
from settingslint.output.notes import render_notes
from tests.history.few import FIVE, changed
from tests.output.test_notes_short import BOARDS, noted
from tests.report.conftest import Estate
from tests.report.test_browser import PATIENCE

pytestmark = pytest.mark.browser
PAPER: Final = ("A4", "Letter")
SMALL: Final = (
    "Ferry Workshop: as left", "Weir Cottages, no. 2: as left", "Quarry School, boiler 2: display exchanged",
    "Orchard House: store lowered after a complaint of hot basins",
    "Linden Yard, boiler 1: floor slow in its first winter",
)  # fmt: skip
"""Commits of the example that change up to five settings."""


def pages(browser: Any, found: Notes, file: Path, paper: str) -> int:
    """Return on how many pages the notes are printed."""
    file.write_text(render_notes("html", found, Look()), encoding="utf-8")
    page = browser.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(file.as_uri())
    assert page.locator(".hand dt").all_text_contents() == list(SIGNED) * len(found.notes)
    printed = page.pdf(format=paper)
    page.close()
    return len(re.findall(rb"/Type\s*/Page\b", printed))


@pytest.mark.parametrize("paper", PAPER)
@pytest.mark.parametrize("names", FIVE, ids="+".join)
def test_a_change_of_five_settings_is_one_page(browser: Any, tmp_path: Path, names: Sequence[str], paper: str) -> None:
    found = changed(tmp_path / "p", names)
    assert len(found.notes[0].rows) == 5
    assert pages(browser, found, tmp_path / "note.html", paper) == 1


@pytest.mark.parametrize("paper", PAPER)
@pytest.mark.parametrize("subject", SMALL)
def test_small_changes_of_the_example_are_one_page(
    browser: Any, example: Estate, tmp_path: Path, subject: str, paper: str
) -> None:
    found = noted(example.root, subject)
    assert 1 < len(found.notes[0].rows) <= 5
    assert pages(browser, found, tmp_path / "note.html", paper) == 1


@pytest.mark.parametrize("paper", PAPER)
@pytest.mark.parametrize("subject", BOARDS)
def test_a_replaced_board_is_two_pages_at_most(
    browser: Any, example: Estate, tmp_path: Path, subject: str, paper: str
) -> None:
    found = noted(example.root, subject)
    assert len(found.notes[0].rows) >= 20
    assert pages(browser, found, tmp_path / "note.html", paper) <= 2


def test_the_measure_sees_a_second_page(browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "long.html"
    file.write_text("<p>line</p>" * 200, encoding="utf-8")
    page = browser.new_page()
    page.goto(file.as_uri())
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))) > 1
    page.close()


@pytest.mark.parametrize("width", [390, 1100])
def test_a_note_fits_the_screen_sideways(browser: Any, tmp_path: Path, width: int) -> None:
    file = tmp_path / "note.html"
    file.write_text(render_notes("html", changed(tmp_path / "p", FIVE[0]), Look()), encoding="utf-8")
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()
