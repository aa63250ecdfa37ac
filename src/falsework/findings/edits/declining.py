"""Why is no edit offered for a finding?"""

from __future__ import annotations

from falsework.findings.finding import Finding


def why_none(finding: Finding) -> str:
    """Why no edit is offered for a finding, in a clause; for one for which edits are thought of as well."""
    return _NONE.get(
        finding.code,
        "nothing that was thought of makes it go away without breaking an aim or moving the weak spot",
    )


_NONE = {
    "never proved": "only a drill proves it: an edit that claims one would be a lie",
    "not watched": "only you know how its users ask it",
    "probe sees nothing known": "only you know what answers there",
    "down already": "the lab file contradicts what stands; only you know which is right",
    "not wired": "only you know where it is plugged in",
    "circle of switches": "only you know what your switches do",
    "can't be built": "only you know what could stand in",
    "order": "the order of work is yours; `falsework raise` writes one that has no slip",
    "drives not laid out": "how they are laid out is a choice; `falsework drives` compares the ways",
    "supply too small": "it takes another supply, and no words in the file",
    "too much heat": "it takes other machines or more cooling, and no words in the file",
    "battery old": "it takes a new battery, and no words in the file",
    "voltage does not fit": "only the label on the supply tells",
    "rack overloaded": "where to put what is taken out is yours to choose",
    "rack could tip": "where to mount what is heavy is yours to choose",
    "heavy high up": "where to mount what is heavy is yours to choose",
    "deeper than its rack": "it takes another rack or another machine, and no words in the file",
    "too loud": "it takes other machines or another room, and no words in the file",
    "one port is too few": "no arrangement of such machines on these switches does",
    "no port left": "it takes another switch, and no words in the file",
    "group of two speeds": "it takes other ports, and no words in the file",
    "traffic does not get through": "which cable is the right one to lay is yours to choose; `falsework wire` compares",
    "controllers out of reach": "which way in is the right one is yours to choose",
    "pause on the wire": "how long a service may do without is only yours to say",
    "unreadable in a rebuild": "another layout takes other drives; `falsework drives` compares them",
    "long without redundancy": "it takes a spare drive, and no words in the file",
    "pool too small": "which range is free is yours to choose",
    "subnet kept for others": "moving a subnet moves every address that somebody has learnt",
}
"""Kinds of finding for which no edit is thought of, and why."""
