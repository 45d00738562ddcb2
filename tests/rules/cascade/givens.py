"""What the tests of the cascade rules share."""

from __future__ import annotations

from typing import Final

FOLLOWER: Final = {"settings.cascade_role": "follower"}
SIGNAL: Final = {"settings.external_signal": "temperature"}
