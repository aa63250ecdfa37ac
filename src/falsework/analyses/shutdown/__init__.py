"""Does each battery last until what it carries has stopped in order, and does the message to stop arrive?"""

from falsework.analyses.shutdown.result import Shutdown, Stop
from falsework.analyses.shutdown.stop import shutdowns, stop

__all__ = ["Shutdown", "Stop", "shutdowns", "stop"]
