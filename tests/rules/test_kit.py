"""The kit's plant is correctly set: no rule finds anything, in any of its styles. Invented facts."""

from __future__ import annotations

import pytest

from settingslint.audit import audit
from settingslint.rules import all_rules
from tests.rules.kit import Style, make_plant


@pytest.mark.parametrize("style", ["one number", "two points", "slope and shift", "none"])
def test_no_rule_finds_anything_on_a_correctly_set_plant(style: Style) -> None:
    changes = {"boiler.condensing": False, "settings.minimum_return": 142} if style == "none" else {}
    result = audit(make_plant(changes, style=style), all_rules())
    assert [(one.rule, one.message) for one in result.findings] == []
