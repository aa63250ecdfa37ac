"""What may stand in an answer on the wire, as JSON Schema (draft 2020-12)?"""

from __future__ import annotations

from falsework.faces.head import head_schema
from falsework.faces.shapes import (
    Schema,
    amount,
    count,
    flag,
    list_,
    maybe,
    names,
    object_,
    or_null,
    ref,
    text,
    texts,
)

WIRE = ("wire",)
"""The answers that are told of here."""
_SAYS = "one sentence without its full stop"


def wire_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "wire": object_(
            **head_schema(
                "wire",
                "1 where traffic does not get through for want of room, or nothing cuts a circle of switches",
            ),
            says=text(_SAYS),
            holds=flag(
                "whether all traffic that has a way gets through after any one loss, and all circles are cut"
            ),
            lost=names("parts that were asked to be lost; they are among `out`"),
            machines=list_(ref("ports of a machine"), "each machine and switch with ports, in lab order"),
            cables=list_(ref("cable run"), "in lab order"),
            budget=list_(
                object_(
                    switch=text("its name"),
                    bit_s=maybe("of these ports; null where nobody says"),
                    ports=count("that there are"),
                    used=count("with a cable"),
                    free=count("without"),
                ),
                "by switch and speed",
            ),
            wanted=object_(
                machines=names("plugged in nowhere"),
                ports=list_(object_(bit_s=maybe("speed"), count=count("ports")), "that they would take"),
                short=count("of these that find no free port"),
                says=text("one sentence without its full stop; empty where all are plugged in"),
            ),
            groups=list_(ref("group of cables"), "sets of cables that do the same job"),
            circles=list_(ref("circle of switches"), "switches that are joined in more than one way"),
            pauses=list_(ref("pause"), "longest first"),
            one_port=list_(
                ref("one-port limit"), "services that need several copies, some on one-port machines"
            ),
            controllers=ref("controllers reached"),
            traffic=ref("traffic of services"),
            edges=list_(ref("edge of a switch"), "what the edge could ask of its uplinks"),
            between=or_null(ref("between two things")),
            taken=list_(ref("taken figure"), "figures that nobody gave"),
        ),
        **_layout(),
        **_survival(),
        **_traffic(),
    }


def _layout() -> dict[str, Schema]:
    return {
        "ports of a machine": object_(
            machine=text("its name"),
            word=text("node or switch"),
            free=count("ports without a cable"),
            ports=list_(
                object_(
                    port=text("its name"),
                    bit_s=maybe("its speed"),
                    cable={"type": ["string", "null"], "description": "the cable in it"},
                    label={"type": ["string", "null"], "description": "what is written on that"},
                    to={"type": ["string", "null"], "description": "the port at the other end"},
                    controller=flag("whether it is that of a management controller"),
                ),
                "in the order of the file",
            ),
        ),
        "cable run": object_(
            id=text("as elsewhere"),
            label=text("what to write on it; depends on its own ends alone"),
            ends=list_(
                object_(
                    machine=text("its name"),
                    port=text("its port"),
                    room={"type": ["string", "null"], "description": "its room"},
                    rack={"type": ["string", "null"], "description": "its rack"},
                    unit=maybe("its lowest rack unit"),
                    bit_s=maybe("speed of the port"),
                ),
                "two",
            ),
            bit_s=maybe("what it runs at; null where nobody says"),
            mismatched=flag("whether its ports have different speeds"),
            length_m=maybe("metres; null where it wants measuring"),
            proposed=flag("whether the length is a proposal"),
            colour=text("as said"),
            group=text("as said"),
            where=or_null(ref("place")),
        ),
    }


def _survival() -> dict[str, Schema]:
    return {
        "group of cables": object_(
            group=text("its name; empty for a machine that is plugged in more than once without one"),
            boxes=names("that it joins"),
            cables=names("its cables"),
            labels=names("what is written on them"),
            cards=names("the cards that its ports are on"),
            splits=flag("whether it goes to more than one box"),
            bit_s=list_({"type": "number"}, "the different speeds of its cables"),
            down=names("cables of it that carry nothing as it is"),
            survives=names("parts whose loss takes some of it and leaves a way"),
            fails=names("parts whose loss takes all of it though its machine stands"),
            isolated=names("those after which the machine has no other way"),
            says=text("a clause"),
            where=or_null(ref("place")),
        ),
        "circle of switches": object_(
            switches=names("in lab order"),
            cables=names("that lie on some circle"),
            ring=names("one circle, in order"),
            cut_by=list_(object_(switch=text("its name"), how=text("as said; may be empty")), "by switch"),
            uncut=names("one circle that nothing cuts; empty where there is none"),
            unsaid=names("switches that do not say"),
            says=text("a clause"),
            where=or_null(ref("place")),
        ),
        "pause": object_(
            lost=names("parts each of which alone does this"),
            seconds=amount("at most"),
            how=text("what it waits for"),
            apart=list_(
                names("machines"), "sets of machines that see only their own meanwhile, largest first"
            ),
            services=list_(
                object_(
                    service=text("its name"),
                    seconds=amount("for how long it pauses, at most"),
                    because=text("what can't see what"),
                    hold_s=amount("how long that may be away"),
                ),
                "longest first",
            ),
            bear_it=count("services that have holds long enough"),
            says=text(_SAYS),
        ),
        "one-port limit": object_(
            service=text("its name"),
            copies=count("that there are"),
            needed=count("that must see each other"),
            one_port=list_(object_(machine=text("its name"), copies=count("on it")), "with one port"),
            more_ports=names("the other machines"),
            switches=names("over which they may be spread"),
            falls_by=names("switches after whose loss too few see each other, as it is"),
            possible=flag("whether some way of plugging in the one-port machines survives any one switch"),
            arrangement=list_(object_(switch=text("its name"), copies=count("on it")), "the best there is"),
            left=count("copies that see each other after the worst loss, with that"),
            two_ports=or_null(count("machines that would want a second port; null where that does not help")),
            more_switches=or_null(count("switches more that would do instead")),
            says=text(_SAYS),
            mend=text("a clause; may be empty"),
            where=or_null(ref("place")),
        ),
        "controllers reached": object_(
            controllers=names("management controllers on the wire"),
            unplugged=names("those without a cable"),
            viewers=names("services that look, or somebody on the wire"),
            viewed_from=names("the machines or switches from which they are looked at"),
            never=names("that can't be reached with nothing lost"),
            never_says=text("the same as a sentence; may be empty"),
            after=list_(
                object_(
                    lost=names("parts each of which alone does this"),
                    controllers=names("that stand and can't be reached"),
                    all=flag("whether these are all that stand"),
                    why=texts("clauses"),
                    says=text(_SAYS),
                ),
                "worst first",
            ),
            at_start=names("that can't be reached while the machines with controllers are off"),
            start_says=text("the same as a sentence; may be empty"),
        ),
    }


def _traffic() -> dict[str, Schema]:
    return {
        "traffic of services": object_(
            now=ref("moment of traffic"),
            after=list_(ref("moment of traffic"), "losses after which something is short, worst first"),
            fullest=ref("moment of traffic"),
            together=or_null(
                object_(share=maybe("of all traffic that could get through at once"), full=names("full then"))
            ),
            copying=list_(
                object_(
                    what=text("backup or rebuild"),
                    of=text("the data or store"),
                    to=text("where it goes"),
                    bytes=amount("so much"),
                    bit_s=amount("the most that gets through"),
                    takes_s=maybe("at the least; null where there is no way"),
                    every_s=maybe("how often; null where not said"),
                    limit=names("what is full meanwhile"),
                    where=or_null(ref("place")),
                ),
                "whole copies, with nothing else on the wire",
            ),
            tried=count("single losses that were looked at"),
        ),
        "moment of traffic": object_(
            lost=names("parts each of which alone does this; empty for now"),
            short_bit_s=amount("what does not get through"),
            streams=list_(
                object_(
                    service=text("who sends"),
                    to=text("to whom"),
                    bit_s=amount("so much"),
                    fate=text("what becomes of it"),
                    gets_bit_s=amount("what arrives"),
                    short_bit_s=amount("what does not"),
                    cut_off_bit_s=amount("what has no way at all"),
                    tightest=text("the fullest on its way; may be empty"),
                    share=maybe("how full that is; 1 is full"),
                    one_stream_bit_s=amount("what a single stream gets at most"),
                    where=or_null(ref("place")),
                ),
                "in the order of the file",
            ),
            links=list_(
                object_(
                    link=text("cable, group or switch"),
                    towards=text("the machine into which it goes; may be empty"),
                    cables=names("its cables"),
                    asked_bit_s=amount("what is to go over it"),
                    carries_bit_s=amount("what it carries"),
                    share=maybe("of it; null without limit"),
                ),
                "fullest first; after a loss what is fuller than now",
            ),
            root=text("the switch from which the tree is reckoned"),
            says=text("what is short or too full; may be empty"),
        ),
        "edge of a switch": object_(
            switch=text("its name"),
            edge_bit_s=amount("ports of machines plugged into it"),
            free_bit_s=amount("its free ports"),
            uplinks_bit_s=amount("its open cables towards the root"),
            all_uplinks_bit_s=amount("all its cables to switches"),
            forwards_bit_s=maybe("what it passes on at once"),
            ratio=maybe("n of n:1"),
            worst_bit_s=amount("uplinks after the worst loss"),
            worst_lost=text("that loss; may be empty"),
            worst_ratio=maybe("n of n:1 then"),
            cut_off_by=text("a part that leaves it no uplink; may be empty"),
            inner_ratio=maybe("all ports against what it passes on"),
            usual_bit_s=amount("what services ask of the uplinks"),
        ),
        "between two things": object_(
            **{"from": text("one end")},
            to=text("the other"),
            network=text("over which it goes; may be empty"),
            via=names("hosts that pass it on"),
            now=ref("what gets through"),
            cable_ways=count("ways of which no two share a cable"),
            switch_ways=count("ways of which no two share a switch, cable or card"),
            after=list_(
                object_(lost=names("parts each of which alone does this"), gets=ref("what gets through")),
                "worst first",
            ),
            with_an_end=names("parts whose loss takes an end itself"),
            harmless=count("other parts, each of which leaves as much"),
            says=text(_SAYS),
        ),
        "what gets through": object_(
            at_most_bit_s=amount("over all ways at once"),
            forwarded_bit_s=amount("over the open way, for many streams"),
            one_stream_bit_s=amount("for one stream"),
            full=names("what is full at the most"),
            way=names("switches and cables on the open way"),
        ),
    }
