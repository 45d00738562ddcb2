"""Plants stripped to what a team has in its first month, and what is then still said of them.

`python -m tests.checking.thin` prints the table.
"""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final

from settingslint.checking.audit import Result, audit
from settingslint.files.reader import Reader
from settingslint.model.profile import profile_from
from settingslint.model.source import Source
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Finding, Severity
from settingslint.rules.plant import Plant
from tests.rules.kit import make_plant
from tests.rules.test_clean_plants import CLEAN

HOME: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)
SEEN: Final = (
    "hot_water.kind", "hot_water.tank_volume", "hot_water.mixing_valve", "gas.fuel", "accessories.outdoor_sensor",
    "boiler.location", "site.occupants", "emitter.kind",
)  # fmt: skip
HALF_AN_HOUR: Final = (
    *SEEN, "emitter.design_supply", "emitter.design_return", "emitter.load", "site.design_outdoor",
    "building.design_load",
)  # fmt: skip
LEVELS: Final[Mapping[str, tuple[str, ...]]] = {
    "settings only": (), "what one sees": SEEN, "half an hour of facts": HALF_AN_HOUR,
}  # fmt: skip
KEPT: Final = ("format", "units", "plant", "settings", "accepted")


def stripped(data: Mapping[str, Any], keep: tuple[str, ...]) -> dict[str, Any]:
    """Return a profile's data with its settings and some facts only."""
    thin = {name: copy.deepcopy(data[name]) for name in KEPT if name in data}
    for dotted in keep:
        table, _, name = dotted.partition(".")
        if table == "emitter":
            for index, emitter in enumerate(data.get("emitter", ())):
                rows = thin.setdefault("emitter", [{} for _ in data["emitter"]])
                if name in emitter:
                    rows[index][name] = emitter[name]
        elif name in data.get(table, {}):
            thin.setdefault(table, {})[name] = data[table][name]
    return thin


def thin_plant(plant: Plant, keep: tuple[str, ...]) -> Plant:
    """Return a plant of which only so much is recorded."""
    source = plant.profile.source
    profile = profile_from(Source(source.name, source.text, stripped(source.data, keep)))
    return Plant(profile, plant.control, plant.context, lambda _: plant.past)


def example_plants() -> Iterator[tuple[str, Plant]]:
    """Yield the plants of the example portfolio."""
    reader = Reader(HOME, AS_OF)
    for file in sorted(HOME.glob("sites/*/*.toml")):
        yield f"{file.parent.name}/{file.stem}", reader.plant(file)


def right_plants() -> Iterator[tuple[str, Plant]]:
    """Yield the plants that are set right."""
    for name, (_, changes, style, metric) in CLEAN.items():
        yield name, make_plant(changes, style=style, metric=metric)


def said(plant: Plant) -> Result:
    """Return what the rules about one plant say of it."""
    return audit(plant, all_rules())


def hazards(result: Result) -> Counter[str]:
    """Return the rules of what was found, other than about the record."""
    return Counter(one.rule for one in result.findings if one.gravest is not Severity.RECORD)


def table() -> Iterator[tuple[str, str, Counter[str], Result]]:
    """Yield level, plant, what the full record has, and the result of the thin one, for each example plant."""
    for name, plant in example_plants():
        full = hazards(audit(plant, all_rules(), assume=False))
        for level, keep in LEVELS.items():
            yield level, name, full, said(thin_plant(plant, keep))


def _of(found: tuple[Finding, ...], certainty: Certainty) -> int:
    return sum(one.certainty is certainty for one in found)


def main() -> None:
    """Print the table, and what is missed."""
    whole: Counter[str] = Counter()
    heard: Counter[str] = Counter()
    missed: dict[str, Counter[str]] = {level: Counter() for level in LEVELS}
    extra: dict[str, Counter[str]] = {level: Counter() for level in LEVELS}
    for level, _, full, result in table():
        thin = hazards(result)
        whole[level] += full.total()
        heard[level] += (full & thin).total()
        missed[level] += full - thin
        extra[level] += thin - full
    for level in LEVELS:
        print(f"{level}: {heard[level]} of {whole[level]} ({heard[level] / whole[level]:.0%})")
        print("   missed:", dict(missed[level].most_common()))
        print("   extra:", extra[level].total(), dict(extra[level].most_common(15)))
    for level, keep in LEVELS.items():
        print(f"right plants, {level}:")
        for name, plant in right_plants():
            result = said(thin_plant(plant, keep))
            bad = [
                f"{one.rule} {one.severity}" for one in result.findings
                if one.certainty is Certainty.LIKELY and one.severity.at_least(Severity.OUTAGE)
            ]  # fmt: skip
            asks = {name for one in result.findings for name in one.asks}
            likely = _of(result.findings, Certainty.LIKELY)
            print(f"   {name}: {likely} likely, {len(asks)} questions", bad, sorted(asks))


if __name__ == "__main__":
    main()
