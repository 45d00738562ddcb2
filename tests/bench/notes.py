"""What notes cost over a long history, beside `git log -p` of the same repository in the same run.

    python -m tests.bench.notes [COMMITS [PROFILES]]

A commit changes one to three settings of one profile; one in a hundred changes a control file that ten profiles use.
The same kind of history is read with twenty times the profiles too, where what changed is as much as before, and over a
tenth of the commits. Seconds are of the processor, git's own included, so that other work on the machine counts little.
`each commit`: what every commit changed, in effective values. `whole note`: the notes over all of them, where every
plant that changed is audited before and after.
"""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Final

from settingslint.history.notes import notes
from settingslint.history.repository import Repository
from settingslint.history.snapshots import Snapshots
from settingslint.history.walk import events
from settingslint.rules import all_rules
from tests.bench.portfolio import PEOPLE, TYPED, make, toml

WHEN: Final = 1_760_000_000


def history(folder: Path, commits: int, profiles: int, seed: int = 1) -> None:
    """Make a repository with a portfolio and so many commits after the first."""
    chance = random.Random(seed)
    files = make(folder, profiles, seed)
    subprocess.run(["git", "init", "-q", "-b", "main", str(folder)], check=True)
    stream = subprocess.Popen(
        ["git", "fast-import", "--quiet"],
        cwd=folder,
        stdin=subprocess.PIPE,
        env={**os.environ, "GIT_CONFIG_COUNT": "0"},
    )
    assert stream.stdin is not None
    texts = {file: file.read_text(encoding="utf-8") for file in (*files, *sorted((folder / "controls").glob("*.toml")))}
    rare = folder / "controls" / "rare.toml"
    texts[rare] = texts[rare.with_name("kit.toml")].replace('name = "kit"', 'name = "rare"')
    for file in files[:10]:
        texts[file] = re.sub('control = "kit.*"', 'control = "rare"', texts[file])
    texts[folder / "portfolio.toml"] = (folder / "portfolio.toml").read_text(encoding="utf-8")
    for chunk in _commits(folder, files, texts, commits, chance):
        stream.stdin.write(chunk)
    stream.stdin.close()
    if stream.wait():
        raise SystemExit("git fast-import failed")
    subprocess.run(["git", "reset", "-q", "--hard", "main"], cwd=folder, check=True)


def _commits(
    folder: Path, files: list[Path], texts: dict[Path, str], commits: int, chance: random.Random
) -> Iterator[bytes]:
    yield _commit(folder, texts, list(texts), 0, "first record", "R. Holm")
    for number in range(1, commits + 1):
        if number % 100 == 0:
            file = folder / "controls" / "rare.toml"
            texts[file] = _edited(texts[file], "step", str(chance.choice([1, 2])), 1)
        else:
            file = chance.choice(files)
            for name in chance.sample(sorted(TYPED), chance.randint(1, 3)):
                texts[file] = _edited(texts[file], name, toml(chance.choice(TYPED[name])), 0)
        yield _commit(folder, texts, [file], number, f"Visit {number}", chance.choice(PEOPLE))


def _edited(text: str, name: str, value: str, nth: int) -> str:
    lines = text.split("\n")
    places = [index for index, line in enumerate(lines) if line.startswith(f"{name} = ")]
    if len(places) > nth:
        lines[places[nth]] = f"{name} = {value}"
    return "\n".join(lines)


def _commit(folder: Path, texts: dict[Path, str], files: list[Path], number: int, message: str, author: str) -> bytes:
    when = WHEN + number * 7200
    who = f"{author} <{author[0].lower()}@example.org> {when} +0000"
    parts = [f"commit refs/heads/main\nauthor {who}\ncommitter {who}\ndata {len(message)}\n{message}\n".encode()]
    for file in files:
        content = texts[file].encode()
        parts.append(f"M 100644 inline {file.relative_to(folder).as_posix()}\ndata {len(content)}\n".encode())
        parts.append(content + b"\n")
    return b"".join(parts)


def seconds(work: Callable[[Path, int], None], folder: Path, count: int) -> float:
    """Return the processor seconds that something takes, with those of the programs that it runs."""
    start = os.times()
    work(folder, count)
    return sum(os.times()[:4]) - sum(start[:4])


def log(folder: Path, count: int) -> None:
    """Let git print the patches of the last commits."""
    words = ["git", "-c", "core.pager=cat", "log", "-p", "--no-color", f"-{count}", "main"]
    subprocess.run(words, cwd=folder, check=True, stdout=subprocess.DEVNULL)


def each(folder: Path, count: int) -> None:
    """Tell what each of the last commits changed, in effective values."""
    with Repository(folder) as repository:
        old, new = (repository.commit(repository.resolve(one)) for one in (f"main~{count}", "main"))
        for _ in events(Snapshots(repository, folder), old, new, date(2026, 11, 25)):
            pass


def whole(folder: Path, count: int) -> None:
    """Make the notes from before the last commits to now, with findings, cautions and proofs."""
    with Repository(folder) as repository:
        notes(repository, folder, f"main~{count}..main")


def main() -> None:
    """Run the benchmark and print a table."""
    commits, profiles = (int(one) for one in (*sys.argv[1:], *("1000", "200")[len(sys.argv) - 1 :]))
    all_rules()
    print(f"{'commits':>8} {'profiles':>9} {'git log -p':>11} {'each commit':>12} {'ratio':>6}", end="")
    print(f" {'whole note':>11} {'ratio':>6}")
    with tempfile.TemporaryDirectory() as place:
        for plants in (profiles, profiles * 20):
            folder = Path(place) / str(plants)
            history(folder, commits, plants)
            log(folder, commits)
            for count in (commits // 10, commits):
                git, own, note = (seconds(work, folder, count) for work in (log, each, whole))
                print(f"{count:8} {plants:9} {git:10.2f}s {own:11.2f}s {own / git:6.1f}", end="")
                print(f" {note:10.2f}s {note / git:6.1f}", flush=True)


if __name__ == "__main__":
    main()
