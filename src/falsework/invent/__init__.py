"""What would a lab of this size look like, if somebody had one?"""

from __future__ import annotations

from falsework.invent.bare import invent_bare
from falsework.invent.copied import invent_copied
from falsework.invent.sized import LEAST, MOST, invent

__all__ = ["LEAST", "MOST", "invent", "invent_bare", "invent_copied"]
