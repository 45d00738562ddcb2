"""All papers by kind and form, and the visit sheet as a table to fill in on a screen."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from settingslint.checking.audit import audit
from settingslint.checking.questions import questions
from settingslint.files.portfolio import Portfolio
from settingslint.history.past import Looker
from settingslint.history.stamp import stamps
from settingslint.plain import Plain
from settingslint.report.as_left import as_left_record
from settingslint.report.handover import handover_sheet
from settingslint.report.sheet import Paper, Sheet, called, html, last_left, markdown, names_of
from settingslint.report.visit_sheet import visit_sheet
from settingslint.rules import all_rules
from settingslint.rules.plant import Plant
from settingslint.sheets.cells import table
from settingslint.units import unit_name
from settingslint.vocabulary.settings import SETTINGS

KINDS: Final = ("visit", "as-left", "handover")
FORMS: Final = ("html", "markdown", "csv")
COLUMNS: Final = ("setting", "label", "menu", "unit", "last left", "found", "left", "read back", "why")
HEAD_ROWS: Final = ("serial", "visit.on", "visit.by", "visit.role", "visit.why", "visit.work_order")


def papers(
    kind: str, form: str, plants: Sequence[tuple[Path, Plant]], portfolio: Portfolio, paper: str | None
) -> Plain:
    """Return papers of one kind about some plants, in one text.

    Args:
        kind: one of `KINDS`.
        form: one of `FORMS`; csv for the kind visit only, of one plant.
        plants: the plants and their files.
        portfolio: whose folder and severities they have.
        paper: a4 or letter; where None, letter for a plant in US units.
    """
    looker = Looker(portfolio.root)
    for _, plant in plants:
        plant.look_back(looker.past)
    if form == "csv":
        ((_, plant),) = plants
        return _table(plant)
    commits = stamps(portfolio.root, [path for path, _ in plants])
    sheets = [_sheet(kind, plant, commit, portfolio) for (_, plant), commit in zip(plants, commits, strict=True)]
    chosen: Paper = "a4" if paper == "a4" or (paper is None and plants[0][1].system == "metric") else "letter"
    return html(sheets, chosen) if form == "html" else markdown(sheets)


def _sheet(kind: str, plant: Plant, commit: str, portfolio: Portfolio) -> Sheet:
    if kind == "visit":
        return visit_sheet(plant, commit, questions([audit(plant, all_rules(), portfolio.severities)]))
    if kind == "handover":
        return handover_sheet(plant, commit)
    return as_left_record(plant, commit, audit(plant, all_rules(), portfolio.severities))


def _table(plant: Plant) -> Plain:
    """Return the readings of a visit as an empty CSV, in the order of entry."""
    blank = [""] * 4
    rows: list[Sequence[str]] = [(name, "", "", "", "", *blank) for name in HEAD_ROWS]
    rows.append(("units", "", "", "", plant.system, "", plant.system, "", ""))
    for name in names_of(plant):
        row = plant.row(name)
        unit = (row.unit if row else None) or unit_name(SETTINGS[name].kind, plant.system)
        label = row.label if row and row.label else called(plant, name)
        rows.append((name, label, (row.menu if row else None) or "", unit, last_left(plant, name), *blank))
    return table(COLUMNS, rows)
