"""A lab's open places as a problem of items and bins."""

from falsework.support.placing.scene import Scene, scene
from falsework.support.placing.whole import LEVELS, Placeable, placeable

__all__ = ["LEVELS", "Placeable", "Scene", "placeable", "scene"]
