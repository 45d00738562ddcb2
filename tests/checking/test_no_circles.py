"""A plant that was audited is let go at once: what holds itself in a circle piles up over thousands of plants."""

from __future__ import annotations

import gc
import weakref
from datetime import date
from pathlib import Path

from settingslint.checking.audit import audit
from settingslint.files.finding import profile_files
from settingslint.files.reader import Reader
from settingslint.history.past import Looker
from settingslint.rules import all_rules

EXAMPLE = Path(__file__).parents[2] / "profiles"


def test_no_plant_outlives_its_audit() -> None:
    reader, rules = Reader(EXAMPLE, date(2026, 11, 25), history=Looker(EXAMPLE)), all_rules()
    files = list(profile_files(EXAMPLE))
    audit(reader.plant(files[0]), rules)
    gc.collect()
    gc.disable()
    try:
        held = []
        for file in files:
            plant = reader.plant(file)
            gone, result = weakref.ref(plant), audit(plant, rules)
            del plant
            held += [file.parent.name] if gone() is not None else []
            assert result.checked
        assert held == []
    finally:
        gc.enable()
