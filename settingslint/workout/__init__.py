"""Temperatures and times calculated from the recorded facts, with the working. Never a fan, gas, rate or limit value.

Each step gives settings with their working, or says why it can't: a fact that is missing, or a demand that no value of
this control meets. What the rules of heating, reset and hot water still find after that is told too.
"""

from settingslint.workout.steps import Remains, Step, Workout
from settingslint.workout.work import calculate

__all__ = ["Remains", "Step", "Workout", "calculate"]
