"""The pages in a real browser: errors, requests, search, sort and filter, keyboard, print, and axe-core."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    """Return a page that fails the test on any error or request to elsewhere."""
    context = browser.new_context(viewport={"width": 1100, "height": 900})
    one = context.new_page()
    wrong: list[str] = []
    one.on("pageerror", lambda error: wrong.append(f"error: {error}"))
    one.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
    one.on("request", lambda request: None if request.url.startswith("file:") else wrong.append(request.url))
    yield one
    context.close()
    assert wrong == []


def _all(pages: Path) -> list[Path]:
    return [pages / "index.html", *sorted((pages / "plants").iterdir())]


def test_every_page_loads_without_error_or_request(page: Any, pages: Path) -> None:
    for file in _all(pages):
        page.goto(file.as_uri())
        assert page.locator("h1").count() == 1
        assert page.title() != "taken"


def test_search_and_filter_leave_what_fits(page: Any, pages: Path) -> None:
    page.goto((pages / "index.html").as_uri())
    rows = page.locator("table.map tbody tr")
    assert rows.count() == 5
    page.fill("#find", "quay house")
    assert page.locator("table.map tbody tr:visible").count() == 2
    page.fill("#find", "no such plant")
    assert page.locator("table.map tbody tr:visible").count() == 0
    page.fill("#find", "")
    page.select_option("#severity", "damage")
    shown = page.locator("table.map tbody tr:visible")
    assert 0 < shown.count() < 5
    for text in shown.all_text_contents():
        assert "damage" in text


def test_sorting_goes_both_ways(page: Any, pages: Path) -> None:
    page.goto((pages / "index.html").as_uri())
    button = page.locator("table.map thead th button").first
    names = page.locator("table.map tbody tr th")
    button.click()
    up = names.all_text_contents()
    button.click()
    down = names.all_text_contents()
    assert up == sorted(up, key=str.lower)
    assert down == up[::-1]
    assert page.locator("table.map thead th").first.get_attribute("aria-sort") == "descending"


def test_the_keyboard_is_enough(page: Any, pages: Path) -> None:
    page.goto((pages / "index.html").as_uri())
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "find"
    page.keyboard.type("quay")
    assert page.locator("table.map tbody tr:visible").count() == 2
    seen = set()
    for _ in range(80):
        page.keyboard.press("Tab")
        seen.add(page.evaluate("document.activeElement.tagName"))
    assert {"SELECT", "BUTTON", "A"} <= seen


def test_without_script_the_tables_are_all_there(browser: Any, pages: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((pages / "index.html").as_uri())
    assert page.locator("table.map tbody tr:visible").count() == 5
    assert not page.locator(".filter").is_visible()
    context.close()


@pytest.mark.parametrize("width", [1100, 390])
def test_axe_finds_no_serious_fault(browser: Any, pages: Path, width: int) -> None:
    """axe-core, the accessibility engine, as packed by axe-playwright-python."""
    axe_module = pytest.importorskip("axe_playwright_python.sync_playwright")
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    for file in _all(pages):
        page.goto(file.as_uri())
        found = axe_module.Axe().run(page).response["violations"]
        serious = [(one["id"], one["nodes"][0]["html"]) for one in found if one["impact"] in ("serious", "critical")]
        assert serious == [], file.name
    context.close()


@pytest.mark.parametrize("width", [1100, 390])
def test_nothing_sticks_out_of_the_page(browser: Any, pages: Path, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    for file in _all(pages):
        page.goto(file.as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= width, file.name
    context.close()


@pytest.mark.parametrize(("paper", "width"), [("A4", 672), ("Letter", 694)])
def test_print_fits_its_page(browser: Any, pages: Path, paper: str, width: int) -> None:
    """Paper less 14 mm margins on both sides, in CSS pixels: what is printed must not be wider."""
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    for file in _all(pages):
        page.goto(file.as_uri())
        page.emulate_media(media="print")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, f"{file.name} on {paper}"
    context.close()
