"""Papers: a sheet is a list of blocks, and one template each makes HTML to print and Markdown of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from jinja2 import Environment, PackageLoader, StrictUndefined

from settingslint import __version__
from settingslint.model.values import Value, show_value, title_of
from settingslint.output.markdown import escaped
from settingslint.output.plain import plural
from settingslint.plain import Plain, as_laid_out, plain
from settingslint.report.single import environment
from settingslint.rules.past import found_so
from settingslint.rules.plant import Plant
from settingslint.units import Kind
from settingslint.vocabulary.cautions import CAUTIONS, HARM
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SAFETY_CAUTIONS, SETTINGS

Cell = str | None
"""A text, or None for a box to write in."""
Paper = Literal["a4", "letter"]
UNCONTROLLED: Final = "uncontrolled when printed"
MARK: Final = "◆"
"""Before a setting of a safety class; shape and word carry it, no colour."""
MISSING: Final = "not recorded"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; with `page` it begins a new one."""

    text: str
    page: bool = False
    kind: str = "heading"


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; `strong` in a frame."""

    text: str
    strong: bool = False
    small: bool = False
    kind: str = "text"


@dataclass(frozen=True, slots=True)
class Items:
    """A list, numbered where it is steps; with `boxes` each has a box to tick; on paper in so many columns."""

    lines: tuple[str, ...]
    steps: bool = False
    boxes: bool = False
    columns: int = 1
    small: bool = False
    kind: str = "items"


@dataclass(frozen=True, slots=True)
class Fields:
    """Names and values, on paper in columns of pairs."""

    rows: tuple[tuple[str, Cell], ...]
    columns: int = 3
    kind: str = "fields"


@dataclass(frozen=True, slots=True)
class Grid:
    """A table; a row's first cell names it.

    On paper it is cut into so many parts `beside` each other; `widths` are those of its columns in percent, `room` is
    the height of a box to write in, mm.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[float, ...] = ()
    beside: int = 1
    room: float = 5.0
    kind: str = "grid"


Block = Heading | Text | Items | Fields | Grid


@dataclass(frozen=True, slots=True)
class Sheet:
    """One paper about one plant. `commit` says which state of the record it shows; a `large` one has larger letters."""

    title: str
    plant: str
    site: str
    serial: str
    commit: str
    blocks: tuple[Block, ...]
    large: bool = False

    @property
    def footer(self) -> str:
        """What stands at the foot of each page."""
        return f"{self.commit}; {UNCONTROLLED}"


def sheet_of(title: str, plant: Plant, commit: str, blocks: Sequence[Block], *, large: bool = False) -> Sheet:
    """Return a sheet about a plant."""
    profile = plant.profile
    serial = f"serial {profile.serial}" if profile.serial else "serial not recorded"
    return Sheet(title, profile.name, profile.site, serial, commit, tuple(blocks), large)


def css_text(text: str) -> str:
    """Return text as it may stand in a string of a style sheet, whatever it holds.

    >>> css_text('a"b</style>')
    'a\\\\22 b\\\\3c \\\\2f style\\\\3e '
    """
    return "".join(
        char if char.isascii() and (char.isalnum() or char in " .,;-") else f"\\{ord(char):x} " for char in plain(text)
    )


def html(sheets: Sequence[Sheet], paper: Paper) -> Plain:
    """Return the sheets as one page to print; each begins on a new leaf."""
    made = environment()
    made.globals["css_text"] = css_text
    text = made.get_template("sheet.html").render(sheets=sheets, paper=paper, version=__version__)
    return as_laid_out(text)


def markdown(sheets: Sequence[Sheet]) -> Plain:
    """Return the sheets as Markdown."""
    made = Environment(
        loader=PackageLoader("settingslint.report"), autoescape=False, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True,
    )  # fmt: skip
    made.finalize = lambda value: escaped(value) if isinstance(value, str) else value
    text = made.get_template("sheet.md").render(sheets=sheets, version=__version__)
    return as_laid_out(text)


# what several papers have in common -----------------------------------------------------------------------------------


def identity(plant: Plant) -> Fields:
    """Return which boiler it is, as recorded; site, name and serial stand above."""
    profile, control = plant.profile, plant.control
    fired = profile.first_fired
    rows: list[tuple[str, Cell]] = [
        ("serial on the plate", fact(plant, "boiler.serial_on_plate")),
        ("control", control.title),
        ("revision shown", profile.revision or MISSING),
        ("size", profile.size or MISSING),
        ("size on the plate", fact(plant, "boiler.size_on_plate")),
        ("gas", fact(plant, "gas.fuel")),
        ("elevation", fact(plant, "site.elevation")),
        ("vent", fact(plant, "vent.material")),
        ("length of the vent, equivalent", fact(plant, "vent.equivalent_length")),
        ("first fired", "not yet" if fired is False else str(fired) if fired not in (None, True) else MISSING),
        ("group", profile.group or "alone"),
        ("units of this sheet", "US" if plant.system == "us" else "metric"),
    ]
    return Fields(tuple(rows))


def fact(plant: Plant, name: str) -> str:
    """Return a fact as text."""
    known = plant.profile.facts.get(name)
    return shown(known.value, FACTS[name].kind, plant) if known else MISSING


def shown(value: Value, kind: Kind, plant: Plant) -> str:
    """Return the value of a fact as text: yes or no where it is one of these."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return show_value(value, kind, plant.system)


def names_of(plant: Plant) -> list[str]:
    """Return all settings in the control's order of entry, then those that its file does not describe."""
    named = [row.name for row in plant.control.ordered()]
    return named + [name for name in plant.profile.settings if name not in plant.control.rows]


def called(plant: Plant, name: str) -> str:
    """Return a setting's label and title: what the panel says, and what it is."""
    row = plant.row(name)
    label = row.label if row else ""
    title = title_of(name)
    if row is None:
        return f"{title} (not in the control file)"
    return f"{label} ({title})" if label and label.casefold() != title.casefold() else title


def place(plant: Plant, name: str) -> str:
    """Return where the setting stands in the control's menu."""
    row = plant.row(name)
    return row.menu if row and row.menu else "-"


def marked(name: str) -> str:
    """Return the mark of a setting that can hurt people or the plant, or nothing."""
    return MARK if SETTINGS[name].caution in SAFETY_CAUTIONS else ""


def last_left(plant: Plant, name: str) -> str:
    """Return what is recorded: the value, its end where it is temporary, and what the boiler makes of it.

    It was left so, unless it says that a visit found it and nobody set it.
    """
    entry, effect = plant.profile.settings.get(name), plant.effects.get(name)
    if entry is None:
        return MISSING
    if entry.typed is None:
        known = effect.stored if effect and entry.left == "default" else None
        return f"{entry.left} ({plant.show(name, known)})" if known is not None else str(entry.left)
    text = plant.show(name, entry.typed)
    if entry.until is not None:
        back = f", then {plant.show(name, entry.then)}" if entry.then is not None else ""
        text += f" {until(entry.until, plant)}{back}"
    if effect is not None and effect.changed:
        text += f"; runs at {plant.show(name, effect.effective)}"
    found = found_so(plant.states(), name, plant.default_of(name)) if plant.past is not None else None
    return f"{text}; found so on {found.on}, nobody set it" if found is not None else text


def until(end: date, plant: Plant) -> str:
    """Return when a temporary value ends; of one that is past its end, that it is.

    The day itself still belongs to it.
    """
    late = (plant.as_of - end).days
    return f"until {end}" if late <= 0 else f"until {end}, overdue by {plural(late, 'day')}"


def cautions(plant: Plant) -> list[Block]:
    """Return the cautions of all classes that this control's settings have, in full of what can hurt somebody."""
    classes = {SETTINGS[name].caution for name in names_of(plant)} | {"electric", "record"}
    if "firing" in classes:
        classes.add("combustion")
    if classes & {"hygiene", "scald"}:
        classes |= {"hygiene", "scald"}
    wanted = (*HARM, "cascade") if plant.profile.group else HARM
    full = [f"{CAUTIONS[name].title}: {CAUTIONS[name].long}" for name in wanted if name in classes]
    brief = [f"{one.title}: {one.short}" for name, one in CAUTIONS.items() if name in classes and name not in wanted]
    return [Heading("Cautions"), Items((*full, *brief), columns=3, small=True)]
