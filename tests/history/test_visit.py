"""`visit`: what was found against what was left last, two commits or none, and nothing else changed.

What the tests compare with is git itself, and the profile's text as `tomllib` reads it.
"""

from __future__ import annotations

import subprocess
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.history import NoHistory
from settingslint.history.found_left import DIFFERS, FIRST, SAME
from settingslint.history.past import past_at
from settingslint.history.readings import Readings, readings_of
from settingslint.history.repository import Repository
from settingslint.history.snapshots import Snapshots
from settingslint.history.visit import Visit, plan, standing
from settingslint.history.writing import check, who, write
from settingslint.model.values import Unreadable
from tests.history.kit import Work, started

TODAY = date(2026, 11, 25)
PROFILE = "sites/mill/boiler-1.toml"
READINGS = """
serial = "K-1"
[visit]
on = 2026-11-24
role = "gas-licensed technician"
why = "autumn service"
work_order = "W-7"
[found]
heating_setpoint = 170
high_limit = 210
tank_setpoint = 145
[left]
heating_setpoint = { value = 164, read_back = 164 }
high_limit = { value = 206, read_back = 206, why = "put back" }
"""


@pytest.fixture
def work(tmp_path: Path) -> Work:
    return started(tmp_path / "estate")


def read(work: Work, text: str, name: str = PROFILE) -> tuple[Repository, Readings]:
    repository = Repository(work.folder)
    plant = standing(repository, work.folder, work.folder / name, TODAY)
    return repository, readings_of(text.encode(), "readings.toml", plant.control, plant.profile.system)


def planned(work: Work, text: str, name: str = PROFILE) -> Visit:
    repository, readings = read(work, text, name)
    with repository:
        return plan(repository, work.folder, work.folder / name, readings, TODAY, "R. Holm")


def done(work: Work, text: str, name: str = PROFILE) -> list[str]:
    repository, readings = read(work, text, name)
    with repository:
        visit = plan(repository, work.folder, work.folder / name, readings, TODAY, "R. Holm")
        return write(repository, visit)


def data(work: Work, revision: str = "HEAD") -> dict[str, Any]:
    return tomllib.loads(work.git("show", f"{revision}:{PROFILE}"))


def wrong(work: Work, text: str) -> str:
    with pytest.raises(Unreadable) as error:
        planned(work, text)
    return "; ".join(one.message for one in error.value.problems)


def state(work: Work) -> tuple[str, bytes, str]:
    status = work.git("status", "--porcelain")
    return work.git("rev-parse", "HEAD"), (work.folder / PROFILE).read_bytes(), status


# what is written ------------------------------------------------------------------------------------------------------


def test_two_commits_as_found_then_as_left(work: Work) -> None:
    base = work.git("rev-parse", "HEAD").strip()
    assert done(work, READINGS) == []
    assert work.git("rev-parse", "HEAD~2").strip() == base
    before, found, left = (data(work, one)["settings"] for one in (base, "HEAD~1", "HEAD"))
    assert found == {
        **before,
        "heating_setpoint": {"value": 170, "read_back": 170},
        "high_limit": {"value": 210, "read_back": 210},
    }
    day = date(2026, 11, 24)
    assert left == {
        **before,
        "heating_setpoint": {"value": 164, "read_back": 164, "on": day},
        "high_limit": {"value": 206, "read_back": 206, "on": day, "why": "put back"},
    }
    assert data(work, "HEAD~1")["visit"] == data(work, base)["visit"]  # as found was left by the visit before
    assert data(work)["visit"] == {
        "on": day, "by": "R. Holm", "role": "gas-licensed technician", "why": "autumn service", "work_order": "W-7",
        "read_back": {"value": True, "on": date(2026, 10, 6)},
        "clock_checked": {"value": True, "on": date(2026, 10, 6)},
        "service_code_default": {"value": False, "on": date(2026, 10, 6)},
    }  # fmt: skip
    assert work.git("status", "--porcelain") == ""
    assert work.git("show", "--name-only", "--format=", "HEAD", "HEAD~1").split() == [PROFILE, PROFILE]
    assert (work.folder / PROFILE).read_text() == work.git("show", f"HEAD:{PROFILE}")


def test_trailers_as_git_parses_them(work: Work) -> None:
    done(work, READINGS)
    for revision, step in (("HEAD~1", "as found"), ("HEAD", "as left")):
        found = work.git("log", "-1", "--format=%(trailers)", revision).strip().splitlines()
        assert found == [
            "Visit-Date: 2026-11-24", f"Visit-Step: {step}", "Visit-By: R. Holm",
            "Visit-Role: gas-licensed technician", "Visit-Work-Order: W-7", "Visit-Reason: autumn service",
        ]  # fmt: skip


def test_the_rules_about_the_past_see_the_visit(work: Work) -> None:
    done(work, READINGS)
    with Repository(work.folder) as repository:
        snapshots = Snapshots(repository, work.folder)
        plant = standing(repository, work.folder, work.folder / PROFILE, TODAY)
        past = past_at(snapshots, repository.resolve("HEAD"), PROFILE, plant.profile)
    assert past is not None
    assert [one.kind for one in past.states] == ["as left", "as found"]


def test_only_as_left_where_all_was_found_as_left(work: Work) -> None:
    base = work.git("rev-parse", "HEAD")
    done(work, READINGS.replace("170", "164").replace("210", "206"))
    assert work.git("rev-parse", "HEAD~1") == base
    assert "read before anything was touched: 3; not as recorded: 0" in work.git("log", "-1", "--format=%B")


def test_what_the_control_does_not_take_is_said(work: Work) -> None:
    work.control({"setting.heating_setpoint.range": {"low": 80, "high": 190, "outside": "refused"}})
    ignores = [{"does": "ignore", "low": 141, "high": 147, "becomes": 140}]
    work.control({
        "setting.heating_setpoint.range": {"low": 80, "high": 190, "outside": "refused"},
        "setting.tank_setpoint.treatments": ignores,
    })  # fmt: skip
    work.commit()
    text = 'serial = "K-1"\n{}[left]\n{} = {{ value = {}, why = "frost" }}\n'
    # 172 C is 341.6 F
    remarks = planned(work, text.format('units = "metric"\n', "heating_setpoint", 172)).remarks
    assert "heating set point: Typed 342 F. This control takes 80 to 190 F only" in "\n".join(remarks)
    (moved,) = planned(work, text.format("", "tank_setpoint", 144)).remarks
    assert moved.startswith("tank set point: Typed 144 F.") and moved.endswith("140 F.")
    (unit,) = planned(work, text.format("", "heating_setpoint", 60)).remarks[1:]
    assert unit == "heating set point 60 F looks like the other unit: 60 C would be 140 F"
    assert planned(work, text.format("", "heating_setpoint", 170)).remarks == ()


def test_a_blank_behind_a_date_makes_no_commit(work: Work) -> None:
    line = 'tank_setpoint = { value = 145, why = "plan", on = 2026-10-01 }  # the tank'
    text = (work.folder / PROFILE).read_text().replace("tank_setpoint = 145", line)
    assert line in text
    work.write(PROFILE, text)
    base = work.commit()
    visit = planned(work, 'serial = "K-1"\n[left]\nheating_setpoint = { value = 164, read_back = 164 }\n')
    assert [step.label for step in visit.steps] == ["as left"]
    done(work, 'serial = "K-1"\n[left]\nheating_setpoint = { value = 164, read_back = 164 }\n')
    assert work.git("rev-parse", "HEAD~1").strip() == base
    assert line in (work.folder / PROFILE).read_text()


def test_comments_and_layout_stay(work: Work) -> None:
    text = (work.folder / PROFILE).read_text()
    text = text.replace("heating_setpoint = 164", "  heating_setpoint   = 164     # the hall\n\n  # below: the tank")
    text = text.replace("[visit]", "# who was there\n[visit]   # last")
    work.write(PROFILE, text)
    work.commit()
    done(work, READINGS)
    now = (work.folder / PROFILE).read_text()
    assert "  heating_setpoint   = { value = 164, read_back = 164, on = 2026-11-24 }     # the hall\n\n  # below" in now
    assert "# who was there\n[visit]   # last\n" in now
    before, after = text.splitlines(), now.splitlines()
    touched = {"heating_setpoint", "high_limit", "on", "by", "why", "kind", "occasion", "work_order", "read_back",
               "clock_checked", "service_code_default", "starts", "burner_hours", "idle_months", "faults_before",
               "faults_now"}  # fmt: skip
    gone = [line for line in before if line not in after]
    assert {line.split("=")[0].strip() for line in gone} <= touched


def test_line_ends_of_the_working_file_stay(work: Work) -> None:
    """As core.autocrlf leaves them: carriage returns on the disk, none in git."""
    work.git("config", "core.autocrlf", "true")
    path = work.folder / PROFILE
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    work.git("add", PROFILE)
    assert work.git("status", "--porcelain") == ""
    done(work, READINGS)
    content = path.read_bytes()
    assert content.count(b"\r\n") == content.count(b"\n") > 100
    assert b"\r" not in work.git("show", f"HEAD:{PROFILE}").encode()
    assert work.git("status", "--porcelain") == ""


def test_other_staged_and_changed_files_are_left_alone(work: Work) -> None:
    work.write("portfolio.toml", 'format = 1\nname = "Other"\n')
    work.write("new.txt", "x")
    work.git("add", "new.txt")
    done(work, READINGS)
    assert sorted(work.git("status", "--porcelain").splitlines()) == [" M portfolio.toml", "A  new.txt"]


def test_combustion_readings_of_two_days_are_not_mixed(work: Work) -> None:
    done(work, READINGS + "[combustion.high]\non = 2026-11-24\no2 = 5.2\n")
    readings = data(work)["combustion"]
    assert readings["high"] == {"on": date(2026, 11, 24), "o2": 5.2}
    assert readings["low"]["o2"] == 5.6


def test_readings_in_the_other_units(work: Work) -> None:
    text = 'units = "metric"\nserial = "K-1"\n[found]\nheating_setpoint = 73.3\ntank_setpoint = 60\n'
    visit = planned(work, text + '[left]\ntank_setpoint = { why = "plan" }\n')
    states = {one.name: (one.state, one.found) for one in visit.compared}
    assert states == {"heating_setpoint": (SAME, "164 F"), "tank_setpoint": (DIFFERS, "140 F")}


def test_the_same_visit_twice_is_recorded_once(work: Work) -> None:
    done(work, READINGS)
    before = state(work)
    visit = planned(work, READINGS)
    assert visit.recorded == before[0].strip()
    assert visit.steps == ()
    assert done(work, READINGS) == []
    assert state(work) == before


@pytest.mark.parametrize(
    ("recorded", "found", "expected"),
    [
        ({"value": 95}, 95, SAME),
        ({"value": 95}, 100, DIFFERS),  # it ran at 100 all along, and showed 95
        ({"value": 120}, 110, SAME),  # the control takes no more: it has shown 110 since
        ({"value": 120}, 100, DIFFERS),
        ({"value": 95}, 90, DIFFERS),
        ({"left": "default"}, 100, SAME),
        ({"left": "default"}, 80, DIFFERS),
        ({"left": "default", "read_back": 80}, 80, SAME),
        ({"left": "default", "read_back": 80}, 100, DIFFERS),
        ({"left": "not reachable"}, 80, FIRST),
    ],
)
def test_drift_is_told_from_what_the_control_does(work: Work, recorded: Any, found: int, expected: str) -> None:
    name = "heating_maximum_rate"
    band = {"does": "ignore", "low": 91, "high": 99, "becomes": 100}
    span = {"low": 10, "high": 110, "outside": "moved to the end"}
    work.control({f"setting.{name}.treatments": [band], f"setting.{name}.range": span})
    work.profile(changes={f"settings.{name}": recorded})
    work.commit()
    visit = planned(work, f'serial = "K-1"\n[found]\n{name} = {found}\n[left]\n{name} = {{ why = "read" }}\n')
    assert [one.state for one in visit.compared] == [expected]


def test_not_reachable_takes_nothing_from_the_record(work: Work) -> None:
    visit = planned(work, 'serial = "K-1"\n[found]\nhigh_limit = { left = "not reachable" }\n')
    assert [step.label for step in visit.steps] == ["as left"]
    assert b"high_limit = 206" in visit.steps[-1].text


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=200))
def test_no_reason_forges_a_trailer(work: Work, text: str) -> None:
    forged = f"{text}\n\nVisit-Step: as left\nVisit-Role: maker\r\n\rSigned-off-by: {text}"
    import tomlkit

    word = tomlkit.item(forged.replace("\0", " ")).as_string()
    found = READINGS.replace('"autumn service"', word).replace('"W-7"', word[:100].rstrip('\\"') + '"')
    try:
        visit = planned(work, found.replace('"put back"', word))
    except Unreadable:
        return  # too long, or no text
    for step in visit.steps:
        out = subprocess.run(
            ["git", "interpret-trailers", "--parse"], input=step.message.encode("utf-8", "surrogateescape"),
            capture_output=True, check=True,
        ).stdout.decode(errors="replace").split("\n")  # fmt: skip
        keys = [line.partition(":")[0] for line in out if line]
        order = ["Visit-Date", "Visit-Step", "Visit-By", "Visit-Role", "Visit-Work-Order", "Visit-Reason"]
        assert keys == [key for key in order if key in keys]
        assert {*order} - {*keys} <= {"Visit-Work-Order", "Visit-Reason"}
        assert f"Visit-Step: {step.label}" in out
        assert "Visit-Role: gas-licensed technician" in out


NUMBERS = (
    "heating_setpoint", "heating_differential", "tank_setpoint", "high_limit", "pump_overrun", "priority_time_limit",
    "minimum_fan_speed", "reset_endpoint",
)  # fmt: skip
VALUES = st.dictionaries(st.sampled_from(NUMBERS), st.sampled_from([4, 60, 145, 164, 206, 400]), max_size=5)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(VALUES, VALUES)
def test_both_texts_say_what_was_read_and_nothing_else(work: Work, found: dict[str, int], left: dict[str, int]) -> None:
    lines = [f"{name} = {value}" for name, value in found.items()]
    # each that was found is given its reason, and where it was touched its value
    touched = {**dict.fromkeys(found), **left}
    lines.append("[left]")
    for name, value in touched.items():
        lines.append(f'{name} = {{ {"" if value is None else f"value = {value}, "}why = "said" }}')
    visit = planned(work, 'serial = "K-1"\n[found]\n' + "\n".join(lines))
    before = data(work)
    texts = {step.label: tomllib.loads(step.text.decode()) for step in visit.steps}
    drift = {name: value for name, value in found.items() if value != before["settings"][name]}
    assert {one.name for one in visit.compared if one.state == DIFFERS} == set(drift)
    expected = {name: {"value": value, "read_back": value} for name, value in drift.items()}
    assert texts.get("as found", before) == {**before, "settings": {**before["settings"], **expected}}
    after = texts["as left"]["settings"]
    for name, old in before["settings"].items():
        entry = after[name]
        value = entry["value"] if isinstance(entry, dict) else entry
        assert value == left.get(name, found.get(name, old))
        if name not in touched:
            assert entry == old
        else:
            assert entry["why"] == "said"
            assert "read_back" not in entry or entry["read_back"] == found.get(name)
    own = ("settings", "visit", "counters")
    assert {key: texts["as left"][key] for key in before if key not in own} == {
        key: before[key] for key in before if key not in own
    }
    last = date.fromisoformat(before["visit"]["on"])  # what was not read keeps the day on which it was
    assert texts["as left"]["counters"] == {
        name: {"value": value, "on": last} for name, value in before["counters"].items()
    }


# what is refused ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (('serial = "K-1"', 'serial = "K-2"'), "the readings are of serial K-2, the profile is of K-1"),
        (('serial = "K-1"', ""), "serial is missing"),
        (('serial = "K-1"', 'serial = "K-1"\ncontrol = "other"'), "the readings are of control other"),
        ((', why = "put back"', ""), ""),  # put back to what is recorded: no reason is needed
        (('value = 206, read_back = 206, why = "put back"', "value = 208"), "high limit is left at 208 F, before 206"),
        (('high_limit = { value = 206, read_back = 206, why = "put back" }', ""), "high limit is left at 210 F"),
        (('why = "put back"', 'why = "  "'), ""),
        (("2026-11-24", "2026-11-26"), "is in the future"),
        (("heating_setpoint = 170", "heating_setpiont = 170"), "unknown key heating_setpiont"),
        (("heating_setpoint = 170", 'heating_setpoint = "hot"'), "expected a number"),
    ],
)
def test_readings_that_are_refused(work: Work, change: tuple[str, str], expected: str) -> None:
    text = READINGS.replace(*change)
    assert text != READINGS
    if expected:
        assert expected in wrong(work, text)
    else:
        assert planned(work, text).steps


def test_a_reason_is_asked_for_by_class_only(work: Work) -> None:
    text = 'serial = "K-1"\n[left]\nheating_setpoint = 160\n'
    assert planned(work, text).steps
    assert "a reason is needed (hygiene)" in wrong(work, text + "tank_setpoint = 130\n")
    assert planned(work, text + 'tank_setpoint = { value = 130, why = "plan" }\n').steps


def test_firing_set_without_a_licence_is_said(work: Work) -> None:
    text = READINGS + 'minimum_fan_speed = { value = 1400, why = "noise" }\n'
    assert not any("fan speed" in one for one in planned(work, text).remarks)
    remarks = planned(work, text.replace("gas-licensed", "heating")).remarks
    assert any("minimum fan speed set by a heating technician: Licensed gas work" in one for one in remarks)


def test_a_setting_that_the_control_lacks(work: Work) -> None:
    assert "has no reset slope" in wrong(work, READINGS + "reset_slope = 1.2\n")


def test_a_serial_number_that_the_profile_lacks_is_said_not_to_be_stored(work: Work) -> None:
    path = work.folder / PROFILE
    lines = path.read_text().splitlines(keepends=True)
    path.write_text("".join(line for line in lines if not line.startswith("serial")))
    work.commit("no serial")
    visit = planned(work, READINGS)
    told = [one for one in visit.remarks if "serial" in one]
    assert told == [
        "serial K-1 read, none in the profile: nothing proves that this is the right boiler. Write it as serial in"
        " [plant] and commit"
    ]
    assert all(b"K-1" not in step.text for step in visit.steps)
    unread = planned(work, READINGS.replace('serial = "K-1"', ""))
    assert "the profile records no serial number: nothing proves that this is the right boiler" in unread.remarks


def refused(work: Work, text: str = READINGS) -> str:
    before = state(work)
    with pytest.raises(NoHistory) as error:
        done(work, text)
    assert state(work) == before
    return str(error.value)


def test_repositories_that_are_refused(work: Work, tmp_path: Path) -> None:
    head = work.git("rev-parse", "HEAD").strip()
    path = work.folder / PROFILE
    text = path.read_text()
    path.write_text(text + "# changed\n")
    assert "changes that are not committed" in refused(work)
    work.git("add", PROFILE)
    path.write_text(text)
    assert "staged changes" in refused(work)
    work.git("reset", "-q", "--hard")
    work.git("checkout", "-q", head)
    assert "detached head" in refused(work)
    work.git("checkout", "-q", "main")
    (work.folder / ".git/MERGE_HEAD").write_text(head + "\n")
    assert "a merge is under way" in refused(work)
    (work.folder / ".git/MERGE_HEAD").unlink()
    empty = Work(tmp_path / "empty")
    empty.profile()
    with pytest.raises(NoHistory, match="no commit yet"):
        read(empty, READINGS)
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2"})
    with pytest.raises(NoHistory, match="is in no commit yet"):
        read(work, READINGS, "sites/mill/boiler-2.toml")


def test_a_link_is_not_written_through(work: Work, tmp_path: Path) -> None:
    outside = tmp_path / "outside.toml"
    path = work.folder / PROFILE
    outside.write_bytes(path.read_bytes())
    path.unlink()
    path.symlink_to(outside)
    with pytest.raises(NoHistory, match="symbolic link"):
        done(work, READINGS)
    assert outside.read_bytes() == work.git("show", f"HEAD:{PROFILE}").encode()


def test_an_identity_is_needed(work: Work, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    work.git("config", "--unset", "user.name")
    work.git("config", "--unset", "user.email")
    work.git("config", "user.useConfigOnly", "true")
    for name in ("GIT_AUTHOR_NAME", "GIT_AUTHOR_EMAIL", "GIT_COMMITTER_NAME", "GIT_COMMITTER_EMAIL", "EMAIL"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(tmp_path / "none"))
    monkeypatch.setenv("GIT_CONFIG_SYSTEM", str(tmp_path / "none"))
    monkeypatch.setenv("HOME", str(tmp_path / "none"))  # git before 2.32 looks there
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "none"))
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    assert "git does not know who commits" in refused(work)
    work.git("config", "user.name", "A. Berg")
    work.git("config", "user.email", "berg@example.org")
    with Repository(work.folder) as repository:
        assert who(repository) == "A. Berg"
    done(work, READINGS)
    assert work.git("log", "-2", "--format=%an %ae %cn").split("\n")[:2] == ["A. Berg berg@example.org A. Berg"] * 2


def test_a_dry_run_shows_both_diffs(work: Work) -> None:
    before = state(work)
    visit = planned(work, READINGS)
    with Repository(work.folder) as repository:
        check(repository, visit)
    diff = visit.diff()
    assert "-high_limit = 206\n+high_limit = { value = 210, read_back = 210 }" in diff
    assert "-high_limit = { value = 210, read_back = 210 }\n+high_limit = { value = 206, read_back = 206" in diff
    assert state(work) == before
