"""Which addresses does a lab give to whom, and under which names?"""

from falsework.analyses.addresses.result import (
    Addresses,
    Block,
    Called,
    Given,
    Net,
    Subnet,
    Trouble,
)
from falsework.analyses.addresses.whole import addresses

__all__ = ["Addresses", "Block", "Called", "Given", "Net", "Subnet", "Trouble", "addresses"]
