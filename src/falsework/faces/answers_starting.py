"""What may stand in an answer on a cold start or a stop on battery, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.answers_stopping import stopping_schema
from falsework.faces.head import head_schema
from falsework.faces.shapes import Schema, amount, flag, list_, maybe, names, object_, ref, text

STARTING = ("cold-start", "shutdown")
"""The answers that are told of here."""


def starting_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "cold-start": object_(
            **head_schema("cold-start", "1 where something does not come back"),
            hands=flag("whether people are there, who switch on what stays off"),
            outside=flag("whether what is outside is counted on"),
            off_s=maybe("how long the power was out; null where nobody asked"),
            whole=flag("whether everything comes back"),
            up=list_(ref("at a time"), "what comes up, earliest first; seconds after the power is back"),
            stuck=names("services, machines and alarms that stay down"),
            circles=list_(names("each waits for the next; ends where it began"), "smallest first"),
            by_hand=names("what stays off until a hand switches it on"),
            too_early=names("what tried once, before what it needs was there"),
            expired=names("keys that ran out while the power was out, counted from fresh"),
            doubtful=names("keys that ran out only if they were not fresh when the power went"),
        ),
        **stopping_schema(),
        "at a time": object_(thing=text("its name"), at_s=amount("when")),
    }
