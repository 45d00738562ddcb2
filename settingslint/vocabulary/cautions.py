"""Cautions by class, in two lengths: one line beside each finding, and a paragraph for notes and printed sheets."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple


class Caution(NamedTuple):
    """`short` stands beside a finding, `long` in notes about danger and damage and on printed sheets."""

    title: str
    short: str
    long: str


FRAME: Final = (
    "This compares recorded settings with recorded facts and has not seen the boiler. The maker's instructions, the"
    " listing, the local code and the person licensed for the work overrule it. 'No finding' says nothing about what"
    " was not recorded."
)
"""Printed once with every output."""
SHORT_FRAME: Final = "Not seen by this tool: the boiler. Maker, code and licensed people decide; --full says more."
"""In the first view."""

CAUTIONS: Final[dict[str, Caution]] = {
    "firing": Caution(
        "Firing",
        "Licensed gas work: the maker's values, and combustion proved at high and low fire afterwards.",
        "Fan speeds, rate limits, ignition, fuel and elevation settings decide how gas and air meet. A wrong value can"
        " make carbon monoxide, soot or a hard light-off behind a flame that looks normal. Only a person licensed for"
        " gas work here changes them, with the maker's table for this size, fuel and elevation, and never by copying"
        " another boiler. A setting is not a fuel conversion. Whoever cannot test puts the old value back.",
    ),
    "combustion": Caution(
        "Combustion",
        "A change of firing is unproved until an analyser reading at both ends is newer than the change.",
        "Zero the analyser in clean air, check its calibration and fuel, wait for a stable boiler with covers on and"
        " measure at high and at low fire. The maker's limits count; this tool has none. Carbon monoxide in the room,"
        " rising readings or readings outside the limits: shut off, ventilate, get people out as the case demands,"
        " make it secure and report as local rules say. Settings are not for trimming combustion.",
    ),
    "scald": Caution(
        "Scalding",
        "Hot water can burn in seconds: test the mixing valve before, and the taps after.",
        "Above about 120 F (49 C) burns come quickly, at 140 F (60 C) within seconds, and sooner to children, old and"
        " disabled people. Raising any hot-water value or starting a heat-up needs a working, tested mixing valve;"
        " measure at the nearest and the farthest tap and warn the people who live there. Care premises follow the"
        " stricter local limits. A setting is no anti-scald device.",
    ),
    "hygiene": Caution(
        "Hygiene",
        "Only the person responsible for water safety lowers tank or loop temperatures.",
        "Warm standing water grows legionella, most between about 20 and 45 C (68 and 113 F). A cooler tank, longer"
        " pauses, a stopped loop, holiday modes and wide differentials all move water into that range. The person"
        " responsible for water safety decides and local limits bind. After a standstill, heat and flush without"
        " breathing the spray. A heat-up alone is no control programme, and every raise brings the scalding caution"
        " with it.",
    ),
    "freeze": Caution(
        "Freezing",
        "Freeze protection works only with power, gas, no lockout and moving water.",
        "No setting guards a pipe that the boiler's pump cannot reach, or any pipe in a power cut, a lockout or a gas"
        " stop. Leave it on in every mode, also in summer and away. In an empty building somebody must get an alarm"
        " and be able to come in time; otherwise drain, or use tested antifreeze of the right kind. Read the insurer's"
        " wording. If it is already frozen do not fire: thaw and look for splits.",
    ),
    "limit": Caution(
        "Limits",
        "Find the cause of a trip; a limit is not raised to stop it.",
        "Limits, low-water and pressure devices and the relief valve are the last barrier. Qualified persons only,"
        " inside the rating of the weakest part, and tested afterwards. Never bridge, block or plug one. A dripping"
        " relief valve is telling something. Hot water under pressure flashes to steam when it is opened: cool down"
        " and let the pressure off first. A limit that locks out keeps its manual reset where the rules say so.",
    ),
    "heating": Caution(
        "Heating",
        "One small change, then two days of similar weather, written down.",
        "Cooler water can leave rooms cold in hard weather; hotter water can hurt floors, plastic pipe, finishes and"
        " hands on radiators. Check what the floor may take and tell the people who live there.",
    ),
    "hot-water": Caution(
        "Hot-water comfort",
        "Tell the users about a longer wait, or the owner about more gas burnt while idle.",
        "A plate that is not kept warm makes people wait; one that is kept warm burns gas while nobody uses hot water.",
    ),
    "pump": Caution(
        "Flow",
        "Check that water moves through the boiler before and after the change.",
        "A boiler without its minimum flow boils locally, trips its limits and can destroy its exchanger. Pump modes"
        " follow the piping that is there and the maker's figures.",
    ),
    "electric": Caution(
        "Electricity",
        "Isolate and prove dead; some terminals stay live from another supply.",
        "A boiler can have two feeds. Lock off, prove dead, keep water away, protect boards from static charge."
        " Changing what a relay does changes what is live. Qualified person.",
    ),
    "cascade": Caution(
        "Several boilers",
        "One changed, all affected: look at leader, addresses and common vent.",
        "Neighbours can start without warning while somebody works on one. Isolate the group. A common vent can push"
        " flue gas back through an idle boiler.",
    ),
    "board": Caution(
        "Control board replaced",
        "Identify size, fuel and revision first; no firing until the settings are back and read back.",
        "A replaced board is at defaults that may belong to another size. Restore from the record in the order of"
        " entry, read back, then prove combustion at both ends before the boiler is left.",
    ),
    "mask": Caution(
        "Hidden fault",
        "This change may hide a fault: is the cause written down?",
        "Settings widened to silence a fault leave the fault in place. Repeated resets of a flame fault can gather"
        " unburnt gas.",
    ),
    "temporary": Caution(
        "Temporary change",
        "A temporary value has an end, a value to return to and somebody who watches.",
        "Most good settings are lost to changes that were meant for a night. The tool never turns one back by itself:"
        " somebody has to be at the boiler.",
    ),
    "remote": Caution(
        "Remote write access",
        "Nothing of danger or damage is changed remotely: somebody is at the boiler.",
        "Tell the people on site, leave firing and limits alone, do not reset lockouts, read back and log.",
    ),
    "law": Caution(
        "Local rule",
        "A local rule may bind this value: check it there.",
        "Laws and codes differ by place and year. The figure quoted here is no substitute for the text that binds.",
    ),
    "insurance": Caution("Insurance", "A policy condition may name this value.", "Read the wording of the policy."),
    "record": Caution(
        "Record",
        "A record that is wrong is trusted by the next person.",
        "What is not read back, dated and explained will be undone or believed by somebody who was not there.",
    ),
    "privacy": Caution(
        "Privacy",
        "No codes, keys or names of tenants in the repository.",
        "History keeps what was once committed. A code that got in is changed at the boiler, not only in the file.",
    ),
}

HARM: Final = (
    "combustion", "firing", "scald", "hygiene", "limit", "electric", "freeze", "board", "mask", "pump",
)  # fmt: skip
"""Classes by what they do to people: what poisons or burns them comes first (common practice, no source)."""

LICENSED_GAS: Final = "licensed gas technician"
QUALIFIED: Final = "person qualified for limits and electricity"
WATER_SAFETY: Final = "person responsible for water safety"
HEATING: Final = "heating technician"
ACTORS: Final = {
    "firing": LICENSED_GAS, "combustion": LICENSED_GAS, "board": LICENSED_GAS, "limit": QUALIFIED,
    "electric": QUALIFIED, "hygiene": WATER_SAFETY, "scald": WATER_SAFETY,
}  # fmt: skip
"""Who must act on what belongs to a caution class; a habit of the trade that local law replaces."""
RESTRICTED: Final = (LICENSED_GAS, QUALIFIED, WATER_SAFETY, HEATING)
"""Who may do what only few may comes first."""


def actor_of(classes: Iterable[str]) -> str:
    """Return who must act on what belongs to some caution classes: the most restricted of them."""
    asked = {ACTORS.get(name, HEATING) for name in classes}
    return next((one for one in RESTRICTED if one in asked), HEATING)
