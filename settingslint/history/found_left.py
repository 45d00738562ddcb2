"""What a visit found and left, compared with what the profile records: drift, reasons that are missing, new texts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from settingslint.history.changes import alike
from settingslint.history.readings import Readings
from settingslint.model.edit import NotEditable, Way, edited
from settingslint.model.effect import same
from settingslint.model.profile import Entry, Profile
from settingslint.model.values import (
    NUMERIC,
    Problem,
    Unreadable,
    Value,
    kind_of,
    one_line,
    title_of,
    value_from_file,
)
from settingslint.rules.past import AS_FOUND, AS_LEFT
from settingslint.rules.plant import Plant
from settingslint.vocabulary.cautions import CAUTIONS
from settingslint.vocabulary.settings import FIRING, SAFETY_CAUTIONS, SETTINGS

SAME: Final = "as left last"
DIFFERS: Final = "differs"
FIRST: Final = "first record"
LICENSED: Final = ("gas-licensed technician", "maker")
STAY_TRUE: Final = ("read_back", "clock_checked", "service_code_default")
"""What `[visit]` says of the control and not of the visit: it stays, with its own date, until a visit says it anew."""
KEYS: Final = ("value", "left", "read_back", "on", "by", "why", "until", "then", "watched_by")
"""The keys of a setting's table in the order in which they are written."""


@dataclass(frozen=True, slots=True)
class Compared:
    """One setting that was found: the last as-left beside it, both as text, and whether they are the same."""

    name: str
    state: str
    last: str
    found: str
    remark: str = ""

    @property
    def caution(self) -> str:
        """Its caution class."""
        return SETTINGS[self.name].caution


@dataclass(frozen=True, slots=True)
class Left:
    """One setting that was touched, or left with another value: found, set to, read back, and the reason."""

    name: str
    was: str
    found: str
    asked: str
    read_back: str
    why: str
    stays: bool
    touched: bool = True

    @property
    def said(self) -> str:
        """It all in one line."""
        found = f", found at {self.found}" if self.found and self.found != self.was else ""
        if not self.touched:
            return f"{title_of(self.name)}: {self.was} before{found}, left as found"
        left = f"left at {self.asked}" if not self.stays else f"put back to {self.asked}" if found else "stays"
        back = f", read back {self.read_back}" if self.read_back else ", not read back"
        why = f"; why: {self.why}" if self.why else ""
        return f"{title_of(self.name)}: {self.was} before{found}, {left}{back}{why}"


def trailer_line(text: object) -> str:
    """Return text that may stand in a trailer: blanks for line ends, everything invisible spelled out.

    >>> trailer_line("tested\\n\\nVisit-Step: as found")
    'tested Visit-Step: as found'
    """
    return one_line(" ".join(str(text).split()))


def same_as_recorded(plant: Plant, name: str, raw: object) -> bool:
    """Return whether a raw value (or a table that says why there is none) is what the profile records."""
    entry = plant.profile.settings.get(name)
    if entry is None:
        return False
    if isinstance(raw, Mapping):
        return entry.typed is None and entry.left == raw.get("left")
    return same(value_from_file(raw, kind_of(name), plant.system), entry.typed)


class Maker:
    """Compares the readings with the profile that stands, and makes the texts of both steps."""

    def __init__(self, plant: Plant, readings: Readings, today: date, by: str) -> None:
        self.plant = plant
        self.profile: Profile = plant.profile
        self.readings = readings
        self.problems: list[Problem] = []
        self.remarks: list[str] = []
        system = self.profile.system
        self.found = readings.found(system)
        self.left = readings.left(system)
        self.visit = {"on": today, **({"by": by} if by else {}), **readings.facts_of_visit(system)}
        on = self.visit["on"]
        self.on: date = on["value"] if isinstance(on, dict) else on
        if self.on > today:
            self._problem(("visit", "on"), f"the visit of {self.on} is in the future")
        last = self.profile.fact_value("visit.on")
        if isinstance(last, date) and last > self.on:
            self.remarks.append(f"the visit of {self.on} is recorded after the one of {last}")
        self._identity()
        self._names()

    def _problem(self, way: Way, message: str) -> None:
        self.problems.append(self.readings.source.problem(way, message))

    def _identity(self) -> None:
        own, read = self.profile.serial, self.readings.serial
        if own is None and read is not None:
            self.remarks.append(
                f"serial {read.strip()} read, none in the profile: nothing proves that this is the right boiler."
                " Write it as serial in [plant] and commit"
            )
        elif own is None:
            self.remarks.append("the profile records no serial number: nothing proves that this is the right boiler")
        elif read is None:
            self._problem((), f"serial is missing: read it off the boiler (the profile says {own})")
        elif read.strip() != own:
            self._problem(("serial",), f"the readings are of serial {read}, the profile is of {own}: another boiler")
        control = self.readings.control
        if control is not None and control != self.profile.control:
            self._problem(
                ("control",), f"the readings are of control {control}, the profile has {self.profile.control}"
            )

    def _names(self) -> None:
        for table, names in (("found", self.found), ("left", self.left)):
            for name in names:
                if self.plant.row(name) is None and self.plant.control.complete and name not in self.profile.settings:
                    self._problem((table, name), f"the control {self.profile.control} has no {title_of(name)}")

    # values -----------------------------------------------------------------------------------------------------------

    def _si(self, name: str, raw: object) -> Value:
        return value_from_file(raw, kind_of(name), self.profile.system)

    def _same(self, name: str, one: Value | None, other: Value | None) -> bool:
        """Return whether two values are the same; readings in other units within what those can show."""
        stated = self.readings.units or self.profile.system
        return alike(one, other, kind_of(name), stated, self.profile.system)

    def _show(self, name: str, value: Value | None) -> str:
        return self.plant.show(name, value) if value is not None else ""

    def _raw(self, name: str, raw: object) -> str:
        return f"{raw['left']}" if isinstance(raw, Mapping) else self._show(name, self._si(name, raw))

    def _entry(self, entry: Entry | None) -> str:
        if entry is None:
            return "not recorded"
        if entry.typed is None:
            return entry.left or "not recorded"
        return self._show(entry.name, entry.typed) + (f" until {entry.until}" if entry.until else "")

    # what was found ---------------------------------------------------------------------------------------------------

    def _compare(self, name: str, raw: object) -> Compared:
        entry, effect = self.profile.settings.get(name), self.plant.effects.get(name)
        last, found = self._entry(entry), self._raw(name, raw)
        if isinstance(raw, Mapping):
            if entry is None:
                return Compared(name, FIRST, last, found)
            if raw["left"] == "not reachable":  # what is recorded stays the best that is known
                return Compared(name, SAME, last, found, "not read: what is recorded stays")
            return Compared(name, SAME if entry.left == raw["left"] else DIFFERS, last, found)
        value = self._si(name, raw)
        self._plausible(name, value)
        if entry is None or entry.left in ("not reachable", "not applicable"):
            return Compared(name, FIRST, last, found)
        if self._same(name, value, entry.typed):
            return Compared(name, SAME, last, found)
        shown = [entry.read_back, effect.stored if effect else None]
        if any(one is not None and self._same(name, value, one) for one in shown):
            kept = "this control shows it so for what was typed" if entry.typed is not None else "the default"
            return Compared(name, SAME, last, found, kept)
        if entry.typed is None and entry.read_back is None and (effect is None or effect.stored is None):
            return Compared(name, FIRST, last, found, "the default was not known")
        remark = ""
        if entry.then is not None and self._same(name, value, entry.then):
            remark = "the value that it was to return to"
        elif effect is not None and effect.effective is not None and self._same(name, value, effect.effective):
            remark = "what it ran at already"
        return Compared(name, DIFFERS, last, found, remark)

    def _plausible(self, name: str, value: Value) -> None:
        row = self.plant.row(name)
        if row is None or not isinstance(value, float) or kind_of(name) not in NUMERIC:
            return
        if (row.low is not None and value < row.low - 1e-6) or (row.high is not None and value > row.high + 1e-6):
            low, high = self._show(name, row.low) or "no end", self._show(name, row.high) or "no end"
            self.remarks.append(
                f"{title_of(name)}: {self._show(name, value)} is outside what this control takes ({low} to {high})."
                " Read it again; is the unit right?"
            )

    # texts ------------------------------------------------------------------------------------------------------------

    def make(self) -> tuple[tuple[Compared, ...], tuple[Left, ...], list[tuple[str, str]]]:
        """Return the comparison, what was left otherwise, and the texts of both steps.

        Raises:
            Unreadable: with what is wrong in the readings.
        """
        if self.problems:  # the wrong boiler: no more of it is of interest
            raise Unreadable(sorted(set(self.problems)))
        order = {row.name: place for place, row in enumerate(self.plant.control.ordered())}
        names = sorted(self.found, key=lambda name: order.get(name, len(order)))
        compared = tuple(self._compare(name, self.found[name]) for name in names)
        found_values: dict[Way, object] = {}
        for one in compared:
            if one.state != SAME:
                raw = self.found[one.name]
                found_values["settings", one.name] = raw if isinstance(raw, dict) else {"value": raw, "read_back": raw}
        left_values = dict(found_values)
        for name, table in self.left.items():
            left_values["settings", name] = self._left_entry(name, table, found_values.get(("settings", name)))
        self._reasons(left_values, compared)
        if self.problems:
            raise Unreadable(sorted(set(self.problems)))
        system = self.profile.system
        for end in self.readings.data.get("combustion", {}):  # readings of two days are not mixed
            for name in self._recorded("combustion").get(end, {}):
                left_values["combustion", end, name] = None
        left_values.update(self._not_read())
        left_values.update(self.readings.facts(system))
        for name in self._recorded("visit"):
            if name not in STAY_TRUE:
                left_values["visit", name] = None
        left_values.update({("visit", name): raw for name, raw in self.visit.items()})
        text = self.profile.source.text
        try:
            texts = [(AS_FOUND, edited(text, found_values)), (AS_LEFT, edited(text, left_values))]
        except NotEditable as error:
            raise Unreadable([Problem(self.profile.path, 1, 1, str(error))]) from None
        left = tuple(self._changes(left_values))
        self._licence(left)
        return compared, left, texts

    def _not_read(self) -> dict[Way, object]:
        """Return what earlier visits read with the day on which they did: this visit's date says nothing of it."""
        last = self.profile.fact_value("visit.on")
        if not isinstance(last, date) or last == self.on:
            return {}
        told = [(table, name) for table in ("visit", "counters") for name in self._recorded(table)]
        dated: dict[Way, object] = {}
        for table, name in told:
            raw = self._recorded(table)[name]
            if (table == "counters" or name in STAY_TRUE) and not (isinstance(raw, dict) and "on" in raw):
                dated[table, name] = {**_table(raw), "on": last}
        return dated

    def _licence(self, left: tuple[Left, ...]) -> None:
        role = self.visit.get("role")
        touched = [title_of(one.name) for one in left if one.name in FIRING and one.touched and not one.stays]
        if touched and role not in LICENSED:
            who = f"by a {role}" if role else "by whom is not recorded"
            self.remarks.append(f"{', '.join(touched)} set {who}: {CAUTIONS['firing'].short}")

    def _recorded(self, table: str) -> Mapping[str, Any]:
        return self.profile.source.data.get(table, {})  # type: ignore[no-any-return]

    def _left_entry(self, name: str, table: Mapping[str, Any], found: object) -> object:
        """Return what the profile will say of a setting that was left."""
        head = _dated(self._recorded("settings").get(name))
        if "value" not in table and "left" not in table:  # only more about it: of what was found, or of what stands
            base = found if found is not None else head
            if base is None:
                self._problem(("left", name), f"{title_of(name)} has no value: neither found, nor left, nor recorded")
                return None
            return _in_order({**_table(base), **table})
        entry = self.profile.settings.get(name)
        if entry is not None and "value" in table and self._same(name, self._si(name, table["value"]), entry.typed):
            more = {key: value for key, value in table.items() if key != "value"}
            if found is None:  # it was found as it was left last, and stays
                return _in_order({**_table(head), **self._read_by(more), **more}) if more else head
            kept = _table(head) if isinstance(head, dict) or more else None
            if kept is None:
                return head
            kept.pop("read_back", None)  # it was typed anew: the old reading back says nothing of it
            return _in_order({**kept, "on": self.on, **more})
        return _in_order({**table, "on": self.on}) if "value" in table else dict(table)

    def _read_by(self, table: Mapping[str, Any]) -> Mapping[str, Any]:
        """Return who read a setting back that stays as it was: who typed it may have been somebody else."""
        by = self.visit.get("by")
        return {"by": by} if "read_back" in table and isinstance(by, str) else {}

    def _reasons(self, left: Mapping[Way, object], compared: tuple[Compared, ...]) -> None:
        """Ask for a reason where a setting of a safety class does not stay what it was."""
        first = {one.name for one in compared if one.state == FIRST}
        for name, raw in _settings(left):
            entry = self.profile.settings.get(name)
            if SETTINGS[name].caution not in SAFETY_CAUTIONS or (not isinstance(raw, dict) and entry is None):
                continue
            value, word = self._asked(name, raw)
            if entry is not None and word == entry.left and self._same(name, value, entry.typed):
                continue
            untouched = name in first and name not in self.left
            if not untouched and not trailer_line(self.left.get(name, {}).get("why", "")):
                title = CAUTIONS[SETTINGS[name].caution].title.casefold()
                self._problem(
                    ("left", name) if name in self.left else ("found", name),
                    f"{title_of(name)} is left at {self._show(name, value) or word}, before {self._entry(entry)}:"
                    f" a reason is needed ({title}); write why = ... under [left]",
                )

    def _asked(self, name: str, raw: object) -> tuple[Value | None, str | None]:
        if not isinstance(raw, dict):
            return self._si(name, raw), None
        return self._si(name, raw["value"]) if "value" in raw else None, raw.get("left")

    def _changes(self, left: Mapping[Way, object]) -> Iterator[Left]:
        for name, raw in _settings(left):
            entry = self.profile.settings.get(name)
            value, word = self._asked(name, raw)
            stays = entry is not None and word == entry.left and self._same(name, value, entry.typed)
            if stays and name not in self.left:
                continue
            table = self.left.get(name, {})
            found, back = self.found.get(name), table.get("read_back")
            yield Left(
                name, self._entry(entry), self._raw(name, found) if found is not None else "",
                self._show(name, value) or str(word), self._raw(name, back) if back is not None else "",
                str(table.get("why", "")), stays, name in self.left,
            )  # fmt: skip


def _settings(values: Mapping[Way, object]) -> Iterator[tuple[str, object]]:
    return ((way[1], raw) for way, raw in values.items() if way[0] == "settings" and raw is not None)


def _table(raw: object) -> dict[str, Any]:
    return dict(raw) if isinstance(raw, Mapping) else {"value": raw}


def _in_order(table: Mapping[str, Any]) -> dict[str, Any]:
    return dict(sorted(table.items(), key=lambda item: KEYS.index(item[0])))


def _dated(raw: Any) -> Any:
    """Return what a profile says of a setting with dates in place of their text."""
    if not isinstance(raw, dict):
        return raw
    return {key: date.fromisoformat(value) if key in ("on", "until") else value for key, value in raw.items()}
