"""Sources that findings cite: practice, physics, and published texts with their edition."""

from __future__ import annotations

from typing import Final

COMMON_PRACTICE: Final = "common practice, no source"
ARITHMETIC: Final = "follows from the recorded values"
CONTROL_FILE: Final = "the control file, with its evidence"
EN_442: Final = "EN 442-2:2014, output against excess temperature"
EN_1264: Final = "EN 1264-2, heated floors; check the local rule"
HSE_HSG274: Final = "HSE HSG274 part 2 (2014): tank at 60 C, tap at 50 C; check the local rule"
CDC_TOOLKIT: Final = (
    "CDC, controlling Legionella in potable water systems: circulating above 120 F; check the local rule"
)
CPSC_5098: Final = "US CPSC document 5098, Tap Water Scalds"
NFPA_54: Final = "NFPA 54, input against elevation (two readings in use); the listing and the local rule govern"
CSD_1: Final = "ASME CSD-1, controls and limit devices (from memory); check the local rule"
APPLIANCE_RULE: Final = (
    "10 CFR 430.32(e) (from memory) and Washington Administrative Code 51-11R-40315: supply temperature follows the"
    " load; check the local rule"
)
