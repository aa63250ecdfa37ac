"""Which commands tell of drives, wire, addresses, power, noise and racks, and what do they take?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from falsework.faces.cli.options import Json, Lab, Out, Picture, app, help_
from falsework.faces.cli.running import run

Lose = Annotated[
    list[str] | None,
    typer.Option("--lose", metavar="PART", help="A part, or a word such as strip; may be said again."),
]
LosePart = Annotated[
    list[str] | None,
    typer.Option("--lose", metavar="PART", help="A part; may be said again."),
]


def add() -> None:
    """Add the commands to the program, in the order in which help lists them."""
    app.command(
        "drives",
        help=help_(
            "Compare the ways to lay out drives: room, what is survived, how durable, how long a rebuild takes.",
            "drives lab.yaml",
            "drives lab.yaml --heap crate --want '6 TB' --picture drives.svg",
            more="Without --heap it takes every heap of the lab file, and the drives that its stores use. Exit "
            "status: 0 some layout gives what is wanted, 1 none does, 2 no answer.",
        ),
    )(drives)
    app.command(
        "wire",
        help=help_(
            "Tell which port goes to which, what each link carries now and after a loss, and what gets through.",
            "wire lab.yaml",
            "wire lab.yaml --from twin-1.a --to keep.x",
            "wire lab.yaml --lose sw-1 --cables cables.csv",
            more="With --lose all of it is told as it is after these losses. Exit status: 0 all traffic gets through after "
            "any loss and every circle of switches is cut, 1 not so, 2 no answer.",
        ),
    )(wire)
    app.command(
        "addresses",
        help=help_(
            "Give every network a subnet and every machine an address, and never change one that was given.",
            "addresses lab.yaml",
            "addresses lab.yaml --csv addresses.csv --hosts hosts.txt --zones zones",
            "addresses lab.yaml --write",
            more="What the lab file says, under `addresses` too, is kept; --write adds what is new to it, and nothing "
            "else. Exit status: 0 all have addresses, 1 some can't have one, 2 no answer.",
        ),
    )(addresses)
    app.command(
        "power",
        help=help_(
            "Tell what each strip, circuit, battery and supply carries, now and after a loss; heat and cost too.",
            "power lab.yaml",
            "power lab.yaml --lose strip --picture power.svg",
            more="Exit status: 0 nothing is asked for too much, 1 something is, 2 no answer.",
        ),
    )(power)
    app.command(
        "noise",
        help=help_(
            "Tell how loud each room is, for how long that is safe, and what moving a machine would change.",
            "noise lab.yaml",
            "noise lab.yaml --picture noise.svg",
            more="Exit status: 0 within both published limits, 1 above one, 2 no answer.",
        ),
    )(noise)
    app.command(
        "rack",
        help=help_(
            "Tell what stands where in each rack, what it weighs, and whether it could tip; draw it to scale.",
            "rack lab.yaml",
            "rack lab.yaml --picture rack.svg",
            "rack lab.yaml --ramp 6 --sill '20 mm'",
            more="Exit status: 0 it bears its load, passes both tests and does not tip on the way, 1 it does not, 2 no answer.",
        ),
    )(rack)


def drives(
    lab: Lab,
    heap: Annotated[
        list[str] | None,
        typer.Option("--heap", metavar="NAME", help="A heap of the lab file; may be said again."),
    ] = None,
    want: Annotated[
        str | None, typer.Option("--want", metavar="SIZE", help="The room that is wanted, such as '6 TB'.")
    ] = None,
    all_: Annotated[bool, typer.Option("--all", help="Show every layout, the worse ones too.")] = False,
    picture: Picture = None,
    json: Json = False,
) -> None:
    """Compare layouts of drives."""

    def work() -> int:
        from falsework.faces.cli.drives import Asked, compare_layouts

        return compare_layouts(
            Asked(lab=lab, heap=tuple(heap or ()), want=want, all=all_, picture=picture, json=json)
        )

    raise typer.Exit(run(work, command="drives", as_json=json))


def wire(
    lab: Lab,
    out: Out = None,
    lose: LosePart = None,
    from_: Annotated[
        str | None, typer.Option("--from", metavar="THING", help="One end of a way; the other is --to THING.")
    ] = None,
    to: Annotated[str | None, typer.Option("--to", metavar="THING", help="The other end.")] = None,
    cables: Annotated[
        Path | None, typer.Option("--cables", metavar="FILE", help="Write the cable list, as CSV.")
    ] = None,
    picture: Picture = None,
    json: Json = False,
) -> None:
    """Tell about the wire."""

    def work() -> int:
        from falsework.faces.cli.wire import Asked, tell_wire

        return tell_wire(
            Asked(
                lab=lab,
                out=tuple(out or ()),
                lose=tuple(lose or ()),
                ends=(from_ or "", to or ""),
                cables=cables,
                picture=picture,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="wire", as_json=json))


def addresses(
    lab: Lab,
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE", help="Write the list, as CSV.")] = None,
    hosts: Annotated[
        Path | None, typer.Option("--hosts", metavar="FILE", help="Write names and addresses as hosts text.")
    ] = None,
    zones: Annotated[
        Path | None,
        typer.Option("--zones", metavar="FOLDER", help="Write the zones, forward and reverse (RFC 1035)."),
    ] = None,
    diff: Annotated[bool, typer.Option("--diff", help="Show what it would add to the lab file.")] = False,
    write: Annotated[bool, typer.Option("--write", help="Add what is new to the lab file.")] = False,
    picture: Picture = None,
    json: Json = False,
) -> None:
    """Give addresses."""

    def work() -> int:
        from falsework.faces.cli.addresses import Asked, give_addresses

        return give_addresses(
            Asked(
                lab=lab,
                csv=csv,
                hosts=hosts,
                zones=zones,
                diff=diff,
                write=write,
                picture=picture,
                json=json,
            )
        )

    raise typer.Exit(run(work, command="addresses", as_json=json))


def power(
    lab: Lab,
    out: Out = None,
    lose: Lose = None,
    picture: Picture = None,
    json: Json = False,
) -> None:
    """Tell about power."""

    def work() -> int:
        from falsework.faces.cli.power import Asked, tell_power

        return tell_power(
            Asked(lab=lab, out=tuple(out or ()), lose=tuple(lose or ()), picture=picture, json=json)
        )

    raise typer.Exit(run(work, command="power", as_json=json))


def noise(lab: Lab, picture: Picture = None, json: Json = False) -> None:
    """Tell about noise."""

    def work() -> int:
        from falsework.faces.cli.noise import Asked, tell_noise

        return tell_noise(Asked(lab=lab, picture=picture, json=json))

    raise typer.Exit(run(work, command="noise", as_json=json))


def rack(
    lab: Lab,
    ramp: Annotated[
        float | None,
        typer.Option("--ramp", metavar="DEGREES", help="The slope of a ramp that it is rolled on."),
    ] = None,
    sill: Annotated[
        str | None, typer.Option("--sill", metavar="HEIGHT", help="A sill on the way, such as '20 mm'.")
    ] = None,
    picture: Picture = None,
    json: Json = False,
) -> None:
    """Tell about racks."""

    def work() -> int:
        from falsework.faces.cli.rack import Asked, tell_racks

        return tell_racks(Asked(lab=lab, ramp=ramp, sill=sill, picture=picture, json=json))

    raise typer.Exit(run(work, command="rack", as_json=json))
