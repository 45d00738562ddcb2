"""The as-left record of one boiler: every setting with its state, the facts with their sources, what is still open."""

from __future__ import annotations

from collections.abc import Iterator

from settingslint.checking.audit import Result
from settingslint.checking.report import covered
from settingslint.output.owner import accepted_words
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
from settingslint.vocabulary.cautions import FRAME
from settingslint.vocabulary.facts import COMBUSTION, EMITTER, FACTS, TABLES, VISIT
from settingslint.vocabulary.settings import SAFETY_CAUTIONS, SETTINGS

MOST_FINDINGS = 20


def as_left_record(plant: Plant, commit: str, result: Result) -> Sheet:
    """Return the record of a plant as it was left; `result` is what the rules say of it."""
    blocks: list[Block] = [
        identity(plant),
        _visit(plant),
        Text(FRAME),
        Heading("1. Settings, all of them"),
        _settings(plant),
        Heading("2. Combustion readings on record"),
        _combustion(plant),
        Fields(tuple((name, None) for name in NOT_IN_A_PROFILE)),
        Heading("3. Facts, and where they come from"),
        _facts(plant),
        Heading("4. Tests"),
        Text("A profile has no place for these; write them in, or keep the visit sheet with this record."),
        *tests(plant),
        Heading("5. Open points"),
        Items(tuple(open_points(plant, result)), boxes=True),
        *cautions(plant),
        Fields((
            ("photographs kept at", None), ("date", None),
            ("signed, who set it", None), ("signed, for the owner", None),
        )),
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


def _settings(plant: Plant) -> Grid:
    rows = []
    states = plant.states() if plant.past is not None else []
    for number, name in enumerate(names_of(plant), 1):
        entry, effect = plant.profile.settings.get(name), plant.effects.get(name)
        state = "not recorded" if entry is None else entry.left or "set"
        if state == "default":
            state = "left at its default"
        asked = plant.show(name, entry.typed) if entry is not None and entry.typed is not None else "-"
        back = plant.show(name, entry.read_back) if entry is not None and entry.read_back is not None else "-"
        runs = "not known"
        if effect is not None and effect.effective is not None:
            runs = plant.show(name, effect.effective)
        elif effect is not None and effect.candidates:
            runs = " or ".join(plant.show(name, one) for one in effect.candidates)
        why = entry.why if entry is not None and entry.why else "-"
        if entry is not None and entry.until is not None:
            why = f"{until(entry.until, plant)}; {why}"
        found = found_so(states, name, plant.default_of(name)) if states else None
        if found is not None:
            state = f"found so on {found.on}"
        rows.append((f"{number}{marked(name)}", called(plant, name), state, asked, back, runs, why))
    head = ("no.", "on the panel (what it is)", "state", "asked for", "read back", "effective", "why")
    return Grid(head, tuple(rows), wide=(1,), narrow=True)


def _combustion(plant: Plant) -> Grid:
    rows = []
    for name, row in COMBUSTION.items():
        cells = []
        for end in ("high", "low"):
            known = plant.profile.facts.get(f"combustion.{end}.{name}")
            cells.append(shown(known.value, row.kind, plant) if known else MISSING)
        rows.append((row.title, *cells))
    return Grid(("reading", "high fire", "low fire"), tuple(rows))


def _facts(plant: Plant) -> Grid:
    rows = []
    facts = plant.profile.facts
    for name in (name for table in TABLES for name in FACTS if name.startswith(f"{table}.")):
        known = facts.get(name)
        if known is not None:
            value = shown(known.value, FACTS[name].kind, plant)
            rows.append((FACTS[name].title, value, known.source or "not said", str(known.on or "no date")))
    for index, emitter in enumerate(plant.profile.emitters, 1):
        for name, known in emitter.items():
            value = shown(known.value, EMITTER[name].kind, plant)
            title = f"emitter {index}: {EMITTER[name].title}"
            rows.append((title, value, known.source or "not said", str(known.on or "no date")))
    return Grid(("fact", "value", "from", "on"), tuple(rows))


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
    worst = [one for one in result.findings if one.severity.at_least(Severity.OUTAGE)]
    for one in worst[:MOST_FINDINGS]:
        accepted = f" ({accepted_words(one.accepted)})" if one.accepted else ""
        yield f"{one.severity.value}, {one.certainty.value}: {one.message}{accepted}"
    if len(worst) > MOST_FINDINGS:
        yield f"and {len(worst) - MOST_FINDINGS} findings more: settingslint check lists them"
    yield f"{covered([result]).words}; no finding says nothing about what was not checked or was with assumptions"
