"""The portfolio report: an index and a page for each plant, written only where something changed."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module, resources
from pathlib import Path
from typing import Any, Final

from jinja2 import Environment

from settingslint import __version__
from settingslint.audit import Result
from settingslint.model.values import kind_of, show_value, title_of
from settingslint.portfolio import Report, unlocks
from settingslint.report.pictures import drawn
from settingslint.report.single import environment
from settingslint.rules import by_group
from settingslint.rules.base import Finding, Severity
from settingslint.rules.plant import Plant
from settingslint.units import show
from settingslint.vocabulary.cautions import CAUTIONS, FRAME
from settingslint.vocabulary.settings import SETTINGS

SIGNS: Final = {
    Severity.DANGER: "◆", Severity.DAMAGE: "▲", Severity.OUTAGE: "●", Severity.WASTE: "○", Severity.RECORD: "·",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class History:
    """What git adds to the pages: the commit, since when a finding stands, and a plant's timeline as HTML."""

    commit: str = ""
    since: Callable[[Result, Finding], str] = lambda result, finding: ""
    timeline: Callable[[Plant], str] = lambda plant: ""


def page_name(result: Result) -> str:
    """Return the file name of a plant's page: readable, and one of its kind by a hash of site and name."""
    readable = "".join(char if char.isascii() and char.isalnum() else "-" for char in f"{result.site}-{result.plant}")
    short = hashlib.sha256(f"{result.site}\0{result.plant}".encode("utf-8", "surrogatepass")).hexdigest()[:8]
    return f"{readable[:60].strip('-').lower()}-{short}.html"


def finding_row(finding: Finding, plant: Plant) -> dict[str, Any]:
    """Return a finding as the plant's page shows it."""
    named = finding.at in SETTINGS
    kind = kind_of(finding.at) if named else None
    moved = named and finding.typed is not None and finding.typed != finding.effective
    remedy = finding.remedy.text if finding.remedy else ""
    if finding.remedy and finding.remedy.verified:
        remedy += " (tried on a copy: the finding is gone)"
    long = finding.severity in (Severity.DANGER, Severity.DAMAGE)
    return {
        "severity": finding.severity.value,
        "sign": SIGNS[finding.severity],
        "certainty": finding.certainty.value,
        "message": finding.message,
        "accepted": finding.accepted,
        "proof": ", ".join(
            f"{name} {show(q.value, q.kind, plant.system, q.unit)}" for name, q in finding.numbers.items()
        ),
        "typed": show_value(finding.typed, kind, plant.system) if moved and kind else "",
        "effective": show_value(finding.effective, kind, plant.system) if moved and kind else "",
        "remedy": remedy,
        "cautions": [
            (CAUTIONS[name].title, CAUTIONS[name].long if long else CAUTIONS[name].short) for name in finding.cautions
        ],
        "sources": "; ".join(finding.sources),
        "rule": finding.rule,
        "place": f"{finding.file}:{finding.line}:{finding.column}",
    }


def fate_rows(plant: Plant) -> list[dict[str, Any]]:
    """Return what became of each typed value, those that broke first."""
    rows = []
    for name, effect in plant.effects.items():
        entry = plant.profile.settings.get(name)
        if entry is None:
            continue
        back = entry.read_back
        broken = effect.changed or not effect.known
        rows.append(
            {
                "title": title_of(name),
                "typed": plant.show(name, effect.typed) if effect.typed is not None else (entry.left or "-"),
                "stored": plant.show(name, effect.stored) if effect.stored is not None else "-",
                "read_back": plant.show(name, back) if back is not None else "-",
                "effective": plant.show(name, effect.effective) if effect.effective is not None else effect.state,
                "why": " ".join(reason.text for reason in effect.reasons),
                "broken": broken,
            }
        )
    return sorted(rows, key=lambda row: not row["broken"])


def plant_page(
    environment: Environment, result: Result, plant: Plant, common: Mapping[str, Any], history: History
) -> str:
    """Return the page of one plant."""
    pictures, lacking = drawn(plant, str(common["corner"]))
    return environment.get_template("plant.html").render(
        common,
        up="../",
        here=result.plant,
        title=f"{result.plant}, {result.site}",
        findings=[finding_row(finding, plant) for finding in result.findings],
        pictures=pictures,
        lacking=lacking,
        fate=fate_rows(plant),
        checked=len(result.checked),
        not_checked=[(lack.rule, ", ".join(lack.needs), lack.why) for lack in result.not_checked],
        not_applicable=len(result.not_applicable),
        history=history.timeline(plant),
    )


def _map_cell(result: Result, rules: frozenset[str]) -> dict[str, Any]:
    findings = [finding for finding in result.findings if finding.rule in rules]
    lacking = [lack.rule for lack in result.not_checked if lack.rule in rules]
    checked = [name for name in result.checked if name in rules]
    open_ = [finding for finding in findings if finding.accepted is None]
    worst = min((finding.severity for finding in open_ or findings), key=lambda one: one.rank, default=None)
    partly = " partly" if lacking and (checked or findings) else ""
    missing = f", {len(lacking)} not checked" if lacking else ""
    if worst is not None:
        ring = "" if open_ else " accepted"
        said = f"{worst.value}{' accepted' if ring else ''}: {len(findings)}{missing}"
        return {"look": f"{worst.value}{partly}{ring}", "sign": SIGNS[worst], "said": said, "order": worst.rank}
    if lacking:
        return {
            "look": "unchecked",
            "sign": "▦",
            "said": f"{len(lacking)} not checked, {len(checked)} checked",
            "order": 5,
        }
    if checked:
        return {"look": "clear", "sign": "–", "said": "no finding", "order": 6}
    return {"look": "none", "sign": "", "said": "does not apply", "order": 7}


def index_page(
    environment: Environment, report: Report, plants: Mapping[str, Plant], common: Mapping[str, Any], history: History
) -> str:
    """Return the page of the portfolio."""
    results = report.results
    pairs = [(result, finding) for result in results for finding in result.findings]
    open_ = Counter(finding.severity for _, finding in pairs if finding.accepted is None)
    worst = [
        _row(result, [result.plant, result.site, finding.severity.value, finding.message,
                      history.since(result, finding), finding.rule])
        for result, finding in sorted(pairs, key=lambda pair: pair[1].severity.rank)
        if finding.accepted is None and finding.severity in (Severity.DANGER, Severity.DAMAGE)
    ]  # fmt: skip
    groups = by_group()
    named = {name: frozenset(rule.name for rule in rules) for name, rules in groups.items()}
    rows = [
        {
            "plant": result.plant,
            "site": result.site,
            "href": f"plants/{page_name(result)}",
            "cells": [_map_cell(result, rules) for rules in named.values()],
        }
        for result in results
    ]
    return environment.get_template("index.html").render(
        common,
        up="",
        here="",
        title=report.portfolio.name,
        cover=[
            ("plants", len(results)),
            ("sites", len({result.site for result in results})),
            *((f"open {severity.value}", open_.get(severity, 0)) for severity in Severity),
            ("accepted risks", sum(finding.accepted is not None for _, finding in pairs)),
            ("read back", sum(plant.known("visit.read_back") is True for plant in plants.values())),
            ("unreadable places", len(report.problems)),
        ],
        worst=worst,
        coverage={
            "checked": sum(len(result.checked) for result in results),
            "not_checked": sum(len(result.not_checked) for result in results),
            "not_applicable": sum(len(result.not_applicable) for result in results),
        },
        facts=[
            {"cells": [title_of(name), name, checks, count], "href": ""} for name, checks, count in unlocks(results)
        ],
        groups=[import_module(f"settingslint.rules.{name}").TITLE for name in groups],
        signs=[(severity.value, sign) for severity, sign in SIGNS.items()],
        severities=[severity.value for severity in Severity],
        map=rows,
        tables=_tables(report, plants),
        problems=[f"{one.file}:{one.line}:{one.column}: {one.message}" for one in report.problems],
    )


def _row(result: Result, cells: Sequence[object]) -> dict[str, Any]:
    return {"cells": list(cells), "href": f"plants/{page_name(result)}"}


def _values(plant: Plant, names: Iterable[str]) -> list[str]:
    cells = []
    for name in names:
        value = plant.known(name)
        cells.append("not recorded" if value is None else show_value(value, kind_of(name), plant.system))
    return cells


_BY_NAMES: Final = (
    (
        "hot-water", "Hot water: scalding and hygiene side by side", "Both dangers belong to one decision.",
        ("tank_setpoint", "tank_differential", "hygiene_cycle", "hot_water.return_measured", "hot_water.mixing_valve",
         "hot_water.mixing_valve_tested", "site.occupants"),
        ("store", "its differential", "hygiene heat-up", "loop return", "tempering valve", "valve tested", "occupants"),
    ),
    (
        "combustion", "Combustion proofs", "A proof older than the last change of firing proves nothing about it.",
        ("combustion.high.on", "combustion.low.on", "visit.on"), ("high fire", "low fire", "last visit"),
    ),
    (
        "freeze", "Freeze readiness", "Protection works only with power, gas, no lockout and moving water.",
        ("freeze_protection", "operating_mode", "boiler.location", "site.occupants", "site.alarm_path",
         "water.fluid"),
        ("protection", "mode", "boiler stands", "occupants", "alarm path", "fluid"),
    ),
    (
        "reset", "Outdoor reset", "",
        ("reset", "heating_setpoint", "reset_endpoint", "reset_hot_supply", "reset_cool_supply", "reset_slope",
         "warm_weather_shutdown"),
        ("reset", "set point", "end point", "cold end", "mild end", "slope", "shutdown"),
    ),
)  # fmt: skip


def _tables(report: Report, plants: Mapping[str, Plant]) -> list[dict[str, Any]]:
    results = report.results
    tables: list[dict[str, Any]] = []
    for id_, title, note, names, head in _BY_NAMES:
        wanted = [result for result in results if id_ != "hot-water" or _has_store(plants[result.path])]
        rows = [_row(result, [result.plant, result.site, *_values(plants[result.path], names)]) for result in wanted]
        tables.append(
            {"id": id_, "title": title, "note": note, "caption": title, "head": ["plant", "site", *head], "rows": rows}
        )
    temporary = []
    accepted = []
    drift = []
    for result in results:
        plant = plants[result.path]
        for name, entry in plant.profile.settings.items():
            if entry.until is not None:
                late = "overdue" if entry.until < plant.as_of else "running"
                then = plant.show(name, entry.then) if entry.then is not None else "not recorded"
                cells = [
                    title_of(name),
                    plant.show(name, entry.typed),
                    entry.until,
                    then,
                    late,
                    entry.watched_by or "-",
                ]
                temporary.append(_row(result, [result.plant, result.site, *cells]))
            if entry.read_back is not None and entry.typed is not None and entry.read_back != entry.typed:
                cells = [title_of(name), plant.show(name, entry.typed), plant.show(name, entry.read_back)]
                drift.append(_row(result, [result.plant, result.site, *cells]))
        for finding in result.findings:
            if finding.accepted is not None:
                cells = [finding.severity.value, finding.message, finding.accepted["because"], finding.accepted["by"],
                         finding.accepted["until"]]  # fmt: skip
                accepted.append(_row(result, [result.plant, result.site, *cells]))
    extra: tuple[tuple[str, str, list[dict[str, Any]], tuple[str, ...]], ...] = (
        ("temporary", "Temporary values", temporary, ("setting", "now", "until", "then", "state", "watched by")),
        ("drift", "Read back differs from what was asked for", drift, ("setting", "asked for", "read back")),
        ("accepted", "Accepted risks", accepted, ("severity", "finding", "because", "by", "until")),
    )
    for id_, title, more, columns in extra:
        tables.append(
            {"id": id_, "title": title, "note": "", "caption": title, "head": ["plant", "site", *columns], "rows": more}
        )
    return tables


def _has_store(plant: Plant) -> bool:
    return plant.known("hot_water.kind") not in ("none", "plate")


def write_report(report: Report, plants: Mapping[str, Plant], to: Path, history: History | None = None) -> int:
    """Write the pages into a folder and return how many files changed. Files that are the same are left alone.

    Raises:
        OSError: where the folder or a file can't be written.
    """
    templating = environment()
    history = history or History()
    as_of = report.portfolio.context.as_of.isoformat()
    common: dict[str, Any] = {
        "portfolio": report.portfolio.name,
        "as_of": as_of,
        "commit": history.commit,
        "corner": f"{as_of} {history.commit}".strip(),
        "version": __version__,
        "frame": FRAME,
    }
    (to / "plants").mkdir(parents=True, exist_ok=True)
    templates = resources.files("settingslint.report") / "templates"
    changed = 0
    for name in ("pages.css", "pages.js"):
        changed += _write(to / name, (templates / name).read_text(encoding="utf-8"))
    for result in report.results:
        page = plant_page(templating, result, plants[result.path], common, history)
        changed += _write(to / "plants" / page_name(result), page)
    changed += _write(to / "index.html", index_page(templating, report, plants, common, history))
    return changed


def _write(path: Path, text: str) -> bool:
    content = text.encode("utf-8", "backslashreplace")
    if path.is_file() and path.read_bytes() == content:
        return False
    path.write_bytes(content)
    return True
