"""The readings of a visit by questions on a terminal, in the order in which the control wants its settings entered."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import Any, Final

from settingslint.history.found_left import same_as_recorded
from settingslint.model.control import Row
from settingslint.model.values import NUMERIC, title_of, words_of
from settingslint.rules.plant import Plant
from settingslint.sheets.read import decimal_style
from settingslint.sheets.take import cell_value
from settingslint.units import unit_name
from settingslint.vocabulary.facts import VISIT
from settingslint.vocabulary.settings import SAFETY_CAUTIONS, SETTINGS

Ask = Callable[[str], str]
"""Puts a question and returns the answer."""
Say = Callable[[str], None]
NO_VALUE: Final = ("not reachable", "not applicable")
END, BACK = ".", "<"
UNREAD: Final = "-"
HELP: Final = (
    f"Nothing: not read, not touched, or left as found. {UNREAD} not read, but set. {BACK} one setting back, {END} ends"
    " the questions, at any of them. Nothing is written before you have seen it all."
)
_HEAD: Final = {"by": "who was there", "serial": "serial number, as read off the boiler now"}
_Answer = Mapping[str, Any]


def ask_readings(plant: Plant, ask: Ask, say: Say, today: date, by: str = "", keep: Say | None = None) -> str:
    """Return the readings that somebody gives by answering, as TOML.

    Args:
        plant: as it was left last.
        ask: puts a question; it may raise where somebody ends the program instead.
        say: shows a line.
        today: date of the visit.
        by: who, where they do not say.
        keep: gets the readings given so far where `ask` raises and there are some; what it raised goes on.
    """
    profile = plant.profile
    say(f"{profile.name}, {profile.site}; control {plant.control.title}")
    data: dict[str, Any] = {"format": 1}
    visit: dict[str, Any] = {"on": today, **({"by": by} if by else {})}
    for key in ("by", "serial", "role", "why", "kind", "occasion", "work_order"):
        answer = ask(_HEAD[key] + (f" [{by}]" if key == "by" and by else "")) if key in _HEAD else _fact(key, ask, say)
        answer = answer.strip()
        if answer == END:
            return _text({**data, **_given(visit, {})})
        if answer:
            (data if key == "serial" else visit)[key] = answer
    say(HELP)
    rows = plant.control.ordered()
    answers: dict[str, tuple[Any, dict[str, Any]]] = {}
    place = 0
    try:
        while place < len(rows):
            move = _setting(rows[place], f"{place + 1}/{len(rows)}", plant, ask, say, answers)
            if move is None:
                break
            place = max(0, place + move)
    except BaseException:
        if answers and keep is not None:
            keep(_text({**data, **_given(visit, answers)}))
        raise
    return _text({**data, **_given(visit, answers)})


def _given(visit: _Answer, answers: Mapping[str, tuple[Any, dict[str, Any]]]) -> dict[str, _Answer]:
    return {
        "visit": visit,
        "found": {name: found for name, (found, _) in answers.items() if found is not None},
        "left": {name: left for name, (_, left) in answers.items() if left},
    }


def _fact(key: str, ask: Ask, say: Say) -> str:
    row = VISIT[key]
    words = f" ({', '.join(row.words)})" if row.words else ""
    while True:
        answer = ask(f"{row.title}{words}").strip()
        if answer in ("", END) or not row.words or answer in row.words:
            return answer
        near = [word for word in row.words if word.startswith(answer.casefold())]
        if len(near) == 1:
            return near[0]
        say(f"one of those, or its first letters; {END} ends the questions")


def _setting(
    row: Row, count: str, plant: Plant, ask: Ask, say: Say, answers: dict[str, tuple[Any, dict[str, Any]]]
) -> int | None:
    """Ask for one setting; return how far to go on, None for the end."""
    name = row.name
    entry = plant.profile.settings.get(name)
    last = "not recorded" if entry is None else plant.show(name, entry.typed) if entry.typed is not None else entry.left
    where = f" [{row.menu}]" if row.menu else ""
    title = f"{row.label}: {title_of(name)}" if row.label and row.label != title_of(name) else title_of(name)
    say(f"{count} {title}{where}; recorded: {last}")
    words = words_of(name)
    unit = row.unit or unit_name(SETTINGS[name].kind, plant.system)
    choice = f" ({', '.join(words)})" if words else f" ({unit})" if unit else ""
    found = _value(f"  found{choice}", name, plant, ask, say)
    if found in (END, BACK):
        return None if found == END else -1
    if found is None or isinstance(found, dict):
        answers.pop(name, None)
        if found is not None:
            answers[name] = (found, {})
        return 1
    found = None if found == UNREAD else found
    if found is not None:
        answers[name] = (found, {})
    left: dict[str, Any] = {}
    ended = False
    value = _value("  left, where you typed it anew", name, plant, ask, say)
    if value in (END, BACK):
        answers[name] = (found, {})
        return None if value == END else 0
    if value is not None:
        left.update(value if isinstance(value, dict) else {"value": value})
        back = _value("  read back, after saving", name, plant, ask, say)
        if back not in (None, END, BACK) and not isinstance(back, dict):
            left["read_back"] = back
        ended = back == END
    why = ""
    if not ended and _needs_reason(name, plant, found, left):
        while not (why := ask("  why (a reason is needed)").strip()):
            say("  this setting can hurt people or the plant: a reason is needed")
    elif not ended and left:
        why = ask("  why").strip()
    ended = ended or why == END
    if why and not ended:
        left["why"] = why
    if found is not None or left:
        answers[name] = (found, left)
    else:
        answers.pop(name, None)
    return None if ended else 1


def _needs_reason(name: str, plant: Plant, found: Any, left: Mapping[str, Any]) -> bool:
    """Return whether a reason is to be asked for; when in doubt it is, and what is not needed does no harm."""
    entry = plant.profile.settings.get(name)
    if SETTINGS[name].caution not in SAFETY_CAUTIONS or (entry is None and not left):
        return False
    stands = left.get("value", found) if "left" not in left else {"left": left["left"]}
    return stands is not None and not same_as_recorded(plant, name, stands)


def _value(text: str, name: str, plant: Plant, ask: Ask, say: Say) -> Any:
    """Return a value as a profile states it, a table for the lack of one, END, BACK, UNREAD, None for no answer."""
    while True:
        answer = ask(text).strip()
        if answer in ("", END, BACK) or (answer == UNREAD and "found" in text):
            return answer or None
        if answer.casefold() in NO_VALUE or (answer.casefold() == "default" and "left" in text):
            return {"left": answer.casefold()}
        style = decimal_style([answer]) if SETTINGS[name].kind in NUMERIC else None
        try:
            value, guessed = cell_value(name, answer, "", plant.system, style or "point")
        except ValueError as error:
            say(f"  {error}")
            continue
        if not guessed:
            return value
        say("  a reading is read or left out, not guessed")


def _text(data: Mapping[str, Any]) -> str:
    import tomlkit

    document = tomlkit.document()
    for key, value in _ordered(data):
        if isinstance(value, Mapping):
            table = tomlkit.table()
            for name, one in value.items():
                if isinstance(one, Mapping):
                    inline = tomlkit.inline_table()
                    inline.update(one)
                    table[name] = inline
                else:
                    table[name] = one
            document[key] = table
        else:
            document[key] = value
    return tomlkit.dumps(document)


def _ordered(data: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    yield from sorted(data.items(), key=lambda item: isinstance(item[1], Mapping))
