"""A large portfolio of believable plants: the kit's plant with the variety that real records have.

Sites of about ten boilers, values as people type them, facts with their sources, facts that nobody knows, faults of
the usual kinds, accepted findings. All of it is invented; the same seed makes the same files.
"""

from __future__ import annotations

import copy
import json
import random
from pathlib import Path
from typing import Any, Final

from tests.rules.kit import Style, control_data, profile_data

SOURCES: Final = ("plate", "drawing", "owner said", "measured", "calculated")
CONTROLS: Final[dict[str, Style]] = {"kit": "one number", "kit-b": "two points", "kit-c": "slope and shift"}
PEOPLE: Final = ("R. Holm", "A. Sato", "M. Okoro", "J. Lind")
OFTEN_UNKNOWN: Final = (
    "building.cooldown_time_constant", "building.setback_warm_up", "water.system_volume", "vent.equivalent_length",
    "counters.starts", "counters.burner_hours", "hot_water.coil_output", "piping.system_flow", "boiler.minimum_flow",
    "gas.clocked_input", "site.insurer_minimum", "hot_water.peak_flow", "boiler.lowest_rated_part",
)  # fmt: skip
TYPED: Final[dict[str, tuple[Any, ...]]] = {
    "heating_setpoint": (150, 155, 160, 164, 165, 170, 176, 180),
    "heating_differential": (8, 12, 15, 18, 20),
    "reset_endpoint": (65, 68, 70, 72, 76),
    "warm_weather_shutdown": (60, 62, 63, 65, 68, "off"),
    "heating_maximum_rate": (70, 80, 90, 95, 100),
    "tank_setpoint": (120, 125, 130, 140, 145, 150),
    "tank_differential": (3, 4, 6, 8),
    "hot_water_boiler_setpoint": (165, 170, 172, 176, 180),
    "priority_time_limit": (30, 45, 60, 90, "off"),
    "keep_warm": ("off", "off", "off", 3),
    "pump_overrun": (1, 2, 3, 4, 6),
    "minimum_off_time": (1, 3, 4, 5),
    "high_limit": (195, 200, 206),
    "freeze_protection": (True, True, True, True, False),
    "night_setback": ("off", "off", 6, 10),
    "hygiene_cycle": (False, False, True),
}  # fmt: skip


def toml(value: Any) -> str:
    """Return a scalar or an inline table as TOML."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml(one)}" for key, one in value.items()) + " }"
    return value.isoformat() if hasattr(value, "isoformat") else json.dumps(value, ensure_ascii=False)


def text_of(data: dict[str, Any]) -> str:
    """Return a profile or control as TOML, as a person lays it out."""
    lines = [f"{key} = {toml(value)}" for key, value in data.items() if not isinstance(value, dict | list)]

    def table(name: str, content: dict[str, Any], header: str = "[{}]") -> None:
        inner = {key: one for key, one in content.items() if isinstance(one, dict) and "value" not in one}
        lines.extend(["", header.format(name)])
        for key, one in content.items():
            if key not in inner:
                lines.append(
                    f"{key} = [{', '.join(map(toml, one))}]" if isinstance(one, list) else f"{key} = {toml(one)}"
                )
        for key, one in inner.items():
            table(f"{name}.{key}", one)

    for key, value in data.items():
        if isinstance(value, dict):
            table(key, value)
        elif isinstance(value, list):
            for one in value:
                table(key, one, "[[{}]]")
    return "\n".join(lines) + "\n"


def profile(number: int, control: str, chance: random.Random) -> dict[str, Any]:
    """Return one profile."""
    data = profile_data(CONTROLS[control])
    load = chance.randrange(50_000, 106_000, 500)
    data["plant"].update(
        name=f"Boiler {number % 10 + 1}", site=f"Site {number // 10:05d}", serial=f"K-{number:06d}",
        first_fired=f"20{chance.randint(15, 25)}-{chance.randint(1, 12):02d}-{chance.randint(1, 28):02d}",
    )  # fmt: skip
    data["plant"]["control"] = control
    data["building"]["design_load"] = data["emitter"][0]["load"] = load
    data["building"].update(indoor_design=chance.choice([68, 70, 72]), balance_point=chance.choice([60, 61, 62, 63]))
    supply, drop = chance.randint(148, 162), chance.choice([18, 20, 22])
    data["emitter"][0].update(
        design_supply=supply, design_return=supply - drop, oversize=chance.choice([1.0, 1.0, 1.1, 1.15, 1.2, 1.3])
    )
    place = random.Random(number // 10)  # the same for all boilers of a site
    outdoor = place.choice([-4, 0, 4, 9, 14])
    data["site"].update(design_outdoor=outdoor, coldest=outdoor - 12, elevation=place.randrange(100, 1500, 50))
    data["settings"]["elevation_setting"] = data["site"]["elevation"]
    data["boiler"]["serial_on_plate"] = data["plant"]["serial"]
    data["boiler"].update(
        input_maximum=chance.randrange(112_000, 124_000, 1000), efficiency=chance.choice([0.9, 0.91, 0.92, 0.93])
    )
    data["counters"].update(starts=chance.randint(900, 9000), burner_hours=chance.randint(400, 3000))
    visit = f"2026-{chance.randint(2, 10):02d}-{chance.randint(1, 28):02d}"
    data["visit"].update(on=visit, by=chance.choice(PEOPLE), work_order=f"W-{number}")
    for end in data["combustion"].values():
        end["on"] = visit
    for name in chance.sample(OFTEN_UNKNOWN, chance.randint(0, 5)):
        table, _, key = name.partition(".")
        data[table].pop(key, None)
    for name in chance.sample(sorted(TYPED), chance.randint(3, 9)):
        if name in data["settings"]:  # no line in another style than the control's
            data["settings"][name] = chance.choice(TYPED[name])
    for table in ("building", "site", "boiler", "hot_water", "water"):
        for key in chance.sample(sorted(data[table]), 3):
            data[table][key] = {"value": data[table][key], "from": chance.choice(SOURCES), "on": "2024-08-12"}
    for name in chance.sample(sorted(data["settings"]), 8):
        value = data["settings"][name]
        data["settings"][name] = {"value": value, "read_back": value}
    for name in chance.sample(sorted(data["settings"]), 3):
        data["settings"].pop(name)
    if data["settings"].get("keep_warm", "off") != "off" and chance.random() < 0.5:
        data["accepted"] = [
            {
                "rule": "keep-warm-with-tank",
                "because": "asked for by the tenant",
                "by": "M. Okoro",
                "until": "2027-03-31",
            }
        ]
    return data


def make(folder: Path, count: int, seed: int = 1) -> list[Path]:
    """Write a portfolio of so many plants and return its profiles, sorted."""
    chance = random.Random(seed)
    (folder / "controls").mkdir(parents=True)
    (folder / "portfolio.toml").write_text('format = 1\nname = "A large estate"\nunits = "us"\n', encoding="utf-8")
    for name, style in CONTROLS.items():
        control = copy.deepcopy(control_data(style))
        control["control"]["name"] = name
        (folder / "controls" / f"{name}.toml").write_text(text_of(control), encoding="utf-8")
    files = []
    for number in range(count):
        file = folder / "sites" / f"site-{number // 10:05d}" / f"boiler-{number % 10 + 1:02d}.toml"
        file.parent.mkdir(parents=True, exist_ok=True)
        data = profile(number, chance.choice(["kit", "kit", "kit-b", "kit-c"]), chance)
        file.write_text(text_of(data), encoding="utf-8")
        files.append(file)
    return sorted(files)
