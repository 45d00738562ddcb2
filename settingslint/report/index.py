"""The page of the portfolio: what to do first, the map of plants by group of rules, what to ask; the rest is folded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from importlib import import_module
from typing import Any, Final

from settingslint.checking.audit import Result
from settingslint.checking.questions import FIRST_VIEW, questions
from settingslint.checking.report import Report, covered
from settingslint.model.values import Problem, kind_of, show_value, title_of
from settingslint.output.first_view import Shown, grouped, shown
from settingslint.output.owner import owner_words
from settingslint.output.text import FIRST
from settingslint.plain import Plain, as_laid_out, plain
from settingslint.report.history import NONE, Key, Since
from settingslint.report.names import SIGNS, URGENT, page_name
from settingslint.report.questions import rows as question_rows
from settingslint.report.single import environment
from settingslint.rules import by_group
from settingslint.rules.base import Severity
from settingslint.rules.plant import Plant
from settingslint.vocabulary.settings import SETTINGS

PLACES: Final = 3
"""So many plants are named with a thing to do; the rest are counted."""
MAP_ROWS: Final = 40
"""So many plants are on the map before the rest of it is folded away."""
PRINTED: Final = 200
"""Of a longer table only the first rows are printed."""


@dataclass(frozen=True, slots=True)
class Share:
    """What the past of one plant gives to the index, and how many of its files changed.

    `drift` are rows of setting, as left, since, as found, on, left then; `firing` is the day of the last change of a
    firing setting, or why there is none.
    """

    changed: int
    since: Mapping[Key, Since]
    drift: tuple[tuple[str, ...], ...]
    firing: str
    fault: Problem | None = None


def index_page(
    report: Report, plants: Mapping[str, Plant], common: Mapping[str, Any], shares: Mapping[str, Share]
) -> Plain:
    """Return the page of the portfolio."""
    results = report.results
    pairs = [(result, finding) for result in results for finding in result.findings]
    every = shown(report)
    sure = [one for one in every if not one.is_question]
    open_ = Counter(one.finding.severity for one in sure)
    groups = grouped(sure)
    place = {one.result.path: number for number, one in reversed(list(enumerate(every)))}
    worst = [
        _row(one.result, (one.finding.severity.value, one.finding.headline,
                          *_since(one, shares[one.result.path].since), one.finding.rule))
        for one in sure
        if one.finding.severity in URGENT
    ]  # fmt: skip
    named = {name: frozenset(rule.name for rule in rules) for name, rules in by_group().items()}
    asked = questions(results)
    titles = {name: import_module(f"settingslint.rules.{name}").TITLE for name in named}
    return as_laid_out(
        environment()
        .get_template("index.html")
        .render(
            common,
            up="",
            here="",
            title=report.portfolio.name,
            cover=[
                ("boilers", len(results)),
                ("sites", len({result.site for result in results})),
                *((severity.value, open_.get(severity, 0)) for severity in Severity),
                ("to ask about", len(every) - len(sure)),
                ("accepted", sum(finding.accepted is not None for _, finding in pairs)),
                ("read back", sum(plant.known("visit.read_back") is True for plant in plants.values())),
                ("unreadable places", len(report.problems)),
            ],
            first=[_to_do(group) for group in groups[:FIRST]],
            more_first=max(0, len(groups) - FIRST),
            owner=[plain(word.line) for word in owner_words(report)],
            worst=worst,
            coverage=covered(results),
            by_group=[_covered(titles[name], rules, results) for name, rules in named.items()],
            questions=[
                {"cells": [one["question"], one["decides"], one["known_by"], one["places"], one["name"]], "href": ""}
                for one in question_rows(asked[:FIRST_VIEW])
            ],
            more_questions=max(0, len(asked) - FIRST_VIEW),
            groups=list(titles.values()),
            signs=[(severity.value, sign) for severity, sign in SIGNS.items()],
            severities=[severity.value for severity in Severity],
            map=[
                {
                    "plant": result.plant,
                    "site": result.site,
                    "href": f"plants/{page_name(result)}",
                    "cells": [_map_cell(result, rules) for rules in named.values()],
                }
                for result in sorted(results, key=lambda one: place.get(one.path, len(every)))
            ],
            top=MAP_ROWS,
            printed=PRINTED,
            tables=list(_tables(report, plants, shares)),
            history=report.history,
            problems=[f"{one.file}:{one.line}:{one.column}: {one.message}" for one in report.problems],
        )
    )


def _to_do(group: Sequence[Shown]) -> dict[str, Any]:
    """Return the same finding at some plants as one thing to do."""
    one = group[0]
    finding = one.finding
    names = {place.where: f"plants/{page_name(place.result)}" for place in group}
    return {
        "severity": finding.severity.value,
        "sign": SIGNS[finding.severity],
        "certainty": finding.certainty.value,
        "count": len(names),
        "places": list(names.items())[:PLACES],
        "more": max(0, len(names) - PLACES),
        "headline": finding.headline,
        "fix": one.fix,
        "who": one.who,
    }


def _since(one: Shown, since: Mapping[Key, Since]) -> Since:
    """Return since when a cause is there: the day of the finding that speaks for it."""
    return since.get((one.finding.rule, one.finding.at), (NONE, ""))


def _covered(title: str, rules: frozenset[str], results: Sequence[Result]) -> dict[str, Any]:
    """Return how many checks of one group were made, were made with assumptions, were not, and do not apply."""
    made = sum(name in rules for result in results for name in result.checked)
    assumed = sum(name in rules for result in results for name in result.assumed)
    lacking = sum(lack.rule in rules for result in results for lack in result.not_checked)
    passed = sum(name in rules for result in results for name in result.not_applicable)
    whole = made + assumed + lacking
    share = f"{100 * made / whole:.0f} %" if whole else "none applies"
    return {"cells": [title, len(rules), made, assumed, lacking, passed, share], "href": ""}


def _map_cell(result: Result, rules: frozenset[str]) -> dict[str, Any]:
    findings = [finding for finding in result.findings if finding.rule in rules]
    lacking = [lack.rule for lack in result.not_checked if lack.rule in rules]
    checked = [name for name in result.checked if name in rules]
    assumed = [name for name in result.assumed if name in rules]
    open_ = [finding for finding in findings if finding.accepted is None]
    worst = min((finding.severity for finding in open_ or findings), key=lambda one: one.rank, default=None)
    partly = " partly" if lacking and (checked or assumed or findings) else ""
    guessed = f", {len(assumed)} checked with assumptions" if assumed else ""
    missing = f"{guessed}, {len(lacking)} not checked" if lacking else guessed
    if worst is not None:
        ring = "" if open_ else " accepted"
        said = f"{worst.value}{' accepted' if ring else ''}: {len(findings)}{missing}"
        return {"look": f"{worst.value}{partly}{ring}", "sign": SIGNS[worst], "said": said, "order": worst.rank}
    if lacking:
        said = f"{len(lacking)} not checked, {len(checked)} checked{guessed}"
        return {"look": "unchecked", "sign": "▦", "said": said, "order": 5}
    if assumed:
        return {"look": "clear", "sign": "≈", "said": f"no finding{guessed}", "order": 5.5}
    if checked:
        return {"look": "clear", "sign": "–", "said": "no finding", "order": 6}
    return {"look": "none", "sign": "", "said": "does not apply", "order": 7}


def _row(result: Result, cells: Iterable[object]) -> dict[str, Any]:
    """Return a row about a plant; its first cell leads to the plant's page."""
    return {"cells": [f"{result.plant}, {result.site}", *cells], "href": f"plants/{page_name(result)}"}


def _values(plant: Plant, names: Iterable[str]) -> Iterator[str]:
    for name in names:
        value = plant.known(name)
        if value is None:
            yield "not recorded"
        elif isinstance(value, bool) and name not in SETTINGS:
            yield "yes" if value else "no"
        else:
            yield show_value(value, kind_of(name), plant.system)


_BY_NAMES: Final = (
    (
        "hot-water", "Hot water", "Scalding and hygiene are one decision: both are side by side here.",
        ("tank_setpoint", "tank_differential", "hygiene_cycle", "hot_water.return_measured", "hot_water.mixing_valve",
         "hot_water.mixing_valve_tested", "site.occupants"),
        ("tank", "its differential", "hygiene heat-up", "loop return", "mixing valve", "valve tested", "occupants"),
    ),
    (
        "freeze", "Freeze readiness", "Protection works only with power, gas, no lockout and moving water.",
        ("freeze_protection", "operating_mode", "boiler.location", "site.occupants", "site.alarm_path",
         "water.fluid"),
        ("protection", "mode", "boiler is", "occupants", "alarm path", "fluid"),
    ),
    (
        "reset", "Outdoor reset", "A control has one end point, or two ends, or a slope; the others stay empty.",
        ("reset", "heating_setpoint", "reset_endpoint", "reset_hot_supply", "reset_cool_supply", "reset_slope",
         "warm_weather_shutdown"),
        ("reset", "set point", "end point", "cold end", "mild end", "slope", "shutdown"),
    ),
)  # fmt: skip


def _tables(report: Report, plants: Mapping[str, Plant], shares: Mapping[str, Share]) -> Iterator[dict[str, Any]]:
    results = report.results
    hot, *others = (_by_names(results, plants, *one) for one in _BY_NAMES)
    yield _table(
        "drift", "Changed since the last visit", "What a visit found beside what the visit before had left.",
        ("setting", "left at", "on", "found at", "on", "then left at"), _drift(results, shares),
        "no visit recorded what it found" if any(one.firing != NONE for one in shares.values()) else NONE,
    )  # fmt: skip
    yield _table(
        "read-back", "Read back another value than typed", "The control shows another value than was typed.",
        ("setting", "typed", "read back"), _read_back(results, plants),
    )  # fmt: skip
    yield _table(
        "temporary", "Temporary values", "", ("setting", "now", "until", "then", "state", "watched by"),
        _temporary(results, plants),
    )  # fmt: skip
    yield hot
    yield _table(
        "combustion", "Combustion proofs", "A reading older than the last change of firing proves nothing about it.",
        ("high fire", "low fire", "last change of firing", "so the change is"), _combustion(results, plants, shares),
    )  # fmt: skip
    yield from others
    accepted = (
        (result, (one.severity.value, one.headline, *(one.accepted[key] or "-" for key in ("because", "by", "until"))))
        for result in results
        for one in result.findings
        if one.accepted is not None
    )
    yield _table("accepted", "Accepted risks", "", ("severity", "finding", "because", "by", "until"), accepted)


def _table(
    id_: str,
    title: str,
    note: str,
    head: Sequence[str],
    rows: Iterable[tuple[Result, Iterable[object]]],
    empty: str = "none recorded",
) -> dict[str, Any]:
    made = [_row(result, cells) for result, cells in rows]
    return {"id": id_, "title": title, "note": note, "head": ["plant", *head], "rows": made, "empty": empty}


def _by_names(
    results: Iterable[Result], plants: Mapping[str, Plant], id_: str, title: str, note: str, names: Sequence[str],
    head: Sequence[str],
) -> dict[str, Any]:  # fmt: skip
    wanted = [result for result in results if id_ != "hot-water" or _has_tank(plants[result.path])]
    return _table(id_, title, note, head, [(result, _values(plants[result.path], names)) for result in wanted])


def _has_tank(plant: Plant) -> bool:
    return plant.known("hot_water.kind") not in ("none", "plate")


Rows = Iterator[tuple[Result, Iterable[object]]]


def _drift(results: Sequence[Result], shares: Mapping[str, Share]) -> Rows:
    rows = [(result, row) for result in results for row in shares[result.path].drift]
    yield from sorted(rows, key=lambda each: each[1][4], reverse=True)


def _temporary(results: Iterable[Result], plants: Mapping[str, Plant]) -> Rows:
    for result in results:
        plant = plants[result.path]
        for name, entry in plant.profile.settings.items():
            if entry.until is not None:
                late = (plant.as_of - entry.until).days
                state = f"overdue by {late:,} d" if late > 0 else "running"
                then = plant.show(name, entry.then) if entry.then is not None else "not recorded"
                now = plant.show(name, entry.typed)
                yield result, (title_of(name), now, entry.until, then, state, entry.watched_by or "no name recorded")


def _read_back(results: Iterable[Result], plants: Mapping[str, Plant]) -> Rows:
    for result in results:
        plant = plants[result.path]
        for name, entry in plant.profile.settings.items():
            if entry.read_back is not None and entry.typed is not None and entry.read_back != entry.typed:
                yield result, (title_of(name), plant.show(name, entry.typed), plant.show(name, entry.read_back))


def _combustion(results: Iterable[Result], plants: Mapping[str, Plant], shares: Mapping[str, Share]) -> Rows:
    for result in results:
        readings = [plants[result.path].known(f"combustion.{end}.on") for end in ("high", "low")]
        changed = shares[result.path].firing
        shown = [one.isoformat() if isinstance(one, date) else "not recorded" for one in readings]
        yield result, (*shown, changed, proved(changed, shown))


def proved(changed: str, readings: Sequence[str]) -> str:
    """Return whether both readings are as new as the last change of firing; all are ISO dates or words.

    >>> proved("2026-03-01", ["2026-03-01", "2026-02-01"])
    'unproved at low fire'
    """
    if not changed[:1].isdigit():
        return "-" if changed != NONE else "not told"
    ends = zip(("high", "low"), readings, strict=True)
    lacking = [end for end, on in ends if not on[:1].isdigit() or on < changed]
    return f"unproved at {' and '.join(lacking)} fire" if lacking else "followed by readings at both ends"
