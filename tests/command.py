"""The command line, run in this process: what it prints, and its status."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from settingslint import cli


class Said(NamedTuple):
    """What a command came to."""

    status: int
    out: str
    err: str


def run(folder: Path, *words: str, given: str = "", **environment: str) -> Said:
    """Run the program in a folder; no fault of the program stands in what it says."""
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", newline="") for _ in range(2))
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setattr(sys, "argv", ["settingslint", *words])
        patch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(given.encode()), "utf-8"))
        patch.setattr(sys, "stdout", out)
        patch.setattr(sys, "stderr", err)
        patch.setenv("XDG_CACHE_HOME", str(folder.parent / "cache"))
        for name, value in {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull, **environment}.items():
            patch.setenv(name, value)
        status: object = 0
        try:
            cli.main()
        except SystemExit as end:
            status = end.code or 0
    texts = []
    for stream in (out, err):
        stream.flush()
        stream.buffer.seek(0)
        texts.append(stream.buffer.read().decode("utf-8"))
    assert isinstance(status, int)
    assert "Traceback" not in texts[1], texts[1]
    return Said(status, *texts)
