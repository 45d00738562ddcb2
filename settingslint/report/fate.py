"""The fate of each typed value: set to, stored, runs at, as a ribbon that is broken where the value changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from settingslint.model.effect import Effect, same
from settingslint.model.values import title_of
from settingslint.report.both import both_of
from settingslint.report.labels import width
from settingslint.report.svg import Picture, svg, text
from settingslint.rules.plant import Plant

WIDTH: Final = 700
ROW: Final = 24
HEAD: Final = 30
FOOT: Final = 22
NAMES: Final = 214
"""Right end of the settings' names, pixels."""
AT: Final = ((222, 340), (366, 484), (510, 698))
"""Where the three columns begin and end, pixels."""
COLUMNS: Final = ("set to", "kept", "runs at")
FONT: Final = 12.0
TITLE: Final = "What became of each typed value"


@dataclass(frozen=True, slots=True)
class Fate:
    """One typed value in three texts, and whether it was changed when it was stored, and after that."""

    setting: str
    asked: str
    stored: str
    effective: str
    breaks: tuple[bool, bool]
    why: str

    @property
    def broken(self) -> bool:
        """Whether it runs otherwise than typed, or nobody knows."""
        return any(self.breaks)


def fates(plant: Plant) -> list[Fate]:
    """Return what became of each typed value, the broken ones first, else in the order of the control."""
    found = []
    for name, effect in plant.effects.items():
        entry = plant.profile.settings.get(name)
        if entry is not None and entry.typed is not None and effect.typed is not None:
            found.append(_fate(plant, name, effect))
    return sorted(found, key=lambda one: not one.broken)


def _fate(plant: Plant, name: str, effect: Effect) -> Fate:
    stored = effect.stored
    into = stored is not None and not same(effect.typed, stored)
    kept = stored if stored is not None else effect.typed
    out = not effect.known or not same(kept, effect.effective)
    assert effect.typed is not None
    return Fate(
        name,
        plant.show(name, effect.typed),
        "not known" if stored is None else plant.show(name, stored),
        effect.state if effect.effective is None else both_of(plant, name, effect.effective),
        (into, out),
        " ".join(reason.text for reason in effect.reasons),
    )


def fate_rows(plant: Plant) -> list[dict[str, Any]]:
    """Return every recorded setting as a row of the table: also those left at their default; the broken ones first."""
    rows = []
    for name, effect in plant.effects.items():
        entry = plant.profile.settings.get(name)
        if entry is None:
            continue
        back = entry.read_back
        rows.append(
            {
                "title": title_of(name),
                "typed": plant.show(name, effect.typed) if effect.typed is not None else (entry.left or "-"),
                "stored": plant.show(name, effect.stored) if effect.stored is not None else "-",
                "read_back": plant.show(name, back) if back is not None else "-",
                "effective": both_of(plant, name, effect.effective) if effect.effective is not None else effect.state,
                "why": " ".join(reason.text for reason in effect.reasons),
                "broken": effect.changed or not effect.known,
            }
        )
    return sorted(rows, key=lambda row: not row["broken"])


def fitting(words: str, room: float, size: float = FONT) -> str:
    """Return words, cut where they are wider than the room."""
    while len(words) > 1 and width(words, size) > room:
        words = words[:-2].rstrip() + "…"
    return words


def fate_picture(plant: Plant, corner: str) -> Picture | None:
    """Draw a ribbon for each typed value; None where none was typed."""
    rows = fates(plant)
    if not rows:
        return None
    broken = [one for one in rows if one.broken]
    height = HEAD + ROW * len(rows) + FOOT
    names: list[str] = []
    values: list[str] = []
    whole: list[str] = []
    cut: list[str] = []
    jags: list[str] = []
    for word, (begin, _) in zip(COLUMNS, AT, strict=True):
        values.append(text(begin + 6, HEAD - 10, word, ""))
    for index, one in enumerate(rows):
        top = HEAD + ROW * index
        base = top + ROW / 2 + FONT / 3
        names.append(text(NAMES, base, fitting(title_of(one.setting), NAMES - 4), ""))
        for words, (begin, end) in zip((one.asked, one.stored, one.effective), AT, strict=True):
            values.append(text(begin + 6, base, fitting(words, end - begin - 10), ""))
        (cut if one.broken else whole).append(_ribbon(one, top))
        jags += _jags(one, top + ROW / 2)
    body = (
        f'<path class="ribbon" d="{"".join(whole)}"/><path class="ribbon cut" d="{"".join(cut)}"/>'
        f'<g class="num" text-anchor="end">{"".join(names)}</g><g class="num">{"".join(values)}</g>{"".join(jags)}'
    )
    if broken:
        which = ", ".join(title_of(one.setting) for one in broken[:3]) + (" and others" if len(broken) > 3 else "")
        caption = f"{len(broken)} of {len(rows)} typed values do not run as typed: {which}."
    else:
        caption = f"All {len(rows)} typed values run as typed, by what the control file says."
    drawing = svg(WIDTH, height, f"{TITLE}: {caption}", body, corner)
    return Picture("fate", TITLE, drawing, caption, _facts(rows), wide=True)


def _facts(rows: Sequence[Fate]) -> tuple[tuple[str, str], ...]:
    """Return the broken ones in words; the table below the pictures has them all."""
    broken = tuple(
        (title_of(one.setting), f"set to {one.asked}, kept {one.stored}, runs at {one.effective}. {one.why}")
        for one in rows
        if one.broken
    )
    whole = sum(not one.broken for one in rows)
    return (*broken, ("run as typed", f"{whole}; each of them is in the table below"))


def _ribbon(one: Fate, top: float) -> str:
    """Return the outline of a ribbon; it has a gap where the value was changed."""
    parts = []
    begin = AT[0][0]
    for broke, (_, end), (after, _) in zip((*one.breaks, True), AT, (*AT[1:], AT[-1]), strict=True):
        if broke:
            parts.append(f"M{begin} {top + 3:g}H{end}v{ROW - 6}H{begin}z")
            begin = after
    return "".join(parts)


def _jags(one: Fate, middle: float) -> Iterator[str]:
    """Yield a jag for each gap."""
    for broke, (_, end), (begin, _) in zip(one.breaks, AT, AT[1:], strict=False):
        if broke:
            third = (begin - end) / 3
            yield f'<path class="jag" d="M{end} {middle:g}h{third:g}l-4 -7l{third + 8:g} 14l-4 -7H{begin}"/>'
