"""Which things wait for each other, and what is the cheapest way out?"""

from falsework.analyses.loops.find import loops
from falsework.analyses.loops.result import KINDS, Cut, Cuts, Link, Loop, Loops

__all__ = ["KINDS", "Cut", "Cuts", "Link", "Loop", "Loops", "loops"]
