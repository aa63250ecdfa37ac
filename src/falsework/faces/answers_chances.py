"""What may stand in an answer on how often, how long, and what matters most, as JSON Schema?"""

from __future__ import annotations

from falsework.faces.errors import FORMAT
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

CHANCES = ("odds", "years", "tree")
"""The answers that are told of here."""


def chances_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {**_odds(), **_years(), **_tree()}


def _odds() -> dict[str, Schema]:
    return {
        "odds": object_(
            **head_schema("odds", "0 no limit of an aim is passed, 1 one is"),
            draws=count("how many draws the ranges come from; 0 for none"),
            services=list_(ref("service odds"), "worst first"),
            data=list_(ref("data odds"), "in lab order"),
            weights=list_(
                ref("weight"),
                "over all these services: minutes_off is their sum, the rest is of the one in which the part weighs most",
            ),
            assumed=texts("what was assumed besides the figures that `check` lists"),
        ),
        "service odds": object_(
            id=text("its name"),
            minutes=ref("range"),
            limit_minutes=maybe("the most that an aim allows (`out under`); null where none does"),
            out=object_(
                **_range(),
                lower=amount("proven lower bound of best"),
                upper=amount("proven upper bound of best"),
                exact=flag("whether the bounds are equal"),
                per_year=amount("how often it begins"),
                lasts_s=amount("how long it lasts on average"),
            ),
            coming_up_minutes=amount("minutes a year of coming up again once what was out is mended"),
            interrupted=object_(
                minutes=amount("minutes a year of interruptions that end by themselves"),
                per_year=amount("how many of them"),
            ),
            stumbled_minutes=amount("minutes a year because a take-over or restart did not work"),
            planned_minutes=amount("minutes a year of planned work, at most; not in minutes"),
            cut_sets=ref("cut sets"),
            weights=list_(ref("weight"), "what helps most first"),
            hangs=list_(ref("hangs"), "what the result hangs on most first; empty without draws"),
        ),
        "range": object_(**_range()),
        "cut sets": object_(
            total=or_null(count("how many there are; null where they could not be counted")),
            by_order={
                "type": "array",
                "items": {"type": "integer", "minimum": 0},
                "description": "how many have one member, two, ...; empty where they could not be counted",
            },
            rest=amount("upper bound of the chance to be out for a reason not listed"),
            listed=list_(
                object_(
                    parts=list_(
                        object_(
                            id=text("a part, or what several have in common, such as `batch k7`"),
                            age_s=amount("it matters once it has been out for so long"),
                        ),
                        "what is out together",
                    ),
                    chance=amount("that all of them are out at a random moment"),
                    per_year=amount("how often that begins"),
                    minutes=amount("minutes a year of it"),
                ),
                "likeliest first",
            ),
        ),
        "weight": object_(
            id=text("the part, or what several have in common"),
            minutes_off=amount("minutes a year less if it never failed"),
            birnbaum={
                "type": "number",
                "description": "chance to be out if it is out, less that if it is not",
            },
            criticality={
                "type": "number",
                "description": "Birnbaum's figure times its own chance, by the service's",
            },
            fussell_vesely=maybe("chance that it is out when the service is"),
            risk_achievement_worth=maybe(
                "how many times likelier the service is out if it is; null without end"
            ),
            risk_reduction_worth=maybe("how many times less if it never were; null without end"),
        ),
        "hangs": object_(
            about=text("what it is about"),
            things=names("for which things"),
            key=text("the key of the lab file that says it"),
            said=flag("whether the lab file says it; else it is assumed"),
            share=amount("of the spread of the result, 0 to 1"),
        ),
        "data odds": object_(
            id=text("its name"),
            lost_per_year=amount("how often it is gone, its backups too"),
            restored_per_year=amount("how often it has to come from a backup"),
            work_lost_s=maybe("work lost then, on average; null where nothing is known of backups"),
        ),
    }


def _range() -> dict[str, Schema]:
    return {
        "best": amount("minutes a year with every rate and time at its mean"),
        "low": amount("5 percent of what is believed; as best without draws"),
        "high": amount("95 percent of what is believed; as best without draws"),
    }


def _years() -> dict[str, Schema]:
    return {
        "years": object_(
            **head_schema("years", "0 drawn, 130 stopped", [0, 130]),
            years=count("how many were drawn"),
            asked=count("how many were asked for"),
            stopped=flag("whether somebody stopped it before"),
            seed=count("the same seed gives the same years"),
            within=object_(
                of=or_null(text("the service that the precision is about; null for the least sure")),
                wanted=maybe("half the 95 % interval of its mean over the mean, as asked; null if not asked"),
                reached={
                    "description": "whether that was reached; null if not asked",
                    "enum": [True, False, None],
                },
                off=maybe("that figure as it is; null where it is not known"),
            ),
            percents={"type": "array", "items": {"type": "integer"}, "description": "of percentiles_minutes"},
            services=list_(
                object_(
                    id=text("its name"),
                    mean_minutes=amount("minutes down in a year, on average"),
                    low_minutes=maybe("lower end of the 95 % interval of that; null where it is not known"),
                    high_minutes=maybe("upper end of it"),
                    error_minutes=maybe("its standard error"),
                    percentiles_minutes=list_(amount("minutes"), "what so many percent of years stay within"),
                    outages=amount("outages in a year, short ones too"),
                    longest_minutes=amount("the longest single one"),
                    spotless=amount("share of years without any, 0 to 1"),
                    stumbled=amount("outages in a year that should have ended by themselves"),
                ),
                "in lab order; empty where no year was finished",
            ),
            data=list_(
                object_(
                    id=text("its name"),
                    restores=amount("how often in 1,000 years it came from a backup"),
                    gone=amount("how often in 1,000 years no backup had survived"),
                    none_in_years=maybe(
                        "where neither happened: with 95 % confidence rarer than once in so many"
                    ),
                    work_lost_h=or_null(
                        list_(amount("hours"), "work lost in a restore: the middle, and 95 % within")
                    ),
                ),
                "in lab order",
            ),
            parts=list_(object_(id=text("its name"), failures=amount("failures in a year")), "in lab order"),
            story=or_null(ref("story")),
            assumed=texts("what was assumed besides the figures that `check` lists"),
        ),
        "story": object_(
            percent=amount("so many percent of years had no more time down"),
            of=or_null(text("the service by which it was chosen; null for all together")),
            down_minutes=amount("minutes down in it"),
            mishaps=list_(
                object_(
                    parts=names("what failed"),
                    at=_moment("when; the year means nothing"),
                    known_at=_moment("when somebody knew"),
                    begun_at=_moment("when it was taken in hand"),
                    whole_at=_moment("when it was whole again"),
                    hits=list_(
                        object_(
                            service=text("its name"),
                            at=_moment("when it went down"),
                            for_s=amount("for how long"),
                            by_itself=flag("whether it came back before anything was mended"),
                            stumbled=flag("whether it should have come back by itself and did not"),
                        ),
                        "services that went down for it",
                    ),
                    lost=list_(
                        object_(
                            data=text("its name"),
                            work_lost_s=maybe("work that went with it; null where no backup had survived"),
                            restored_s=maybe("how long the restore took; null without end"),
                        ),
                        "data that went",
                    ),
                ),
                "in order of time",
            ),
            unfelt=count("how many more parts failed without any service noticing"),
            silenced=count("how many of these kept an alarm from leaving"),
        ),
    }


def _tree() -> dict[str, Schema]:
    return {
        "tree": object_(
            format={"const": FORMAT},
            command={"const": "tree"},
            tree=text("the name of the tree"),
            status={"const": 0},
            top=text("the name of its top event; may be empty"),
            time=maybe("how long it runs, as asked; null if not asked"),
            events=count("basic events that the top leans on"),
            gates=count("gates that the top leans on"),
            coherent=flag("whether no gate negates"),
            unreached=names("what the file defines and the top does not lean on"),
            lacking=names("events without a probability"),
            probability=maybe("of the top event; null where it is not known exactly"),
            lower=maybe("proven lower bound of it; null where none is known"),
            upper=maybe("proven upper bound of it; null where none is known"),
            minimal_cut_sets=or_null(count("how many; null where they could not be counted")),
            by_order=list_(
                {"type": "integer", "minimum": 0}, "how many have one event, two, ...; empty where unknown"
            ),
            likeliest=list_(
                object_(
                    events=names("that happen together"), probability=maybe("of that; null where unknown")
                ),
                "likeliest first; the smallest where probabilities are missing",
            ),
            events_weighed=list_(
                object_(
                    id=text("its name"),
                    probability=amount("its own"),
                    birnbaum={
                        "type": "number",
                        "description": "change of the top event's probability with its own",
                    },
                    criticality=or_null(
                        {"type": "number", "description": "share that goes where it can't happen"}
                    ),
                    fussell_vesely=maybe("chance that it has happened, given the top event"),
                    risk_achievement_worth=maybe(
                        "how many times likelier the top event is once it has happened"
                    ),
                    risk_reduction_worth=maybe("how many times less if it can't happen; null without end"),
                ),
                "by criticality; empty where the probability is not exact",
            ),
            left=text("why something is not told; may be empty"),
        )
    }


def _moment(says: str) -> Schema:
    return {"type": "string", "description": f"{says}; ISO 8601 without a zone"}
