"""Which figures do layouts of drives hang on, and what is taken where the lab file gives none?"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from falsework.model.defaults import FIELD_STUDY
from falsework.support.figure import Figure

SPEED = Figure(
    key="speed",
    value=150e6,
    low=80e6,
    high=250e6,
    says="150 MB/s",
    source="common practice for drives that spin",
)
READ_ERRORS = Figure(
    key="read errors",
    value=1e-14,
    low=1e-15,
    high=1e-14,
    says="1e-14 /bit",
    source="the figure of data sheets of desktop drives, as S. R. Hetzler (2012) reckons with; others say 1e-15",
)
DRAWS = Figure(
    key="draws", value=6.5, low=4.0, high=9.0, says="4..9 W", source="common practice for drives that spin"
)
FAILS = Figure(key="fails", value=0.03, low=0.02, high=0.04, says="2..4 %/year", source=FIELD_STUDY)
IN_COMMON = Figure(
    key="with others",
    value=0.06,
    low=0.02,
    high=0.10,
    says="2..10 %",
    source="the range of beta factors that IEC 61508-6:2010, annex D works with",
)
REBUILD_GETS = Figure(
    key="rebuild gets",
    value=0.5,
    low=0.2,
    high=1.0,
    says="50 %",
    source="assumed; the load takes the other half",
)
BAYS = Figure(
    key="bays",
    value=2,
    low=1,
    high=4,
    says="2 free ones",
    source="assumed for a machine of which none are told",
)

ALL: tuple[Figure, ...] = (SPEED, READ_ERRORS, DRAWS, FAILS, IN_COMMON, REBUILD_GETS, BAYS)

Figures = Mapping[str, float]
"""By key, what to take instead; what is not in it is taken as above."""

AS_TAKEN: Figures = MappingProxyType({})
"""Nothing is taken otherwise."""
