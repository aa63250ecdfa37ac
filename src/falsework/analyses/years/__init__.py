"""What would years of this lab look like?"""

from falsework.analyses.years.result import PERCENTS, DataYears, PartYears, ServiceYears, Years
from falsework.analyses.years.story import Hit, Lost, Mishap, Story
from falsework.analyses.years.words import headline, told
from falsework.analyses.years.years import years

__all__ = [
    "PERCENTS",
    "DataYears",
    "Hit",
    "Lost",
    "Mishap",
    "PartYears",
    "ServiceYears",
    "Story",
    "Years",
    "headline",
    "told",
    "years",
]
