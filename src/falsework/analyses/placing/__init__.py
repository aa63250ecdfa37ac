"""Where should each copy run?"""

from falsework.analyses.placing.result import Filled, Level, Move, Placing, Reason
from falsework.analyses.placing.whole import place_lab

__all__ = ["Filled", "Level", "Move", "Placing", "Reason", "place_lab"]
