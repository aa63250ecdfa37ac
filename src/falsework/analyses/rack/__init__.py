"""What stands in each rack, what does it weigh, and could it tip?"""

from falsework.analyses.rack.result import (
    Lift,
    Loose,
    Mounted,
    Pulled,
    Racks,
    RackSheet,
    Rolling,
    TakenOut,
)
from falsework.analyses.rack.whole import racks

__all__ = [
    "Lift",
    "Loose",
    "Mounted",
    "Pulled",
    "RackSheet",
    "Racks",
    "Rolling",
    "TakenOut",
    "racks",
]
