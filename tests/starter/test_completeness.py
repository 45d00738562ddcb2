"""A control file looked at alone: what it lacks, where it contradicts itself, what is unproved, each at its line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from typer.testing import CliRunner, Result

from settingslint.cli import app
from settingslint.files.finding import is_control_file
from settingslint.model.values import Unreadable
from settingslint.starter.completeness import CONTRADICTS, LACKS, UNPROVED, doubts_of
from tests.strategies import controls, text_of

FULL = """format = 1
units = "us"

[control]
name = "mine"
reset_style = "one number"
cold_anchor = 5
overshoot = 6
complete = true
revisions = ["1"]
entry_order = ["heating_setpoint", "reset_endpoint"]
save = ["leave by Keep"]
freeze_active_in = ["normal"]
freeze_overrides_priority = true
shared_target = false
rate_limits_hot_water = false
compensates_elevation = false

[setting.heating_setpoint]
label = "House"
menu = "Page 1"
range = { low = 80, high = 180, outside = "refused" }
step = 1
default = 150
access = "installer"
lost_on = []
read_back = "exact"
treatments = [{ does = "ignore", low = 100, high = 110, becomes = 90 }]
evidence = { where = "book, page 3", how = "read" }

[setting.reset_endpoint]
label = "Even"
menu = "Page 2"
range = { low = 60, high = 180, outside = "refused" }
step = 2
default = 80
access = "installer"
lost_on = []
read_back = "exact"
treatments = []
evidence = { where = "bench", how = "tried" }
"""


def file(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "controls" / "mine.toml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def check(*args: str) -> Result:
    return CliRunner().invoke(app(("check",)), ["check", *args])


def test_a_full_and_proved_file_leaves_no_doubt(tmp_path: Path) -> None:
    assert doubts_of(file(tmp_path, FULL)) == []


LINE = {text: number for number, text in enumerate(FULL.splitlines(), 1)}


@pytest.mark.parametrize(
    ("old", "new", "rule", "line", "says"),
    [
        (', outside = "refused"', "", LACKS, "[setting.heating_setpoint]", "range.outside"),
        ("default = 150\n", "", LACKS, "[setting.heating_setpoint]", "not said: default"),
        ("treatments = []\n", "", LACKS, "[setting.reset_endpoint]", "not said: treatments"),
        (", becomes = 90", "", LACKS, None, "instead of the ignored band"),
        ("cold_anchor = 5\n", "", LACKS, None, "cold_anchor"),
        ("overshoot = 6\n", "", LACKS, "[control]", "overshoot"),
        ("freeze_overrides_priority = true\n", "", LACKS, "[control]", "freeze protection goes before"),
        ("complete = true", "complete = false", LACKS, None, "not said whether it has"),
        ('"heating_setpoint", "reset_endpoint"', '"heating_setpoint"', LACKS, None, "leaves out reset_endpoint"),
        ("lost_on = []\n", "", LACKS, None, "lost_on is not said, so it counts as never lost"),
        ('name = "mine"', 'name = "other"', CONTRADICTS, 'name = "mine"', "the file is mine.toml"),
        ("default = 80", "default = 81", CONTRADICTS, "default = 80", "is not on a step"),
        ('reset_style = "one number"', 'reset_style = "none"', CONTRADICTS, None, "another way"),
        ('"Even"\nmenu = "Page 2"', '"House"\nmenu = "Page 1"', CONTRADICTS, 'label = "Even"', "same label"),
        ('evidence = { where = "bench", how = "tried" }\n', "", UNPROVED, None, "how any of this"),
        ('how = "tried"', 'how = "told"', UNPROVED, None, "only told by somebody"),
    ],
)  # fmt: skip
def test_each_doubt_is_told_with_its_line(
    tmp_path: Path, old: str, new: str, rule: str, line: str | None, says: str
) -> None:
    assert old in FULL
    found = doubts_of(file(tmp_path, FULL.replace(old, new, 1)))
    told = [one for one in found if says in one.message]
    assert [one.rule for one in told] == [rule], found
    if line is not None:
        before = 1 if old.endswith("\n") and FULL.index(old) < FULL.index(line) else 0
        assert told[0].line == LINE[line] - before


def test_exit_status_is_that_of_check(tmp_path: Path) -> None:
    path = file(tmp_path, FULL.replace("default = 150\n", ""))
    gap = check(str(path))
    assert gap.exit_code == 0 and "[control-lacks]" in gap.output and "unreadable" not in gap.output
    assert check(str(path), "--stop-at", "record").exit_code == 1
    path.write_text(FULL.replace("default = 80", "default = 81"), encoding="utf-8")
    assert check(str(path)).exit_code == 1
    assert check(str(path), "--stop-at", "nothing").exit_code == 0
    path.write_text(FULL.replace("low = 80", "low = 190"), encoding="utf-8")
    broken = check(str(path))
    assert broken.exit_code == 2 and "the range ends below its beginning" in broken.stderr
    with pytest.raises(Unreadable):
        doubts_of(path)
    assert check(str(path), "--form", "json").exit_code == 2


def test_a_control_file_and_a_folder_are_both_told(tmp_path: Path) -> None:
    path = file(tmp_path, FULL)
    (tmp_path / "sites").mkdir()
    (tmp_path / "sites" / "one.toml").write_text(
        'format = 1\nunits = "us"\n[plant]\nname = "A"\nsite = "B"\ncontrol = "mine"\n[settings]\n', encoding="utf-8"
    )
    both = check(str(path), str(tmp_path), "--stop-at", "nothing")
    assert both.exit_code == 0
    assert "0 contradictions, 0 gaps" in both.output and "1 boiler of" in both.output


def test_what_is_a_control_file(tmp_path: Path) -> None:
    path = file(tmp_path, FULL)
    assert is_control_file(path)
    loose = tmp_path / "loose.toml"
    loose.write_text(FULL, encoding="utf-8")
    assert is_control_file(loose)
    loose.write_text('[plant]\ncontrol = "mine"\n', encoding="utf-8")
    assert not is_control_file(loose)
    assert not is_control_file(tmp_path)


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(controls())
def test_every_control_file_that_the_schema_takes_is_judged(tmp_path: Path, data: dict[str, Any]) -> None:
    text = text_of(data)
    path = file(tmp_path, text)
    try:
        found = doubts_of(path)
    except Unreadable:
        return
    lines = len(text.splitlines())
    assert all(1 <= one.line <= lines and one.message and one.column >= 1 for one in found)
    described = {name for name, row in data["setting"].items() if not row.get("evidence", {}).get("where")}
    told = {one.message.partition(":")[0] for one in found if one.rule == UNPROVED}
    assert told == described, "each setting without evidence is named, and no other"
