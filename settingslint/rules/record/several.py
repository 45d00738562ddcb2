"""Rules about the record of several plants: one serial twice, the same facts twice, defaults and bulk edits."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from typing import Final

from settingslint.model.values import title_of
from settingslint.rules.base import ASK, DANGER, LIKELY, RECORD, WASTE, Draft, Missing, Threshold, found
from settingslint.rules.rule import Rule, rule
from settingslint.rules.summary import SET_FOR_EACH_SITE, Plants, Summary
from settingslint.units import Kind
from settingslint.vocabulary.settings import SAFETY_CAUTIONS, SETTINGS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

Many = Iterator[tuple[Summary, Draft | Missing]]
FEWEST_PLANTS: Final = Threshold(
    "fewest_plants", 5.0, Kind.COUNT, COMMON_PRACTICE, "plants that must have a value to call it common",
    3.0, 20.0, "common practice, no source: twenty of one value are no chance", looser="up",
)  # fmt: skip
FEWEST_FACTS: Final = Threshold(
    "fewest_facts", 6.0, Kind.COUNT, COMMON_PRACTICE, "facts that must be identical to call a site a copy",
    4.0, 12.0, "common practice, no source: 12 facts alike are no chance", looser="up",
)  # fmt: skip
NO_SERIAL: Final = frozenset({"", "-", "?", "n/a", "na", "none", "tbd", "unknown"})


@rule("serial-twice", severity=DANGER, cautions=("record", "firing", "combustion"), source=ARITHMETIC,
      scope="portfolio")  # fmt: skip
def serial_twice(plants: Sequence[Summary]) -> Many:
    """Two profiles have one serial number: one of them is the record of another boiler.

    Over the whole portfolio, case and blanks aside. Which of the two is wrong only their plates can say.
    """
    by_serial: dict[str, list[Summary]] = defaultdict(list)
    for plant in plants:
        serial = (plant.serial or "").strip().casefold()
        if serial in NO_SERIAL:
            yield plant, Missing("plant.serial")
        else:
            by_serial[serial].append(plant)
    for members in by_serial.values():
        for plant in members if len(members) > 1 else ():
            other = members[0] if plant is not members[0] else members[1]
            yield (
                plant,
                found(
                    "plant.serial",
                    f"serial {plant.serial} is also in {other.path}",
                    {},
                    "read both plates; set nothing by either record until then",
                ),
            )


@rule("sites-with-the-same-facts", severity=DANGER, certainty=LIKELY, cautions=("record",), source=COMMON_PRACTICE,
      assumes="two buildings never have identical facts", scope="portfolio", thresholds=(FEWEST_FACTS,))  # fmt: skip
def sites_with_the_same_facts(plants: Plants) -> Many:
    """Two sites have identical facts: one was copied from the other.

    At least six facts of building and boiler, all equal; the serial number on the plate aside.
    """
    seen: dict[tuple[int, bytes], Summary] = {}
    for plant in plants:
        count, _ = plant.same_building
        if count < plants.threshold(FEWEST_FACTS):
            yield plant, Missing("building.design_load", "too few facts of building and boiler are recorded")
            continue
        other = seen.setdefault(plant.same_building, plant)
        if other is not plant and other.site != plant.site:
            yield (
                plant,
                found(
                    "plant.site",
                    f"all {count} facts of building and boiler are identical to {other.path}",
                    {},
                    "find out which was copied, and record its own facts",
                ),
            )


@rule("defaults-across-portfolio", severity=WASTE, certainty=ASK, cautions=("record",), source=COMMON_PRACTICE,
      scope="portfolio", thresholds=(FEWEST_PLANTS,))  # fmt: skip
def defaults_across_portfolio(plants: Plants) -> Many:
    """Most plants with one control are at its default of a heating or hot-water temperature: was it ever set?

    At least five plants of one control, more than half of them at the default.
    """
    by_control: dict[str, list[Summary]] = defaultdict(list)
    for plant in plants:
        by_control[plant.control].append(plant)
    for members in by_control.values():
        if len(members) < plants.threshold(FEWEST_PLANTS):
            continue
        counts = Counter(name for plant in members for name in plant.at_default)
        for name in SET_FOR_EACH_SITE:
            if counts[name] * 2 > len(members):
                for plant in members:
                    if name in plant.at_default:
                        yield (
                            plant,
                            found(
                                name,
                                f"{title_of(name)} is at default at {counts[name]:,} of {len(members):,} plants: was it"
                                " ever set?",
                                {},
                                "set it by the site's own facts, or record that the default is meant",
                            ),
                        )


@rule("bulk-edit-over-sites", severity=RECORD, certainty=LIKELY, source=COMMON_PRACTICE, scope="portfolio",
      cautions=("hygiene", "scald", "freeze", "record"), thresholds=(FEWEST_PLANTS,),
      assumes="one value at many sites on one date is one campaign")  # fmt: skip
def bulk_edit_over_sites(plants: Plants) -> Many:
    """A safety setting got one value at many sites on one day: was each site checked?

    Five sites or more. What is right at most sites can scald, freeze or leave cold at the others.
    """
    edits: dict[tuple[str, str, str], list[Summary]] = defaultdict(list)
    for plant in plants:
        for name, on in plant.changed.items():
            if SETTINGS[name].caution in (*SAFETY_CAUTIONS, "heating") and name in plant.settings:
                edits[name, on.isoformat(), str(plant.settings[name])].append(plant)
    for (name, day, _), members in edits.items():
        if len({plant.site for plant in members}) >= plants.threshold(FEWEST_PLANTS):
            for plant in members:
                yield (
                    plant,
                    found(
                        name,
                        f"{title_of(name)} set to {plant.show(name)} at {len(members):,} plants on {day}: was this one"
                        " checked?",
                        {},
                        "check hygiene, freezing and emitters of this site, and record that it was done",
                    ),
                )


RULES: Final[tuple[Rule, ...]] = (
    serial_twice,
    sites_with_the_same_facts,
    defaults_across_portfolio,
    bulk_edit_over_sites,
)
