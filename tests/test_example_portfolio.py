"""The example portfolio: what its README promises, which findings it shows, and every treatment in a control file."""

from __future__ import annotations

from collections import Counter
from datetime import date
from functools import cache
from pathlib import Path
from typing import Final

import pytest

from settingslint.checking.check import check
from settingslint.checking.report import Report
from settingslint.files.reader import Reader
from settingslint.model.control import DOES, OTHERWISE, OUTSIDE, RESET_STYLES, Control
from settingslint.model.source import parse
from settingslint.rules.plant import Plant
from tests.rules.thin_plants import PORTFOLIO

HOME: Final = Path(__file__).parent.parent / "profiles"
AS_OF: Final = date(2026, 11, 25)
CLEAN: Final = {
    "bell-street-library/boiler-1", "weir-cottages/no-1", "pump-house/boiler-1", "millers-row/boiler-1",
    "harbour-rooms/boiler-1", "ferry-house/boiler-1", "linden-yard/boiler-2", "quarry-school/boiler-1",
}  # fmt: skip
SHOWN: Final = {
    "weir-cottages/no-2": {"reset-off-unsaid", "not-read-back", "typed-differs-from-read-back"},
    "weir-cottages/no-3": {
        "reset-endpoint-above-setpoint", "keep-warm-with-tank", "setpoint-below-emitter-need",
    },
    "ferry-workshop/boiler-1": {
        "freeze-protection-off", "derate-in-ignored-band", "firing-change-without-combustion-proof", "guessed-facts",
    },
    "tanners-court/boiler-1": {
        "hot-tank-without-mixing-valve", "boiler-target-near-tank-target", "temporary-change-overdue",
    },
    "quarry-school/boiler-2": {
        "two-leaders", "cascade-address-twice", "twins-not-alike", "low-fire-raised",
        "firing-change-without-combustion-proof",
    },
    "orchard-house/boiler-1": {"tank-below-hygiene-temperature", "acceptance-expired"},
    "corner-hall/boiler-1": {"all-at-defaults", "provisional-before-first-firing"},
    "linden-yard/boiler-1": {"supply-above-emitter-limit", "priority-limit-below-recovery"},
    "north-lodge/boiler-1": {"typed-in-other-unit", "high-limit-too-near"},
}  # fmt: skip


@cache
def report() -> Report:
    return check([HOME], AS_OF)


@cache
def plants() -> dict[str, Plant]:
    reader = Reader(HOME, AS_OF)
    return {name_of(str(file)): reader.plant(file) for file in sorted(HOME.glob("sites/*/*.toml"))}


def name_of(path: str) -> str:
    return "/".join(path.removesuffix(".toml").split("/")[-2:])


@cache
def controls() -> dict[str, Control]:
    return {plant.control.name: plant.control for plant in plants().values()}


def found(name: str) -> set[str]:
    (result,) = [one for one in report().results if name_of(one.path) == name]
    return {finding.rule for finding in result.findings}


def test_its_size_and_kinds() -> None:
    assert report().problems == ()
    assert len(plants()) >= 12
    assert len({plant.profile.site for plant in plants().values()}) >= 8
    assert {control.reset_style for control in controls().values()} == set(RESET_STYLES) - {"none"}
    assert {plant.system for plant in plants().values()} == {"us", "metric"}
    kinds = {plant.profile.facts["hot_water.kind"].value for plant in plants().values()}
    assert kinds == {"none", "plate", "tank"}
    groups = Counter((p.profile.site, p.profile.group) for p in plants().values() if p.profile.group)
    assert max(groups.values()) == 2


@pytest.mark.parametrize("name", sorted(CLEAN))
def test_clean(name: str) -> None:
    assert found(name) == set()


@pytest.mark.parametrize("name", sorted(SHOWN))
def test_wrong(name: str) -> None:
    assert SHOWN[name] <= found(name)


def test_every_plant_is_clean_wrong_or_thin() -> None:
    """What is said of the thin ones: see `tests/rules/test_thin_plants.py`."""
    assert sorted((*CLEAN, *SHOWN, *PORTFOLIO)) == sorted(plants())
    assert len(PORTFOLIO) >= 5


def test_every_behaviour_stands_in_a_control_file() -> None:
    rows = [row for control in controls().values() for row in control.rows.values()]
    assert {item.does for row in rows for item in row.treatments or ()} == set(DOES)
    assert {need.otherwise for row in rows for need in row.needs} >= set(OTHERWISE) - {"default"}
    assert {row.outside for row in rows} >= set(OUTSIDE)
    assert {row.access for row in rows} >= {"user", "installer", "service", "factory"}
    assert {event for row in rows for event in row.lost_on} >= {"power cycle", "new board", "size change"}
    assert any(row.default_by_size for row in rows)
    assert any(row.step for row in rows)
    assert all(control.complete and control.save for control in controls().values())
    assert all(row.evidence and row.treatments is not None for row in rows)


NUMBERS: Final = {
    "hot_water_boiler_setpoint": (80, 190, 160), "heating_setpoint": (80, 200, 130),
    "heating_differential": (1, 40, 20), "reset_endpoint": (70, None, 85), "keep_warm": (1, 24, 4),
}  # fmt: skip


def test_no_control_file_repeats_a_known_set_of_numbers() -> None:
    """Common practice, no source: one set of ranges and defaults that the examples and tests stay clear of."""
    files = [*HOME.glob("controls/*.toml"), *Path(__file__).parent.rglob("*.toml")]
    for file in files:
        try:
            data = parse(file.read_bytes(), file.name).data
        except Exception:
            continue
        for name, numbers in NUMBERS.items():
            row = data.get("setting", {}).get(name, {}) if isinstance(data.get("setting"), dict) else {}
            span = row.get("range", {}) if isinstance(row, dict) else {}
            own = (span.get("low"), span.get("high"), row.get("default"))
            same = sum(one is not None and one == other for one, other in zip(own, numbers, strict=True))
            assert same < 2, (file, name, own)


def test_typed_and_effective() -> None:
    """The sentence that says what a control made of a value."""
    effect = plants()["ferry-workshop/boiler-1"].effects["heating_maximum_rate"]
    assert (effect.typed, effect.effective) == (95.0, 100.0)
    assert effect.reasons[-1].text == (
        "Typed 95 % of input. This control ignores 93 to 99 % of input; it runs at 100 % of input."
    )
