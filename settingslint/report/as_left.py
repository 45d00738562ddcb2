"""The as-left record of one boiler: every setting with its state, the facts with their sources, what is still open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from settingslint.checking.audit import Result
from settingslint.checking.causes import headed
from settingslint.checking.report import covered
from settingslint.model.profile import Fact
from settingslint.output.owner import accepted_words
from settingslint.output.plain import plural
from settingslint.report.sheet import (
    MISSING,
    Block,
    Fields,
    Grid,
    Heading,
    Items,
    Sheet,
    Text,
    called,
    cautions,
    identity,
    marked,
    names_of,
    sheet_of,
    shown,
    until,
)
from settingslint.report.visit_sheet import NOT_IN_A_PROFILE, tests
from settingslint.rules.base import Severity
from settingslint.rules.past import found_so
from settingslint.rules.plant import Plant
from settingslint.units import Kind
from settingslint.vocabulary.cautions import FRAME
from settingslint.vocabulary.facts import COMBUSTION, EMITTER, FACTS, TABLES, VISIT
from settingslint.vocabulary.settings import SAFETY_CAUTIONS, SETTINGS

MOST_FINDINGS: Final = 10
NO_SOURCE: Final = "no source recorded"


def as_left_record(plant: Plant, commit: str, result: Result) -> Sheet:
    """Return the record of a plant as it was left; `result` is what the rules say of it."""
    blocks: list[Block] = [
        identity(plant),
        _visit(plant),
        Text(FRAME, small=True),
        Heading("1. Settings, all of them"),
        *_settings(plant),
        Heading("2. Combustion readings on record"),
        _combustion(plant),
        Fields(tuple((name, None) for name in NOT_IN_A_PROFILE)),
        Heading("3. Facts, and where they come from"),
        Items(tuple(_facts(plant)), columns=2, small=True),
        Heading("4. Tests: write them in here, or keep the visit sheet with this record"),
        *tests(plant),
        Heading("5. Open points"),
        Items(tuple(open_points(plant, result)), boxes=True, columns=2),
        *cautions(plant),
        Fields((
            ("photographs kept at", None), ("date", None),
            ("signed, who set it", None), ("signed, for the owner", None),
        ), columns=2),
    ]  # fmt: skip
    return sheet_of("As-left record", plant, commit, blocks)


def _visit(plant: Plant) -> Fields:
    names = ("on", "by", "role", "kind", "occasion", "why", "work_order", "read_back", "clock_checked")
    rows = []
    for name in names:
        known = plant.profile.facts.get(f"visit.{name}")
        title = "date of the visit" if name == "on" else VISIT[name].title
        rows.append((title, shown(known.value, VISIT[name].kind, plant) if known else MISSING))
    return Fields(tuple(rows))


def _settings(plant: Plant) -> list[Block]:
    """Return the settings in the order of entry: those that somebody set or explained, then the others in short."""
    told, quiet = [], []
    states = plant.states() if plant.past is not None else []
    for number, name in enumerate(names_of(plant), 1):
        entry, effect = plant.profile.settings.get(name), plant.effects.get(name)
        state = "not recorded" if entry is None else entry.left or "set"
        if state == "default":
            state = "left at its default"
        runs = "not known"
        if effect is not None and effect.effective is not None:
            runs = plant.show(name, effect.effective)
        elif effect is not None and effect.candidates:
            runs = " or ".join(plant.show(name, one) for one in effect.candidates)
        found = found_so(states, name, plant.default_of(name)) if states else None
        if found is not None:
            state = f"found so on {found.on}"
        first = (f"{number}{marked(name)}", called(plant, name), state)
        if entry is None or (entry.typed is None and entry.read_back is None and not entry.why):
            quiet.append((*first, runs))
            continue
        typed = plant.show(name, entry.typed) if entry.typed is not None else "-"
        back = plant.show(name, entry.read_back) if entry.read_back is not None else "-"
        why = entry.why or "-"
        if entry.until is not None:
            why = f"{until(entry.until, plant)}; {why}"
        told.append((*first, typed, back, runs, why))
    head = ("no.", "on the panel (what it is)", "state")
    blocks: list[Block] = []
    if told:
        blocks.append(Grid((*head, "set to", "read back", "runs at", "why"), tuple(told), (5, 33, 8, 11, 9, 11, 23)))
    if quiet:
        blocks.append(Grid((*head, "runs at"), tuple(quiet), (8, 52, 20, 20), beside=2))
    return blocks


def _combustion(plant: Plant) -> Grid:
    rows = []
    for name, row in COMBUSTION.items():
        cells = []
        for end in ("high", "low"):
            known = plant.profile.facts.get(f"combustion.{end}.{name}")
            cells.append(shown(known.value, row.kind, plant) if known else MISSING)
        rows.append((row.title, *cells))
    return Grid(("reading", "high fire", "low fire"), tuple(rows), (46, 27, 27), beside=3)


def _facts(plant: Plant) -> Iterator[str]:
    """Yield the facts of each table that have the same source and day together."""
    groups: dict[tuple[str, str], list[str]] = {}

    def add(table: str, title: str, known: Fact, kind: Kind) -> None:
        origin = ", ".join(str(one) for one in (known.source, known.on) if one is not None)
        groups.setdefault((table, origin), []).append(f"{title} {shown(known.value, kind, plant)}")

    facts = plant.profile.facts
    for table in TABLES:
        for name in FACTS:
            if name.startswith(f"{table}.") and name in facts:
                add(table.replace("_", " "), FACTS[name].title, facts[name], FACTS[name].kind)
    for index, emitter in enumerate(plant.profile.emitters, 1):
        for name, known in emitter.items():
            add(f"emitter {index}", EMITTER[name].title, known, EMITTER[name].kind)
    for (table, origin), said in groups.items():
        yield f"{table.capitalize()}: {'; '.join(said)} ({origin or NO_SOURCE})"


def open_points(plant: Plant, result: Result) -> Iterator[str]:
    """Yield what is not settled: settings without a record, temporary values, findings, and what was not checked."""
    silent = [called(plant, name) for name in names_of(plant) if name not in plant.profile.settings]
    if silent:
        yield f"not recorded: {', '.join(silent)}"
    visited = plant.profile.fact_value("visit.read_back") is True
    unread = [
        called(plant, name)
        for name, entry in plant.profile.settings.items()
        if SETTINGS[name].caution in SAFETY_CAUTIONS and entry.typed is not None and entry.read_back is None
    ]
    if unread and not visited:
        yield f"not read back: {', '.join(unread)}"
    for name, entry in plant.profile.settings.items():
        if entry.until is not None:
            back = f"; then {plant.show(name, entry.then)}" if entry.then is not None else ""
            who = entry.watched_by or "nobody"
            yield f"temporary {until(entry.until, plant)}: {called(plant, name)}{back}; watched by {who}"
    found = headed(result.findings, result.summary.accepted)
    worst = [one.finding for one in found if one.finding.severity.at_least(Severity.OUTAGE)]
    for one in worst[:MOST_FINDINGS]:
        accepted = f" ({accepted_words(one.accepted)})" if one.accepted else ""
        fix = f"; fix: {one.remedy.text}" if one.remedy is not None and one.accepted is None else ""
        yield f"{one.severity.value} ({one.certainty.value}): {one.headline}{accepted}{fix}"
    if len(worst) > MOST_FINDINGS:
        yield f"and {plural(len(worst) - MOST_FINDINGS, 'finding')} more: settingslint check lists them"
    yield f"{covered([result]).words}; no finding says nothing about what was not checked or was with assumptions"
