"""What is wrong with an order of work that was written by hand?"""

from falsework.analyses.order.replay import replay
from falsework.analyses.order.result import Order, Slip

__all__ = ["Order", "Slip", "replay"]
