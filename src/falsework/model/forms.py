"""Which forms may the value of a key have? The one door to all of them."""

from falsework.model.compound import (
    Bound,
    Inside,
    Keyed,
    Listed,
    Names,
    Refs,
    expanded,
    mapping_of,
)
from falsework.model.holding import Holding, PortNames, Ports, Runtimes, Set
from falsework.model.simple import (
    Addresses,
    Amount,
    Choice,
    Count,
    Day,
    Flag,
    Ranged,
    Seen,
    Subnet,
    Text,
    Watched,
)

__all__ = [
    "Addresses",
    "Amount",
    "Bound",
    "Choice",
    "Count",
    "Day",
    "Flag",
    "Holding",
    "Inside",
    "Keyed",
    "Listed",
    "Names",
    "PortNames",
    "Ports",
    "Ranged",
    "Refs",
    "Runtimes",
    "Seen",
    "Set",
    "Subnet",
    "Text",
    "Watched",
    "expanded",
    "mapping_of",
]
