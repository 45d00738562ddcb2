"""The pages in a real browser: errors, requests, search, sort and filter, keyboard, print, and axe-core."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

PATIENCE = 180_000
"""Milliseconds that a page may take on a machine that is busy."""


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    """Return a page that fails the test on any error or request to elsewhere."""
    context = browser.new_context(viewport={"width": 1100, "height": 900})
    one = context.new_page()
    one.set_default_timeout(PATIENCE)
    wrong: list[str] = []
    one.on("pageerror", lambda error: wrong.append(f"error: {error}"))
    one.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
    one.on("request", lambda request: None if request.url.startswith("file:") else wrong.append(request.url))
    yield one
    context.close()
    assert wrong == []


def _all(pages: Path) -> list[Path]:
    return [pages / "index.html", *sorted((pages / "plants").iterdir()), *sorted((pages / "sheets").iterdir())]


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
    assert "plants/" in page.evaluate("document.activeElement.href"), "the plants to go to first"
    fold = page.locator("details.fold").last
    fold.locator("summary").first.focus()
    page.keyboard.press("Enter")
    assert fold.get_attribute("open") is not None
    page.goto((pages / "index.html").as_uri())
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "find":
            break
    page.keyboard.type("quay")
    assert page.locator("table.map tbody tr:visible").count() == 2
    seen = set()
    for _ in range(80):
        page.keyboard.press("Tab")
        seen.add(page.evaluate("document.activeElement.tagName"))
    assert {"SELECT", "BUTTON", "A"} <= seen


def test_a_long_table_folds_its_rest_away_and_sorts_as_one(page: Any, example_pages: Path) -> None:
    page.goto((example_pages / "index.html").as_uri())
    fold = page.locator("section[aria-labelledby=s-combustion] > details")
    fold.locator("summary").first.click()
    long = fold.locator(".long").first
    cells = long.locator("tbody tr td:first-child")
    assert cells.count() > 12
    assert long.locator("tbody tr:visible").count() == 12
    long.locator("thead th button").first.click()
    names = cells.all_text_contents()
    assert names == sorted(names, key=str.lower)
    page.fill("#find", "boiler")
    assert long.locator("details").get_attribute("open") is not None
    page.fill("#find", "")
    assert long.locator("details").get_attribute("open") is None
    long.locator("summary").press("Enter")
    assert long.locator("tbody tr:visible").count() == cells.count()


TEXTS_THAT_MEET = """() => {
  const wrong = [];
  for (const svg of document.querySelectorAll("svg")) {
    const texts = [...svg.querySelectorAll("text")], boxes = texts.map((one) => one.getBBox());
    const { width, height } = svg.viewBox.baseVal;
    boxes.forEach((a, i) => {
      if (a.x < -1 || a.y < -1 || a.x + a.width > width + 1 || a.y + a.height > height + 1) {
        wrong.push("outside: " + texts[i].textContent);
      }
      boxes.slice(i + 1).forEach((b, j) => {
        // a box of a text has empty room above its letters and below them
        const across = Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x);
        const up = Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y);
        if (across > 0.5 && up > 3) wrong.push(texts[i].textContent + " / " + texts[i + 1 + j].textContent);
      });
    });
  }
  return wrong;
}"""


def test_no_two_texts_of_a_picture_meet(page: Any, pages: Path, example_pages: Path) -> None:
    drawn = 0
    for file in [*_all(pages), *_all(example_pages)]:
        page.goto(file.as_uri())
        drawn += page.locator("svg text").count()
        assert page.evaluate(TEXTS_THAT_MEET) == [], file.name
    assert drawn > 500


def test_an_address_that_leads_into_a_fold_opens_it(page: Any, pages: Path) -> None:
    page.goto((pages / "index.html").as_uri() + "#s-coverage")
    assert page.locator("section[aria-labelledby=s-coverage] > details").get_attribute("open") is not None
    assert page.locator("section[aria-labelledby=s-hot-water] > details").get_attribute("open") is None


def test_on_paper_the_folds_are_open_and_what_the_pictures_show_is_not_said_again(
    page: Any, example_pages: Path
) -> None:
    for file in (example_pages / "index.html", sorted((example_pages / "plants").iterdir())[0]):
        page.goto(file.as_uri())
        page.emulate_media(media="print")
        assert page.locator("details.fold table:visible, details.fold li:visible").count() > 1
        assert page.locator("details.aside:visible").count() == 0
        proofs = page.locator(".finding dl")
        assert page.locator(".finding dl:visible").count() == proofs.count()


def test_without_script_the_tables_are_all_there(browser: Any, pages: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto((pages / "index.html").as_uri())
    assert page.locator("table.map tbody tr:visible").count() == 5
    for summary in page.locator("summary").all():
        summary.click()
    assert page.locator("tbody tr:visible").count() == page.locator("tbody tr").count() > 40
    assert not page.locator(".filter").is_visible()
    context.close()


@pytest.mark.parametrize("width", [1100, 390])
def test_axe_finds_no_serious_fault(
    browser: Any, pages: Path, example_pages: Path, questions_page: Path, width: int
) -> None:
    """axe-core, the accessibility engine, as packed by axe-playwright-python."""
    axe_module = pytest.importorskip("axe_playwright_python.sync_playwright")
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    for file in [
        questions_page,
        *_all(pages),
        example_pages / "index.html",
        *sorted((example_pages / "plants").iterdir())[:4],
    ]:
        page.goto(file.as_uri())
        found = axe_module.Axe().run(page).response["violations"]
        serious = [(one["id"], one["nodes"][0]["html"]) for one in found if one["impact"] in ("serious", "critical")]
        assert serious == [], file.name
    context.close()


@pytest.mark.parametrize("width", [1100, 390])
def test_nothing_sticks_out_of_the_page(
    browser: Any, pages: Path, example_pages: Path, questions_page: Path, width: int
) -> None:
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    for file in [questions_page, *_all(pages), *_all(example_pages)]:
        page.goto(file.as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= width, file.name
    context.close()


@pytest.mark.parametrize(("paper", "width"), [("A4", 672), ("Letter", 694)])
def test_print_fits_its_page(
    browser: Any, pages: Path, example_pages: Path, questions_page: Path, paper: str, width: int
) -> None:
    """Paper less 14 mm margins on both sides, in CSS pixels: what is printed must not be wider."""
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    for file in [questions_page, *_all(pages), *_all(example_pages)]:
        page.goto(file.as_uri())
        page.emulate_media(media="print")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, f"{file.name} on {paper}"
        ends = "[...document.querySelectorAll('table, svg')].map((one) => one.getBoundingClientRect().right)"
        assert max(page.evaluate(ends)) <= width, f"a table or picture of {file.name} on {paper}"
    context.close()
