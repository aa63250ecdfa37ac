"""How are drawn years of a service, and of data, said?"""

from __future__ import annotations

from falsework import units
from falsework.analyses.years.result import PERCENTS, DataYears, ServiceYears
from falsework.faces.amounts import figure_said, minutes_said, often_said, share_said
from falsework.units import Dimension

SHOWN = (50, 95, 99)
"""The percentiles that the table has; `--json` has all."""

HEAD = ("", "mean", *(f"{percent} %" for percent in SHOWN), "longest", "none in", "outages")


HEAD_SAYS = (
    "Time down in a year; 95 %: so many percent of years have no more; longest: the longest single outage; "
    "none in: years without any; outages: in a year, short ones too."
)


DRAWN = (
    "These years are drawn, not lived: they are as good as the figures in the lab file, and know of no fault that it "
    "does not name."
)


def row(each: ServiceYears) -> tuple[str, ...]:
    """A service with its figures, as `HEAD` names them."""
    percentiles = dict(zip(PERCENTS, each.percentiles_min, strict=True))
    return (
        each.service,
        minutes_said(each.mean_min),
        *(minutes_said(percentiles[percent]) for percent in SHOWN),
        minutes_said(each.longest_min),
        share_said(each.spotless),
        figure_said(float(f"{each.outages:.2g}")),
    )


def data_said(each: DataYears) -> str:
    """How often data are gone, and how often they come from a backup."""
    if each.none_in is not None:
        return f"never lost; with 95 % confidence less than {often_said(1.0 / each.none_in)}"
    said = []
    if each.gone > 0:
        said.append(f"gone, its backups too, {figure_said(each.gone)} times in 1,000 years")
    if each.restores > 0:
        work = ""
        if each.work_lost_h is not None:
            middle, most = (units.format(hours * 3600.0, Dimension.TIME) for hours in each.work_lost_h)
            work = f", with {middle} of work lost, in 95 % of cases no more than {most}"
        said.append(f"restored from a backup {figure_said(each.restores)} times in 1,000 years{work}")
    return "; ".join(said)
