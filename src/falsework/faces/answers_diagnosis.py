"""What may stand in an answer on what broke, as JSON Schema (draft 2020-12), for programs that read it?"""

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

DIAGNOSIS = ("diagnose", "diagnose plan")
"""The answers that are told of here."""


def diagnosis_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "diagnose": object_(
            **head_schema(
                "diagnose", "0 one cause stands out, at least ten times as likely as the next, 1 none does"
            ),
            run=or_null(count("the run of the stopwatch that was asked; null where none was")),
            since_s=maybe("how long ago it began, seconds; null where all has settled"),
            unseen_s=amount("how long ago something may have failed that nobody knows of, seconds"),
            reports=list_(
                object_(
                    name=text("a probe, service or part"),
                    yes=flag("whether it was answered, or lit"),
                    looked=flag("whether it was looked at by eye"),
                    false_alarms=amount("chance of a no though it stands"),
                    misses=amount("chance of a yes though it does not"),
                    assumed=flag("whether one of the two was assumed"),
                ),
                "what is known",
            ),
            causes=list_(ref("cause of trouble"), "likeliest first"),
            rest=amount("the chance of all that is not listed"),
            tried=count("sets of parts that were looked at"),
            left_out=amount("what all others weigh at most, against those"),
            unknown_bits=amount("how much of which cause it was is unknown"),
            parts=list_(
                object_(part=text("its name"), chance=amount("that it is out")),
                "every part that can matter here, likeliest first",
            ),
            next=list_(
                object_(
                    how={
                        "description": "what is put to it",
                        "enum": ["probe", "ping", "controller", "service", "program", "lamp", "swap"],
                    },
                    name=text("what it is put to"),
                    says=text("what to do, as a clause"),
                    if_yes=text("the option that tells a yes"),
                    if_no=text("the option that tells a no"),
                    yes=amount("the chance of a yes"),
                    gain_bits=amount("how much it is expected to tell"),
                    minutes=amount("how long it takes"),
                    hands=flag("whether someone has to be there"),
                ),
                "what to ask next: the most told for the least effort first",
            ),
            assumed=texts("what was assumed"),
        ),
        "diagnose plan": object_(
            **head_schema("diagnose", "0 nothing is to be added, 1 something is"),
            probes=names("those of the lab file of which it is known what they see"),
            faults=count("parts whose loss hurts a service"),
            told_now=count("groups into which the probes part them"),
            told_then=count("the same with those to be added"),
            least=count("fewer probes more would not do"),
            add=list_(
                object_(
                    name=text("what it would be called"),
                    asks=text("what it asks, as in a lab file"),
                    sees=text("what stands if it is answered"),
                    **{"from": text("the machine that it asks from; empty for where users are")},
                    yours=flag("whether the owner has to say how it is asked"),
                ),
                "the fewest probes that tell apart what any can",
            ),
            together=list_(
                object_(
                    parts=names("any one of these"),
                    looks=names("where to look to tell them apart"),
                    still=list_(names("those"), "what even so stays together"),
                ),
                "parts that no probe tells apart",
            ),
            in_blast=list_(
                object_(
                    probe=text("its name"),
                    **{"from": text("where it asks from")},
                    parts=names("parts whose loss takes both"),
                ),
                "probes that fall with what they see",
            ),
            half_dead=list_(
                object_(
                    copy=text("its name"),
                    service=text("whose"),
                    parts=names("parts whose loss takes it unseen"),
                ),
                "copies that no probe sees now",
            ),
            unseen=names("parts whose loss hurts a service, and that no probe shows now"),
            difference=text("what would be added to the lab file, as a unified diff"),
        ),
        "cause of trouble": object_(
            parts=list_(names("any one of these"), "for each failed part those it may be"),
            shares=list_(
                list_(amount("a chance"), "of each of these"), "that it is out, given that it is this cause"
            ),
            shared=names("causes that parts share, which took all of them"),
            programs=names("services and copies among these: they fail by themselves"),
            lost=names("what is lost then, one of each"),
            chance=amount("that it is this and nothing else that can matter"),
            in_all=amount("that all of it is out, whatever else is"),
            against=maybe("odds against the next; null where there is none"),
            explains=names("reports that it makes likely"),
            errs=names("reports of something that fails though it would stand"),
            speaks_against=texts("what it does not explain, as clauses"),
            brings_down=names("services that it brings down besides"),
            chains=list_(
                object_(report=text("what fails"), chain=list_(ref("reason"), "from it to a lost part")),
                "for each failing report that it explains",
            ),
        ),
    }
