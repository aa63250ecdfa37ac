"""What may stand in an answer on layouts of drives, as JSON Schema (draft 2020-12)?"""

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

DRIVES = ("drives",)
"""The answers that are told of here."""


def drives_schema() -> dict[str, Schema]:
    """The shapes of these answers, and of what is in them, by name."""
    return {
        "drives": object_(
            **head_schema("drives", "1 where no layout of some heap gives what is wanted"),
            met=flag("whether every heap has a layout that gives what is wanted"),
            says=text("one sentence without its full stop"),
            heaps=list_(ref("layouts of a heap"), "in lab order"),
            stores=list_(
                ref("odds of a store"), "as laid out today, in lab order; none where heaps are named"
            ),
            taken=list_(ref("taken figure"), "figures that were taken for the stores"),
            caution=text("what to mind"),
        ),
        "layouts of a heap": object_(
            heap=text("its name"),
            drives=names("those that have a size"),
            without_size=names("those that have none, and are left out"),
            bays=list_(
                object_(
                    **{"in": text("the machine")},
                    free=count("how many"),
                    served_by=names("nodes"),
                    enclosure=text("what it shares with its neighbours; itself for none"),
                ),
                "where they may go",
            ),
            wanted_bytes=maybe("room that is wanted; null for as much as goes"),
            most_lost=count("how many drives at once must be survived"),
            ways=count("how many were looked at"),
            complete=flag("whether it was not stopped before the end"),
            recommended=or_null(count("number of a layout; null where none gives what is wanted")),
            why=text("why it is recommended; empty where none is"),
            nearest=or_null(count("where none does: the one that comes nearest")),
            needed=texts("where none does: what would do, each by itself"),
            trades=texts("what the next two have for them and against them"),
            remarks=texts("what is worth a word"),
            disputed=list_(
                object_(
                    what=text("the figure"),
                    low_end=text("what it is there"),
                    high_end=text("what it is there"),
                    lost_low=amount("chance of loss in a year of the recommended layout"),
                    lost_high=amount("the same at the high end"),
                    instead_low=or_null(
                        count("the layout that would be recommended there; null for the same")
                    ),
                    instead_high=or_null(count("the same at the high end")),
                    source=text("who says what"),
                    says=text("one sentence without its full stop"),
                ),
                "figures that the field disputes",
            ),
            layouts=list_(ref("layout of drives"), "the front first"),
            taken=list_(ref("taken figure"), "figures that were taken where the lab file gives none"),
            where=or_null(ref("place")),
        ),
        "layout of drives": object_(
            number=count("from 1"),
            front=flag("whether no other is as good in all respects; small differences do not count"),
            gives_what_is_wanted=flag("room, and drives that may be lost"),
            scheme=text("mirror, double parity, 3 copies, 4+2 pieces, ..."),
            apart_by=text("what holds one piece only; 'one machine' where all pieces lie in one"),
            spares=count(
                "drives that wait in each machine; over the network, drives' worth of room kept free"
            ),
            groups=list_(
                object_(
                    drives=list_(ref("drive in a bay"), "that hold data"),
                    spares=list_(ref("drive in a bay"), "that wait"),
                    may_be_gone=count("drives, or domains where pieces are apart"),
                ),
                "drives that save each other's data",
            ),
            left_over=names("drives of the heap that it does not take"),
            usable_bytes=amount("room"),
            survives=object_(
                drives=count("at once, whichever"), nodes=count("the same"), enclosures=count("the same")
            ),
            usual=ref("odds of data"),
            low=ref("odds of data"),
            high=ref("odds of data"),
            rebuild_s=maybe("of one drive, the slowest, once it has begun; null where it never ends"),
            begins_after_s=amount("until then, on the average"),
            read_errors_expected=amount("sectors that can't be read in it"),
            read_error_chance=amount("of one or more"),
            exposed_s_a_year=amount("mean time with no redundancy left"),
            heals_up_to_bytes=object_(
                drive=amount("how full it may be to make itself whole without a new drive; 0 where it can't"),
                node=amount("the same"),
                enclosure=amount("the same"),
            ),
            cut_off_a_year=amount("how often one node or enclosure puts the data out of reach"),
            draws_w=object_(idle=amount("of its drives"), busy=amount("of its drives")),
            price=text("of its drives; empty where one tells none"),
            says=text("a few words"),
        ),
        "drive in a bay": object_(drive=text("its name"), **{"in": text("the machine")}),
        "odds of data": object_(
            lost_in_a_year=amount("chance that some data is lost; the next three add up to it"),
            mean_s=maybe("mean time until that; null for never"),
            alone=amount("because one drive too many failed by itself"),
            reading=amount("because a sector could not be read"),
            together=amount("because a batch failed of one cause"),
        ),
        "odds of a store": object_(
            store=text("its name"),
            layout=text("as the lab file says it"),
            usable_bytes=maybe("room; null where a drive has no size"),
            survives_drives=count("at once, whichever"),
            usual=or_null(ref("odds of data")),
            low=or_null(ref("odds of data")),
            high=or_null(ref("odds of data")),
            rebuild_s=maybe("as of a layout"),
            begins_after_s=amount("as of a layout"),
            read_errors_expected=amount("as of a layout"),
            read_error_chance=amount("as of a layout"),
            exposed_s_a_year=amount("as of a layout"),
            heals_itself_when_full=flag("after the loss of any one drive, without a new one"),
            where=or_null(ref("place")),
        ),
    }
