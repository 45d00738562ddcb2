"""A profile as the steps of a treatment see it: questions about the setting or fact of a name, and their answers."""

from __future__ import annotations

from abc import ABC, abstractmethod

from settingslint.model.effect import NOT_RECORDED, Effect
from settingslint.model.profile import Profile
from settingslint.model.values import Value
from settingslint.units import System


class Known(ABC):
    """Each method answers one question; what another setting comes to is one of them."""

    def __init__(self, profile: Profile) -> None:
        self.profile = profile

    @abstractmethod
    def effect(self, name: str) -> Effect:
        """Return what a setting comes to."""

    def typed(self, name: str) -> Value | None:
        entry = self.profile.settings.get(name)
        return entry.typed if entry else None

    def read_back(self, name: str) -> Value | None:
        entry = self.profile.settings.get(name)
        return entry.read_back if entry else None

    def observed(self, name: str) -> Value | None:
        entry = self.profile.settings.get(name)
        return entry.observed if entry else None

    def left(self, name: str) -> str | None:
        """Return what is recorded in place of a value; `not recorded` where nothing is."""
        entry = self.profile.settings.get(name)
        return entry.left if entry else NOT_RECORDED

    def state(self, name: str) -> str:
        return self.effect(name).state

    def runs_at(self, name: str) -> Value | None:
        return self.effect(name).effective

    def fact(self, name: str) -> Value | None:
        return self.profile.fact_value(name)

    def system(self, _: str) -> System:
        return self.profile.system

    def size(self, _: str) -> str | None:
        return self.profile.size

    def fired(self, _: str) -> bool | None:
        """Return whether the burner has fired once; None where that is not recorded."""
        fired = self.profile.first_fired
        return fired if fired is None else fired is not False

    def since(self, _: str) -> tuple[str, ...]:
        return self.profile.since
