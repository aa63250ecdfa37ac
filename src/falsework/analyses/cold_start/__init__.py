"""Does the lab come back by itself after the power has been out, and what is it stuck on?"""

from falsework.analyses.cold_start.blocked import Blocked, How, Mend, Reason, Root, Stuck, Why
from falsework.analyses.cold_start.result import ColdStart
from falsework.analyses.cold_start.start import cold_start
from falsework.analyses.cold_start.why import why_stuck

__all__ = ["Blocked", "ColdStart", "How", "Mend", "Reason", "Root", "Stuck", "Why", "cold_start", "why_stuck"]
