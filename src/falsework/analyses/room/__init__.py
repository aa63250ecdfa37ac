"""Is there room for the load and for the data when something is gone?"""

from falsework.analyses.room.result import (
    RESOURCES,
    After,
    Amounts,
    Domain,
    Heal,
    Held,
    Hole,
    Homeless,
    More,
    PoolLeft,
    Restart,
    RoomLeft,
    StoreRoom,
)
from falsework.analyses.room.whole import room_left

__all__ = [
    "RESOURCES",
    "After",
    "Amounts",
    "Domain",
    "Heal",
    "Held",
    "Hole",
    "Homeless",
    "More",
    "PoolLeft",
    "Restart",
    "RoomLeft",
    "StoreRoom",
    "room_left",
]
