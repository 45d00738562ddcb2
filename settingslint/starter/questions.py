"""A control file made by questions: for each setting what the control does with it, and how that is known."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from settingslint.model.control import ACCESS, LOST_ON, OTHERWISE, OUTSIDE, READ_BACK, RESET_STYLES
from settingslint.model.values import NUMERIC
from settingslint.plain import Plain, as_toml
from settingslint.units import Kind, System, unit_name
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS, Setting

Ask = Callable[[str], str]
"""Puts a question and returns the answer, empty for "not known"."""

USUAL: Final = (
    "heating_setpoint", "heating_differential", "reset", "warm_weather_shutdown", "hot_water_method",
    "hot_water_boiler_setpoint", "tank_setpoint", "tank_differential", "hot_water_priority", "priority_time_limit",
    "keep_warm", "freeze_protection", "pump_overrun", "operating_limit", "high_limit", "maximum_fan_speed",
    "minimum_fan_speed", "ignition_fan_speed", "heating_maximum_rate", "minimum_off_time",
)  # fmt: skip
AS_ASKED: Final = "as asked"
HOW: Final = ("read", "tried", "told")
MODES: Final = SETTINGS["operating_mode"].words
ACCESSORIES: Final = tuple(row.name for row in FACTS.values() if row.table == "accessories" and row.kind is Kind.FLAG)
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
            Question("low", f"The lowest value that can be typed{f', {unit}' if unit else ''}?"),
            Question("high", "The highest value that can be typed?"),
            Question("outside", f"What does it do with a value out of range? {', '.join(OUTSIDE)}"),
            Question("step", "In which steps?"),
            Question("default", "What is its default? a number, or one for each size: small 10, middle 12"),
            Question("ignore", "A band that it ignores and what it runs at instead: low high becomes; or none"),
            Question("add", "What does it add to what is typed? a number, or none"),
            Question("off", "Which number means off? a number, the name of a setting that it then equals, or none"),
            Question("cap", "Which other setting caps it? its name, or none"),
            Question("floor", "Which other setting keeps it from going lower? its name, or none"),
            Question("first", "The highest value that it allows before the first firing? a number, or none"),
        ]
    elif words := _words(row):
        asked.append(Question("default", f"What is its default? {', '.join(words)}"))
    if row.kind in (Kind.FAN_SPEED, Kind.PERCENT):
        asked.append(Question("unit", "In which unit? a speed, or per cent of what"))
    asked += [
        Question("needs", f"Which accessory does it need? {', '.join(ACCESSORIES)}, or none"),
        Question("otherwise", f"What happens without it? {', '.join(OTHERWISE)}"),
        Question("takes_hold", "When does a saved value count? for example: at once, at the next call"),
        Question("lost_on", f"What puts it back to its default? {', '.join(LOST_ON)}, with commas, or none"),
        Question("read_back", f"What does it show after saving? {', '.join(READ_BACK)}"),
        Question("access", f"Who can set it? {', '.join(ACCESS)}"),
        Question("where", "How do you know? page of the instructions, or what was tried"),
        Question("how", f"Was that {', '.join(HOW)}?"),
    ]
    return asked


def _words(row: Setting) -> tuple[str, ...]:
    return ("yes", "no") if row.kind is Kind.FLAG else row.words


FEWEST_OF_ALL: Final = 5
"""A control with fewer settings was not described in full."""
HEAD: Final = (
    ("revisions", "For which revisions of the control is this true? with commas"),
    ("freeze_active_in", f"In which modes does freeze protection work? {', '.join(MODES)}, with commas"),
    ("freeze_overrides_priority", "Does freeze protection go before hot water? yes or no"),
    ("shared_target", "Does one target serve heating and hot water? yes or no"),
    ("rate_limits_hot_water", "Does the heating rate limit limit hot water too? yes or no"),
    ("compensates_elevation", "Does it adapt to elevation by itself? yes or no"),
    ("overshoot", "How far above the set point does the burner stop, where that is fixed? a number"),
    ("complete", "Will every setting that it has be described here? yes or no"),
)
"""What is asked about the control as a whole, after its way of reset and its way of saving."""


ORDER: Final = "In which order does it want them entered? names with commas, or: as asked"
BY: Final = "Who found all this out?"
ON: Final = "On what day? as 2026-03-12"
"""Asked once, for the evidence of every setting."""
ANCHOR: Final = "At which outdoor temperature is the line hottest, where that is fixed? a number"


class NotAnswered(Exception):
    """Raised where there is too little to write a control file; the message says what."""


STYLES: Final = (
    "How is outdoor reset set? none (it has none), one number (where outdoors and water are equal), two points (supply"
    " on a cold and on a mild day), or slope and shift. This one must be known"
)


def make(name: str, ask: Ask, system: System, settings: Sequence[str] | None = None) -> Plain:
    """Return a control file from the answers. What was not answered stays out: unknown.

    Args:
        name: the control's name, also the file's.
        ask: puts a question.
        system: unit system of the answers.
        settings: which settings are asked about; the usual ones where None.

    Raises:
        NotAnswered: where the style of reset, or every setting, was left open.
    """
    style = next(filter(None, (_choice(ask, STYLES, RESET_STYLES) for _ in range(3))), None)
    if style is None:
        raise NotAnswered("how outdoor reset is set was not answered")
    head: dict[str, Any] = {"name": name, "reset_style": style}
    save = ask("What saves what was typed? in one sentence")
    if save:
        head["save"] = [save]
    if style == "one number" and (cold := _number(ask, ANCHOR)) is not None:
        head["cold_anchor"] = cold
    for key, text in HEAD:
        value = _head(ask, key, text)
        if value is not None:
            head[key] = value
    rows: dict[str, Any] = {}
    wanted = [*(settings if settings is not None else USUAL), *BY_STYLE[style]]
    for one in dict.fromkeys(wanted):
        row = _asked(SETTINGS[one], ask, system)
        if row is not None:
            rows[one] = row
    if not rows:
        raise NotAnswered("no setting was described")
    if head.get("complete") and len(rows) < FEWEST_OF_ALL:
        del head["complete"]  # so few can't be all; what was left out would count as not there
    order = _several(ask, f"{ORDER} ({', '.join(rows)})", (*rows, AS_ASKED))
    if order and order != ["none"]:
        head["entry_order"] = list(rows) if AS_ASKED in order else list(dict.fromkeys(order))
    if any("evidence" in row for row in rows.values()):
        found = {key: value for key, value in (("by", ask(BY).strip()), ("on", _day(ask))) if value}
        for row in rows.values():
            if "evidence" in row:
                row["evidence"] |= found
    return _text(head, rows, system)


def _head(ask: Ask, key: str, text: str) -> Any:
    if key == "overshoot":
        return _number(ask, text)
    if key in ("revisions", "freeze_active_in"):
        return _several(ask, text, MODES if key == "freeze_active_in" else ()) or None
    answer = _choice(ask, text, ("yes", "no"))
    return answer == "yes" if answer else None


def _several(ask: Ask, text: str, words: Sequence[str]) -> list[str]:
    """Ask for several words, with commas; words that are none of these are asked for again."""
    while True:
        parts = [part.strip() for part in ask(text).split(",") if part.strip()]
        if not words or all(part in words for part in parts) or parts == ["none"]:
            return parts
        text = f"Of {', '.join(words)}, with commas; or none"


def _choice(ask: Ask, text: str, words: Sequence[str]) -> str:
    while True:
        answer = ask(text).strip()
        if not answer or answer in words:
            return answer
        text = f"One of {', '.join(words)}, or nothing"


def _day(ask: Ask) -> date | None:
    text = ON
    while answer := ask(text).strip():
        try:
            return date.fromisoformat(answer)
        except ValueError:
            text = "A date, as in 2026-03-12, or nothing"
    return None


def _default(ask: Ask, text: str) -> float | int | dict[str, float | int] | None:
    """Ask for a number, or for one of each size."""
    while True:
        answer = ask(text).strip()
        if not answer or answer == "none":
            return None
        parts = [part.rpartition(" ") for part in answer.split(",")]
        try:
            if len(parts) == 1 and not parts[0][0]:
                return _whole(float(answer))
            found = {size.strip(): _whole(float(value)) for size, _, value in parts}
        except ValueError:
            found = {}
        if found and "" not in found and not any(" " in size and re.search(r"\d", size) for size in found):
            return found
        text = "A number, or one for each size as in: small 10, middle 12; or nothing if not known"


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
        return _whole(value)


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
        if (step := _number(ask, questions["step"])) is not None:
            row["step"] = step
        if (default := _default(ask, questions["default"])) is not None:
            row["default"] = default
        known = _treated(ask, questions, treatments)
    elif "default" in questions and (word := _choice(ask, questions["default"], _words(setting))):
        row["default"] = word == "yes" if setting.kind is Kind.FLAG else word
    if "unit" in questions and (unit := ask(questions["unit"]).strip()):
        row["unit"] = unit
    accessory = _choice(ask, questions["needs"], (*ACCESSORIES, "none"))
    otherwise = _choice(ask, questions["otherwise"], OTHERWISE) if accessory not in ("", "none") else ""
    if otherwise:
        row["needs"] = [{"accessory": accessory, "otherwise": otherwise}]
    if holds := ask(questions["takes_hold"]).strip():
        row["takes_hold"] = holds
    lost = _several(ask, questions["lost_on"], LOST_ON)
    if lost:
        row["lost_on"] = [] if lost == ["none"] else lost
    for key, words in (("read_back", READ_BACK), ("access", ACCESS)):
        if word := _choice(ask, questions[key], words):
            row[key] = word
    if where := ask(questions["where"]).strip():
        how = _choice(ask, questions["how"], HOW)
        row["evidence"] = {"where": where, **({"how": how} if how else {})}
    if known:
        row["treatments"] = treatments
    return row


def _treated(ask: Ask, questions: Mapping[str, str], treatments: list[dict[str, Any]]) -> bool:
    """Ask for the treatments; return whether all was known ("none" is an answer, nothing is not)."""
    known = True
    for key in ("ignore", "add", "off", "cap", "floor", "first"):
        text = questions[key]
        while True:
            answer = ask(text).strip()
            try:
                item = _treatment(key, answer.split()) if answer not in ("", "none") else None
            except ValueError as error:
                text = f"{error}, or none, or nothing if not known"
                continue
            break
        if item is not None:
            treatments.append(item)
        known = known and answer != ""
    return known


def _treatment(key: str, words: Sequence[str]) -> dict[str, Any]:
    """Return the treatment that an answer means.

    Raises:
        ValueError: where it means none; the message says what would.
    """
    other = words[0] if len(words) == 1 and words[0] in SETTINGS else None
    if key in ("cap", "floor"):
        if other is None:
            raise ValueError("The name of a setting, as in heating_setpoint")
        return {"does": key, "by": other}
    if key == "off" and other is not None:
        return {"does": "off when", "by": other}
    try:
        numbers = [_whole(float(word)) for word in words]
    except ValueError:
        numbers = []
    if key == "ignore" and len(numbers) in (2, 3):
        return {"does": "ignore", **dict(zip(("low", "high", "becomes"), numbers, strict=False))}
    if key == "add" and len(numbers) == 1:
        return {"does": "add", "amount": numbers[0]}
    if key == "first" and len(numbers) == 1:
        return {"does": "at most until first firing", "amount": numbers[0]}
    if key == "off" and len(numbers) == 1:
        return {"does": "off when", "equals": numbers[0]}
    raise ValueError("Numbers, as in 100 110 90" if key == "ignore" else "A number")


def _whole(value: float) -> float | int:
    return int(value) if value == int(value) else value


def _text(head: Mapping[str, Any], rows: Mapping[str, Any], system: System) -> Plain:
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment(":schema ../schemas/control.schema.json"))
    document.add(tomlkit.comment("Made by questions. What was not answered is not in here, and is not checked."))
    document["format"] = 1
    document["units"] = system
    document["control"] = dict(head)
    defaults = [row["default"] for row in rows.values() if isinstance(row.get("default"), dict)]
    sizes = dict.fromkeys(size for default in defaults for size in default)
    if sizes:
        document["size"] = {size: {} for size in sizes}
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
    return as_toml(tomlkit.dumps(document).replace("# :schema", "#:schema", 1))
