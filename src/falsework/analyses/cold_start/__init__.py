"""Does the lab come back by itself after the power has been out, and what is it stuck on?"""

from falsework.analyses.cold_start.result import ColdStart
from falsework.analyses.cold_start.start import cold_start

__all__ = ["ColdStart", "cold_start"]
