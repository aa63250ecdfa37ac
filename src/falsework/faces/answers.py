"""What may stand in an answer, as JSON Schema (draft 2020-12), for programs that read it?"""

from __future__ import annotations

from falsework.analyses.taking_down import What
from falsework.faces.answers_addresses import ADDRESSES, addresses_schema
from falsework.faces.answers_chances import CHANCES, chances_schema
from falsework.faces.answers_compare import COMPARING, comparing_schema
from falsework.faces.answers_diagnosis import DIAGNOSIS, diagnosis_schema
from falsework.faces.answers_drill import DRILL, drill_schema
from falsework.faces.answers_drills import DRILLS, drills_schema
from falsework.faces.answers_drives import DRIVES, drives_schema
from falsework.faces.answers_evidence import EVIDENCE, evidence_schema
from falsework.faces.answers_loops import LOOPS, loops_schema
from falsework.faces.answers_mends import MENDS, mends_schema
from falsework.faces.answers_noise import NOISE, noise_schema
from falsework.faces.answers_placing import PLACING, placing_schema
from falsework.faces.answers_power import POWER, power_schema
from falsework.faces.answers_rack import RACK, rack_schema
from falsework.faces.answers_raising import RAISING, raising_schema
from falsework.faces.answers_rebuild import REBUILDING, rebuild_schema
from falsework.faces.answers_record import RECORD, record_schema
from falsework.faces.answers_room import ROOM, room_schema
from falsework.faces.answers_starting import STARTING, starting_schema
from falsework.faces.answers_wire import WIRE, wire_schema
from falsework.faces.errors import FORMAT
from falsework.faces.head import head_schema
from falsework.faces.shapes import (
    Schema,
    amount,
    count,
    flag,
    list_,
    names,
    object_,
    or_null,
    ref,
    text,
    texts,
    verdict,
)
from falsework.faces.taken import taken_schema


def answers_schema() -> Schema:
    """The schema of every answer that `--json` gives: one shape a command, and one for errors."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "An answer",
        "description": "What `falsework check` and the other commands print with --json.",
        "oneOf": [
            ref("check"),
            ref("lose"),
            ref("why"),
            ref("why lost"),
            *map(
                ref,
                (
                    *ADDRESSES,
                    *CHANCES,
                    *COMPARING,
                    *DRILL,
                    *DRILLS,
                    *DIAGNOSIS,
                    *DRIVES,
                    *EVIDENCE,
                    *LOOPS,
                    *MENDS,
                    *NOISE,
                    *PLACING,
                    *POWER,
                    *RACK,
                    *RAISING,
                    *REBUILDING,
                    *RECORD,
                    *ROOM,
                    *STARTING,
                    *WIRE,
                ),
            ),
            ref("errors"),
        ],
        "$defs": {
            "check": _answer(
                "check",
                aims=list_(ref("aim"), "every aim of the lab file, in its order"),
                findings=list_(ref("finding"), "worst first"),
                services=list_(ref("margin of a service"), "every service and alarm, in lab order"),
                assumed=list_(ref("assumed"), "the figures that the lab file does not give"),
            ),
            "lose": _answer(
                "lose",
                lost=names("the parts; a store is told as its drives"),
                worst=verdict(),
                services=list_(ref("effect with reasons"), "every service and alarm, in lab order"),
                margin=list_(
                    object_(
                        service=text("its name"),
                        single_points=names("parts that would bring it down now, and would not have before"),
                    ),
                    "services that have such parts",
                ),
                taking_down=_taking_down(),
            ),
            "why": _answer(
                "why",
                **_thing(),
                stands=flag("whether it stands, or comes back by itself, with nothing more lost"),
                leans=list_(ref("lean"), "its own, then those of its copies and supplies"),
                margin=object_(
                    least={
                        "description": "the fewest parts whose loss makes it fall; null for more than two",
                        "enum": [0, 1, 2, None],
                    },
                    single_points=names("other parts that bring it down alone"),
                    n_pairs=count("pairs of parts that bring it down only together"),
                    pairs=list_(names("two parts"), "some of them, one for each sort of pair"),
                ),
            ),
            "why lost": _answer(
                "why",
                **_thing(),
                lost=names("the parts; a store is told as its drives"),
                effect=ref("effect"),
                chain=list_(
                    ref("reason"), "from the thing to the lost part; empty where it is not interrupted"
                ),
            ),
            **addresses_schema(),
            **chances_schema(),
            **comparing_schema(),
            **diagnosis_schema(),
            **drives_schema(),
            **drill_schema(),
            **drills_schema(),
            **evidence_schema(),
            **loops_schema(),
            **mends_schema(),
            **noise_schema(),
            **placing_schema(),
            **power_schema(),
            **rack_schema(),
            **raising_schema(),
            **rebuild_schema(),
            **record_schema(),
            **room_schema(),
            **starting_schema(),
            **wire_schema(),
            **taken_schema(),
            "errors": object_(
                format={"const": FORMAT},
                command=text("which command"),
                status={"const": 2},
                errors=list_(ref("error"), "in the order of their places"),
                more_errors=count("errors that were counted but are not listed"),
            ),
            "aim": object_(
                name=text("as in the lab file"),
                met={"description": "null where it can't be judged", "enum": [True, False, None]},
                says=text("one sentence without its full stop"),
                why=texts("the chain for the loss that breaks it"),
                lost=names("the parts whose loss breaks it; empty where no loss does"),
                effect=or_null(ref("effect")),
                tried=count("losses that were looked at"),
                where=ref("place"),
            ),
            "finding": object_(
                key=text("a name by which it is found again while the file says it where it does"),
                code=text("what kind of finding"),
                level={
                    "description": "broken where an aim is not met or a thing does not stand",
                    "enum": ["broken", "remark"],
                },
                says=text("one sentence without its full stop"),
                why=texts("the chain"),
                mend=text("what to do about it; may be empty"),
                caution=text("what to mind where hands or data can be hurt; may be empty"),
                things=names("what it is about"),
                services=names("whom it hurts"),
                where=or_null(ref("place")),
            ),
            "margin of a service": object_(
                id=text("its name"),
                single_points=names("parts that bring it down alone"),
                pairs=count("pairs of parts that bring it down only together"),
            ),
            "effect": object_(**_effect()),
            "effect with reasons": object_(
                **_effect(),
                already=flag("whether it is down before this loss"),
                why=list_(ref("reason"), "the chain; empty where it is not interrupted"),
            ),
            "reason": object_(thing=text("its name"), says=text("a clause"), where=or_null(ref("place"))),
            "lean": object_(
                role=text("why it leans"),
                says=text("the same in words"),
                on=names("on what"),
                enough={"type": "integer", "minimum": 0, "description": "how many of them must stand"},
                phases={"type": "array", "items": {"enum": ["to run", "to start"]}},
                hold_s=or_null(
                    {
                        "type": "number",
                        "minimum": 0,
                        "description": "how long it can do without; null: for ever",
                    }
                ),
                where=or_null(ref("place")),
            ),
            "assumed": object_(
                key=text("the key of the lab file that replaces it"),
                value=text("with its unit"),
                source=text("who says so"),
                things=names("for which things"),
            ),
            "error": object_(
                what=text("what is wrong"),
                mend=text("how to mend it; may be empty"),
                path=text("the way through the keys of the file; may be empty"),
                where=or_null(ref("place")),
            ),
            "place": object_(
                file=text("as it was named"),
                line={"type": "integer", "minimum": 1},
                column={"type": "integer", "minimum": 1, "description": "in characters"},
            ),
        },
    }


def _answer(command: str, **keys: Schema) -> Schema:
    return object_(**head_schema(command, "0 nothing broken, 1 something is"), **keys)


def _thing() -> dict[str, Schema]:
    return {
        "thing": text("its name"),
        "is": text("what it is: node, service, strip, ..."),
        "where": or_null(ref("place")),
    }


def _taking_down() -> Schema:
    return object_(
        may={"description": "whether they may be taken down now", "enum": ["yes", "yes, but", "no"]},
        says=text("the answer as one sentence without its full stop"),
        because=list_(
            object_(
                what={"description": "what speaks against it", "enum": [str(each) for each in What]},
                may={"description": "the answer that it alone would give", "enum": ["yes, but", "no"]},
                about=names("services, data or the aim"),
                says=text("a clause"),
                after_s={
                    "type": "number",
                    "minimum": 0,
                    "description": "seconds until it is so; 0 for at once",
                },
                why=list_(ref("reason"), "the chain; empty where there is none"),
            ),
            "worst first",
        ),
        first=texts("what to do before"),
        within_s=or_null(
            {"type": "number", "minimum": 0, "description": "how soon it has to be back; null: no hurry"}
        ),
        aims=names("the aims that were asked"),
        not_asked=list_(object_(name=text("an aim"), says=text("why it was not asked")), "the other aims"),
        caution=text("what to mind where hands or data can be hurt; may be empty"),
    )


def _effect() -> dict[str, Schema]:
    return {
        "id": text("its name"),
        "verdict": verdict(),
        "says": text("the verdict in words, with its time"),
        "falls_s": or_null(
            {
                "type": "number",
                "minimum": 0,
                "description": "seconds from the loss until it is interrupted; where it does not come back, "
                "until it is down for good",
            }
        ),
        "back_s": or_null(
            {"type": "number", "minimum": 0, "description": "seconds from the loss until it serves again"}
        ),
        "before": or_null(
            object_(
                falls_s=amount("seconds from the loss until it is interrupted first"),
                back_s=amount("seconds from the loss until it is back from that"),
            )
        ),
    }
