"""`timeline`: one function for each form, by name; text and JSON stand here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib import import_module
from typing import Any, Final, cast

from settingslint import __version__
from settingslint.history.timeline import Stretch, Timeline
from settingslint.model.values import title_of
from settingslint.output import Look
from settingslint.output.data import Json, value_of
from settingslint.output.note_view import unit_of
from settingslint.output.plain import json_text, plural, wrapped
from settingslint.plain import Plain, in_lines
from settingslint.rules.plant import Plant

FORMS: Final = ("text", "html", "json")
_MODULES: Final = {"html": ("settingslint.report.timeline", "render"), "json": (__name__, "render_json")}
NOBODY: Final = "no reason recorded"
RUNS_AT: Final = ", runs at "


def render_timeline(form: str, line: Timeline, setting: str | None, look: Look) -> Plain:
    """Return a timeline in one of `FORMS`, of one setting or of all that changed.

    Raises:
        KeyError: for another form.
    """
    if form not in FORMS:
        raise KeyError(form)
    module, name = _MODULES.get(form, (__name__, "render"))
    made: Any = getattr(import_module(module), name)
    return cast(Callable[[Timeline, str | None, Look], Plain], made)(line, setting, look)


def chosen(line: Timeline, setting: str | None) -> dict[str, tuple[Stretch, ...]]:
    """Return the settings to show: the named one, or all that had more than one value."""
    return line.changed() if setting is None else {setting: line.settings.get(setting, ())}


def value_text(stretch: Stretch, plant: Plant) -> str:
    """Return what was set, and what it runs at where that is another value."""
    asked = plant.show(stretch.setting, stretch.typed) if stretch.typed is not None else stretch.left or "-"
    if stretch.effective is None:
        return asked if stretch.state == "not recorded" else f"{asked} ({stretch.state})"
    ran = plant.show(stretch.setting, stretch.effective)
    return asked if ran == asked else f"{asked}{RUNS_AT}{ran}"


def span_text(stretch: Stretch) -> str:
    """Return from when to when."""
    return f"{stretch.begin} to {stretch.end or 'now'}"


def details(stretch: Stretch, line: Timeline, first: bool) -> Iterator[tuple[str, bool]]:
    """Yield what is known of a stretch as sentences, each with whether it is a gap in the record."""
    commit = f" ({stretch.commit.short})" if stretch.commit.id else ""
    how = ", found so" if stretch.found else ""
    yield f"{stretch.who}{commit}{how}", False
    if stretch.through:
        yield stretch.through, False
    if stretch.why:
        yield f"why: {stretch.why}", False
    elif stretch.found:
        yield f"changed since the last visit, {NOBODY}", True
    elif not first:
        yield NOBODY + (f"; the commit says: {stretch.said}" if stretch.said else ""), True
    if stretch.until is not None:
        back = f", then {line.plant.show(stretch.setting, stretch.then)}" if stretch.then is not None else ""
        yield f"temporary until {stretch.until}{back}; watched by: {stretch.watched_by or 'not recorded'}", False
        late = stretch.overdue(line.as_of)
        if late:
            yield f"{plural(late, 'day')} longer than meant", True


def render(line: Timeline, setting: str | None, look: Look) -> Plain:
    """Return a timeline as text."""
    return in_lines(_lines(line, setting, look.width))


def heading(line: Timeline) -> str:
    """Return whose timeline it is."""
    return f"{line.plant.profile.name}, {line.plant.profile.site}"


def summary(line: Timeline) -> str:
    """Return what the timeline rests on, and how much of it nobody explains."""
    changed, lacking = len(line.changed()), len(line.unexplained())
    return (
        f"{plural(line.commits, 'commit')} from {line.begin} to {line.as_of}: {plural(changed, 'setting')} of"
        f" {len(line.settings)} changed; {plural(lacking, 'change')} without a recorded reason."
    )


def _lines(line: Timeline, setting: str | None, width: int) -> Iterator[str]:
    yield wrapped(heading(line), width, "", "")
    yield wrapped(summary(line), width, "", "")
    for remark in line.remarks:
        yield wrapped(remark, width, "", "")
    for name, stretches in chosen(line, setting).items():
        yield ""
        yield title_of(name) + ("" if stretches else ": no value is recorded in any commit")
        for index, stretch in enumerate(stretches):
            yield wrapped(f"{span_text(stretch)}: {value_text(stretch, line.plant)}", width, "  ")
            for text, gap in details(stretch, line, index == 0):
                yield wrapped(("? " if gap else "") + text, width, "      ")
    if setting is None and line.marks:
        yield ""
        yield "what happened"
        for mark in sorted(line.marks, key=lambda one: one.on):
            yield wrapped(f"{mark.on}: {mark.kind}: {mark.text}", width, "  ")
    for problem in line.problems:
        yield f"{problem.file}: unreadable: {problem.message}"


def render_json(line: Timeline, setting: str | None, look: Look) -> Plain:
    """Return a timeline as JSON text: all settings, or the named one."""
    profile, system = line.plant.profile, line.plant.system
    settings = line.settings if setting is None else chosen(line, setting)
    data: Json = {
        "format": 1,
        "tool": {"name": "settingslint", "version": __version__},
        "profile": line.path,
        "plant": profile.name,
        "site": profile.site,
        "serial": profile.serial,
        "units": system,
        "from": line.begin.isoformat(),
        "to": line.as_of.isoformat(),
        "settings": [
            {
                "setting": name,
                "unit": unit_of(name, line.plant, row.unit if (row := line.plant.row(name)) else None).strip("-"),
                "values": [_stretch(one, line, index == 0) for index, one in enumerate(stretches)],
            }
            for name, stretches in settings.items()
        ],
        "marks": [{"on": mark.on.isoformat(), "kind": mark.kind, "text": mark.text} for mark in line.marks],
        "remarks": list(line.remarks),
        "problems": [{"file": one.file, "message": one.message} for one in line.problems],
    }
    return json_text(data)


def _stretch(stretch: Stretch, line: Timeline, first: bool) -> Json:
    system = line.plant.system
    return {
        "value": value_of(stretch.typed, stretch.setting, system),
        "left": stretch.left,
        "effective": value_of(stretch.effective, stretch.setting, system),
        "state": stretch.state,
        "from": stretch.begin.isoformat(),
        "to": stretch.end.isoformat() if stretch.end else None,
        "commit": stretch.commit.id or None,
        "by": stretch.who,
        "why": stretch.why or None,
        "message": stretch.said,
        "found": stretch.found,
        "explained": first or bool(stretch.why),
        "through": stretch.through or None,
        "temporary_until": stretch.until.isoformat() if stretch.until else None,
        "then": value_of(stretch.then, stretch.setting, system),
        "watched_by": stretch.watched_by,
        "days_overdue": stretch.overdue(line.as_of),
    }
