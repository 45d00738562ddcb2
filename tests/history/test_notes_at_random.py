"""Two portfolios at random, written in two ways and committed: the notes list exactly what differs physically.

What differs is worked out from the values that were generated, before any of them became a file.
"""

from __future__ import annotations

import copy
import random
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.history.notes import notes
from settingslint.history.repository import Repository
from settingslint.model.control_file import control_from
from settingslint.model.effect import same
from settingslint.model.profile import profile_from
from settingslint.model.source import Source
from settingslint.model.treatment import resolve
from tests.bench.portfolio import TYPED, text_of
from tests.history.kit import Work
from tests.rules.kit import control_data, profile_data, put, to_metric

Data = dict[str, Any]
FACTS = {
    "building.design_load": (60000, 75000, 88000),
    "site.design_outdoor": (-4, 4, 14),
    "gas.fuel": ("natural gas",),
}
IGNORED = {"does": "ignore", "low": 85, "high": 95, "becomes": 100}
LOW_RANGE = {"low": 60, "high": 160, "outside": "moved to the end"}
CONTROLS: tuple[dict[str, Any], ...] = (
    {},
    {"setting.heating_maximum_rate.treatments": [IGNORED]},
    {"setting.heating_setpoint.range": LOW_RANGE},
)


@st.composite
def plants(draw: st.DrawFn) -> dict[str, Data]:
    """A portfolio's plants by serial number, each with its folder and the values that were changed on the kit's."""
    made = {}
    for serial in draw(st.sets(st.sampled_from(["K-1", "K-2", "K-3"]), min_size=1)):
        names = draw(st.sets(st.sampled_from(sorted(TYPED)), max_size=5))
        made[serial] = {
            "folder": draw(st.sampled_from(["mill", "hall"])),
            "settings": {name: draw(st.sampled_from(TYPED[name])) for name in names},
            "dropped": draw(st.sets(st.sampled_from(sorted(TYPED)), max_size=2)) - names,
            "facts": {name: draw(st.sampled_from(values)) for name, values in FACTS.items()},
        }
    return made


@st.composite
def pairs(draw: st.DrawFn) -> tuple[dict[str, Data], dict[str, Data]]:
    """Two portfolios, of which some plants are the same in both."""
    olds, news = draw(plants()), draw(plants())
    return olds, news | {serial: olds[serial] for serial in draw(st.sets(st.sampled_from(sorted(olds))))}


def data_of(serial: str, plant: Data) -> Data:
    """Return the profile of a plant, in US units."""
    data = profile_data()
    put(data, {"plant.serial": serial, "plant.name": f"Boiler {serial}", "boiler.serial_on_plate": serial})
    put(data, plant["facts"])
    put(data, {f"settings.{name}": value for name, value in plant["settings"].items()})
    for name in plant["dropped"]:
        del data["settings"][name]
    return data


def written(data: Data, look: random.Random) -> str:
    """Return a profile as TOML in one of many layouts that mean the same."""
    data = to_metric(data) if look.random() < 0.4 else copy.deepcopy(data)
    for name, table in list(data.items()):
        if isinstance(table, dict):
            keys = list(table)
            look.shuffle(keys)
            data[name] = {key: table[key] for key in keys}
    for table, name in [("settings", name) for name in data["settings"]] + [("building", "design_load")]:
        if look.random() < 0.3:
            data[table][name] = {"value": data[table][name]}
    tables = list(data)
    look.shuffle(tables)
    text = text_of({name: data[name] for name in tables})
    return text.replace("\n", "  # said again\n", 1) if look.random() < 0.5 else text


def commit(
    work: Work, before: Mapping[str, Data], plants: Mapping[str, Data], control: Mapping[str, Any], look: random.Random
) -> None:
    """Replace the portfolio by another and commit it; files of plants that are the same may stay untouched."""
    stay = {serial for serial in before if before[serial] == plants.get(serial) and look.random() < 0.7}
    for old in (work.folder / "sites").rglob("*.toml"):
        if old.stem not in stay:
            old.unlink()
    for serial, plant in plants.items():
        if serial in stay:
            continue
        work.write(f"sites/{plant['folder']}/{serial}.toml", written(data_of(serial, plant), look))
    work.control(control)
    work.commit()


def effects(data: Data, control: Mapping[str, Any]) -> dict[str, Any]:
    """Return the effective values of a profile's data under a control's, without any file."""
    rows = control_data()
    put(rows, control)
    profile = profile_from(Source("random.toml", "", copy.deepcopy(data)))
    found = resolve(control_from(Source("kit.toml", "", rows)), profile)
    return {name: effect.effective for name, effect in found.items()}


def expected(old: Data, new: Data, before: Mapping[str, Any], after: Mapping[str, Any]) -> set[str]:
    """Return the settings that differ: those typed otherwise, and those that the boiler obeys otherwise."""
    one, other = old["settings"], new["settings"]
    typed = {name for name in {**one, **other} if one.get(name) != other.get(name)}
    obeyed, obeys = effects(old, before), effects(new, after)
    return typed | {name for name in {**obeyed, **obeys} if not same(obeyed.get(name), obeys.get(name))}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(pairs(), st.sampled_from(CONTROLS), st.sampled_from(CONTROLS), st.integers(0, 2**32))
def test_the_notes_list_exactly_what_differs(
    both: tuple[dict[str, Data], dict[str, Data]], before: dict[str, Any], after: dict[str, Any], seed: int
) -> None:
    olds, news = both
    look = random.Random(seed)
    with tempfile.TemporaryDirectory() as place:
        work = Work(Path(place) / "p")
        work.write("portfolio.toml", 'format = 1\nname = "Random"\n')
        commit(work, {}, olds, before, look)
        commit(work, olds, news, after, look)
        with Repository(work.folder) as repository:
            found = notes(repository, work.folder)
        assert not found.problems
        told = {note.plant.profile.serial: note for note in found.notes}
        wanted = set()
        for serial in olds.keys() | news.keys():
            if serial not in olds or serial not in news:
                wanted.add(serial)
                note = told[serial]
                assert (note.old is None, note.new is None) == (serial not in olds, serial not in news)
                continue
            old, new = (data_of(serial, all_[serial]) for all_ in (olds, news))
            differing = expected(old, new, before, after)
            facts = {name for name in FACTS if olds[serial]["facts"][name] != news[serial]["facts"][name]}
            moved = olds[serial]["folder"] != news[serial]["folder"]
            if differing or facts or moved:
                wanted.add(serial)
                note = told[serial]
                assert {row.change.name for row in note.rows} == differing
                assert {fact.name for fact in note.differences.facts} == facts
                assert (note.moved_from is not None) == moved
        assert told.keys() == wanted
