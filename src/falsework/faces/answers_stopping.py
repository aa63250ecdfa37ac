"""What may stand in an answer on a stop on battery, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.head import head_schema
from falsework.faces.shapes import Schema, amount, flag, list_, maybe, names, object_, or_null, ref, text


def stopping_schema() -> dict[str, Schema]:
    """The shapes of this answer, and of what is in it, by name."""
    return {
        "shutdown": object_(
            **head_schema("shutdown", "1 where a battery is too short or a message does not arrive"),
            cut=names("the sources of power that are cut"),
            batteries=list_(ref("battery"), "those that say when they signal"),
            silent=list_(
                object_(ups=text("the battery"), empty_s=maybe("when it is empty; null for never")),
                "those that carry something and never signal",
            ),
            machines=list_(ref("machine that stops"), "all that are told, in lab order"),
            circles=list_(names("what leans on each other"), "these are taken to stop one after another"),
        ),
        "battery": object_(
            ups=text("the battery"),
            runtime_s=maybe("when it is empty, its load taken as constant; null for never"),
            load_w=amount("what it carries at first, W"),
            trips=flag("whether it ends because it is asked for more than it carries"),
            falling_s=maybe("when it is empty at the load as it falls; null for never"),
            signal_s=amount("when it tells the machines to stop"),
            cuts_s=maybe("when it switches its outlets off; null where it does not"),
            spare_s=_seconds(
                "the least time between a stop and the end of its power; negative where cut hard"
            ),
            latest_signal_s=_seconds(
                "the latest moment at which the signal would still do; negative if none"
            ),
            done=list_(
                object_(
                    thing=text("its name"),
                    starts_s=amount("when it begins"),
                    at_s=amount("when it has stopped"),
                ),
                "what it carries, first to stop first; seconds after the cut",
            ),
            path=names("what the last one waited for, one after the other, itself at the end"),
            cut_hard=names(
                "what is still stopping when its power ends, the load taken as constant; last first"
            ),
            cut_falling=names("the same at the load as it falls"),
            cut_off=names("what is still stopping when the outlets are switched off"),
            unreached=names("whom the message does not reach"),
            slow=names("whom it reaches at the signal only: the way is down when their turn comes"),
            left_on=names("machines on it that nobody tells"),
            dark=names("what it should tell and has no power from the cut on"),
            needless=names("machines that are told to stop although another feed goes on"),
            uncounted=names("machines on it whose draw nobody says"),
            ways=list_(ref("way of a message"), "one for each whom it tells"),
            returns=or_null(ref("return half-way")),
        ),
        "way of a message": object_(
            to=text("whom it tells"),
            sender=text("who sends it"),
            hops=list_(
                object_(
                    name=text("a switch or machine"), until_s=maybe("how long it has power; null for always")
                ),
                "sender first; empty where the wire does not lead there, or nobody says",
            ),
            until_s=maybe("how long all of them have power; null for always"),
            arrives=flag("whether it arrives when it is sent"),
            lasts=flag("whether the way is still there when the receiver's turn comes"),
        ),
        "machine that stops": object_(
            name=text("a node"),
            told_by=text("the battery whose signal comes first"),
            told_s=amount("when"),
            starts_s=amount("when it begins to stop itself"),
            done_s=amount("when it has stopped"),
            power_s=maybe("how long it has power, loads taken as constant; null where another feed goes on"),
            falling_s=maybe("the same at the load as it falls"),
            batteries=names("those behind its supplies"),
            elsewhere=names("what else its supplies hang on than the battery that tells it"),
            after=text("what it does when its power was gone and is back"),
            stays_off=or_null(ref("between")),
            from_afar=flag("whether it has a management controller to be switched on by"),
        ),
        "between": object_(from_s=amount("the first moment"), to_s=maybe("the last; null for no end")),
        "return half-way": object_(
            window=or_null(ref("between")),
            worst_s=maybe("the first moment at which a return leaves most of them off"),
            off=names("those that stay off then"),
            elsewhere=names(
                "those of them that have a cord on something else, and so never see their power go"
            ),
            set_off=names("those that are set to stay off whenever the power returns"),
        ),
    }


def _seconds(says: str) -> Schema:
    """A number, perhaps negative, or null for no end."""
    return or_null({"type": "number", "description": says})
