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
from falsework.model.ratings import LEVELS as EFFICIENCY_LEVELS
from falsework.model.ratings import Efficiency, PerEnergy, Rating, Ratings, Tariff
from falsework.model.simple import (
    Addresses,
    Amount,
    Choice,
    Count,
    Day,
    Flag,
    Guess,
    Ranged,
    Seen,
    Subnet,
    Text,
    Watched,
)

__all__ = [
    "EFFICIENCY_LEVELS",
    "Addresses",
    "Amount",
    "Bound",
    "Choice",
    "Count",
    "Day",
    "Efficiency",
    "Flag",
    "Guess",
    "Holding",
    "Inside",
    "Keyed",
    "Listed",
    "Names",
    "PerEnergy",
    "PortNames",
    "Ports",
    "Ranged",
    "Rating",
    "Ratings",
    "Refs",
    "Runtimes",
    "Seen",
    "Set",
    "Subnet",
    "Tariff",
    "Text",
    "Watched",
    "expanded",
    "mapping_of",
]
