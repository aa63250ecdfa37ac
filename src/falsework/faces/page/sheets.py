"""Which sheets is the page made of?"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One of the set.

    Attributes:
        path: its address.
        name: as the list of sheets says it.
        says: what it shows, in a sentence without its full stop.
    """

    path: str
    name: str
    says: str


SHEETS = (
    Sheet(path="/", name="Elevation", says="The lab from the front; pull a plug and see what falls"),
    Sheet(
        path="/failures",
        name="Failure map",
        says="Everything that can be lost, by what it does to each service",
    ),
    Sheet(
        path="/aims",
        name="Aims and findings",
        says="What you want to be true, what breaks it, how to mend it",
    ),
    Sheet(path="/year", name="The year", says="How often and how long services are out"),
    Sheet(
        path="/build", name="The build", says="In which order it is raised, and what is fragile on the way"
    ),
    Sheet(
        path="/places", name="Where copies run", says="Whether there is room, and where each copy should run"
    ),
    Sheet(
        path="/hardware",
        name="Rack, power, wire, drives",
        says="Weight, watts, noise, ports, addresses and layouts",
    ),
    Sheet(
        path="/drills",
        name="The drills",
        says="What is worth trying on purpose, when, and whether it may be done today",
    ),
    Sheet(
        path="/stopwatch",
        name="What was seen",
        says="What users see of the lab, live in a drill, and what was seen before",
    ),
    Sheet(
        path="/diagnosis",
        name="What broke",
        says="Which part it most likely was, from what fails and what is answered, and what to look at next",
    ),
    Sheet(path="/file", name="The file", says="The lab file itself, edited with help"),
)
"""In the order in which the list has them."""
