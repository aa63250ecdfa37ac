"""What stands in each rack, what does it weigh, and could it tip?"""

from falsework.analyses.rack.asking import way_of
from falsework.analyses.rack.result import (
    Leaning,
    Lift,
    Loose,
    Mounted,
    Pulled,
    Racks,
    RackSheet,
    Rolling,
    TakenOut,
    Way,
)
from falsework.analyses.rack.whole import racks

__all__ = [
    "Leaning",
    "Lift",
    "Loose",
    "Mounted",
    "Pulled",
    "RackSheet",
    "Racks",
    "Rolling",
    "TakenOut",
    "Way",
    "racks",
    "way_of",
]
