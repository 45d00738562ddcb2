"""A control file made by questions: for each setting what the control does with it, and how that is known."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from settingslint.model.control import ACCESS, OUTSIDE, RESET_STYLES
from settingslint.model.values import NUMERIC
from settingslint.units import Kind, System, unit_name
from settingslint.vocabulary.settings import SETTINGS, Setting

Ask = Callable[[str], str]
"""Puts a question and returns the answer, empty for "not known"."""

USUAL: Final = (
    "heating_setpoint", "heating_differential", "reset", "warm_weather_shutdown", "hot_water_method",
    "hot_water_boiler_setpoint", "tank_setpoint", "tank_differential", "hot_water_priority", "priority_time_limit",
    "keep_warm", "freeze_protection", "pump_overrun", "operating_limit", "high_limit", "maximum_fan_speed",
    "minimum_fan_speed", "ignition_fan_speed", "heating_maximum_rate", "minimum_off_time",
)  # fmt: skip
BY_STYLE: Final = {
    "none": (),
    "one number": ("reset_endpoint",),
    "two points": ("reset_hot_supply", "reset_cold_outdoor", "reset_cool_supply", "reset_warm_outdoor"),
    "slope and shift": ("reset_slope", "reset_shift"),
}


@dataclass(frozen=True, slots=True)
class Question:
    """One question about a setting: its key, and the words."""

    key: str
    text: str


def questions_of(row: Setting, system: System) -> list[Question]:
    """Return what is asked about one setting."""
    numeric = row.kind in NUMERIC
    unit = unit_name(row.kind, system)
    asked = [
        Question("has", f"{row.title} ({row.does}). Does the control have it? yes, no, or nothing if not known"),
        Question("label", "What does the control call it?"),
    ]
    if numeric:
        asked += [
            Question("low", f"The least that can be typed{f', {unit}' if unit else ''}?"),
            Question("high", "The most that can be typed?"),
            Question("outside", f"What does it do with a value out of range? {', '.join(OUTSIDE)}"),
            Question("step", "In which steps does it go?"),
            Question("default", "What does it come with?"),
            Question("ignore", "A band that it ignores and what it runs at instead: low high becomes; or none"),
            Question("add", "What does it add to what is typed? a number, or none"),
            Question("cap", "Which other setting caps it? its name, or none"),
        ]
    if row.kind in (Kind.FAN_SPEED, Kind.PERCENT):
        asked.append(Question("unit", "In which unit? a speed, or per cent of what"))
    asked += [
        Question("access", f"Who can set it? {', '.join(ACCESS)}"),
        Question("where", "How do you know? page of the instructions, or what was tried"),
    ]
    return asked


def make(name: str, ask: Ask, system: System, settings: Sequence[str] | None = None) -> str:
    """Return a control file from the answers. What was not answered stays out: unknown.

    Args:
        name: the control's name, also the file's.
        ask: puts a question.
        system: unit system of the answers.
        settings: which settings are asked about; the usual ones where None.
    """
    style = _choice(ask, f"How is outdoor reset set? {', '.join(RESET_STYLES)}", RESET_STYLES) or "none"
    head: dict[str, Any] = {"name": name, "reset_style": style}
    save = ask("What saves what was typed? in one sentence")
    if save:
        head["save"] = [save]
    rows: dict[str, Any] = {}
    wanted = [*(settings if settings is not None else USUAL), *BY_STYLE[style]]
    for one in dict.fromkeys(wanted):
        row = _asked(SETTINGS[one], ask, system)
        if row is not None:
            rows[one] = row
    return _text(head, rows, system)


def _choice(ask: Ask, text: str, words: Sequence[str]) -> str:
    while True:
        answer = ask(text).strip()
        if not answer or answer in words:
            return answer
        text = f"One of {', '.join(words)}, or nothing"


def _number(ask: Ask, text: str) -> float | int | None:
    while True:
        answer = ask(text).strip()
        if not answer or answer == "none":
            return None
        try:
            value = float(answer)
        except ValueError:
            text = "A number, or nothing if not known"
            continue
        return int(value) if value == int(value) else value


def _asked(setting: Setting, ask: Ask, system: System) -> dict[str, Any] | None:
    questions = {one.key: one.text for one in questions_of(setting, system)}
    if _choice(ask, questions["has"], ("yes", "no")) != "yes":
        return None
    row: dict[str, Any] = {}
    label = ask(questions["label"]).strip()
    if label:
        row["label"] = label
    known = True
    treatments: list[dict[str, Any]] = []
    if "low" in questions:
        span = {key: value for key in ("low", "high") if (value := _number(ask, questions[key])) is not None}
        outside = _choice(ask, questions["outside"], OUTSIDE)
        if span:
            row["range"] = {**span, **({"outside": outside} if outside else {})}
        for key in ("step", "default"):
            value = _number(ask, questions[key])
            if value is not None:
                row[key] = value
        known = _treated(ask, questions, treatments)
    if "unit" in questions and (unit := ask(questions["unit"]).strip()):
        row["unit"] = unit
    if access := _choice(ask, questions["access"], ACCESS):
        row["access"] = access
    if where := ask(questions["where"]).strip():
        row["evidence"] = {"where": where}
    if known:
        row["treatments"] = treatments
    return row


def _treated(ask: Ask, questions: Mapping[str, str], treatments: list[dict[str, Any]]) -> bool:
    """Ask for the treatments; return whether all was known ("none" is an answer, nothing is not)."""
    known = True
    band = ask(questions["ignore"]).split()
    if len(band) == 3:
        try:
            low, high, becomes = (float(one) for one in band)
            treatments.append({"does": "ignore", "low": low, "high": high, "becomes": becomes})
        except ValueError:
            known = False
    elif band != ["none"]:
        known = False
    added = ask(questions["add"]).strip()
    try:
        if added not in ("none", "0", ""):
            treatments.append({"does": "add", "amount": float(added)})
    except ValueError:
        known = False
    known = known and added != ""
    cap = ask(questions["cap"]).strip()
    if cap in SETTINGS:
        treatments.append({"does": "cap", "by": cap})
    return known and (cap == "none" or cap in SETTINGS)


def _text(head: Mapping[str, Any], rows: Mapping[str, Any], system: System) -> str:
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment(":schema ../schemas/control.schema.json"))
    document.add(tomlkit.comment("Made by questions. What was not answered is not in here, and is not checked."))
    document["format"] = 1
    document["units"] = system
    document["control"] = dict(head)
    settings = tomlkit.table(is_super_table=True)
    for name, row in rows.items():
        table = tomlkit.table()
        for key, value in row.items():
            if isinstance(value, dict):
                inline = tomlkit.inline_table()
                inline.update(value)
                table[key] = inline
            else:
                table[key] = value
        settings[name] = table
    document["setting"] = settings
    return tomlkit.dumps(document).replace("# :schema", "#:schema", 1)
