"""Which subnet, address and name does everything get, and what would the lab file gain?"""

from __future__ import annotations

import ipaddress
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from falsework.analyses.addresses import Addresses, Given, Net, Trouble, addresses
from falsework.analyses.addresses.telling import (
    blocks_say,
    given_cells,
    headline,
    kept_says,
    renamed_says,
    subnet_says,
    vlan_says,
)
from falsework.analyses.addresses.writing import filled
from falsework.analyses.addresses.zones import zones
from falsework.errors import QuestionError, counted
from falsework.faces.cli.changing import change_lines, write_changes, written_lines
from falsework.faces.cli.lines import Line, labelled, put, put_text
from falsework.faces.cli.progress import Told
from falsework.faces.cli.running import BROKEN, MET, write
from falsework.faces.cli.table import table
from falsework.faces.cli.taken import taken_lines
from falsework.faces.host_list import csv_text, hosts_text
from falsework.faces.plain_addresses import addresses_answer
from falsework.faces.zone import is_ours, next_text
from falsework.model.build import load
from falsework.model.lab import Lab

MOST_ROWS = 60
"""Things of one network that are listed for people; the files and --json have all."""
MOST_NETS = 20
"""Networks that are told for people, and troubles."""
MOST_DIFFERENT = 120
"""Lines of the difference that are shown for people before something is written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for on the command line; the names are those of the options."""

    lab: Path
    csv: Path | None = None
    hosts: Path | None = None
    zones: Path | None = None
    diff: bool = False
    write: bool = False
    picture: Path | None = None
    json: bool = False


def give_addresses(asked: Asked) -> int:
    """Give addresses, print them, return the exit status: 1 where something can't have one.

    Raises:
        FalseworkError: the file, the question, or a place to write to.
    """
    with Told() as tell:
        tell("reading the lab", 0, 1)
        lab = load(asked.lab)
        tell("giving addresses", 0, 1)
        plan = addresses(lab)
        changes = filled(lab, plan) if asked.diff or asked.write else None
        files = _files(asked, lab, plan)
    status = MET if plan.complete else BROKEN
    if asked.json:
        if changes is not None and asked.write:
            write_changes(lab, changes)
        answer = addresses_answer(lab, plan, changes, status)
        put_text(json.dumps(answer, indent=2, allow_nan=False) + "\n")
        return status
    put(_lines(lab, plan))
    if changes is not None:
        # Of very much only the beginning, once it is written anyway.
        most = MOST_DIFFERENT if asked.write else None
        put(change_lines(changes, nothing="The lab file says all of it already.", most=most))
    if files:
        put((Line(), *(Line(each) for each in files)))
    if changes is not None and asked.write:
        write_changes(lab, changes)
        put(written_lines(changes))
    return status


def _files(asked: Asked, lab: Lab, plan: Addresses) -> list[str]:
    """Write the lists that were asked for, older ones are replaced; what is where, a sentence each."""
    said: list[str] = []
    if asked.csv is not None:
        write(asked.csv, csv_text(plan), over=True)
        said.append(f"The list is in {asked.csv}.")
    if asked.hosts is not None:
        write(asked.hosts, hosts_text(plan), over=True)
        said.append(f"The hosts text is in {asked.hosts}.")
    if asked.zones is not None:
        said.append(_zones(asked.zones, lab, plan))
    if asked.picture is not None:
        # Only here: drawing loads what no other answer needs.
        from falsework.faces.report.address_map import address_sheet

        write(asked.picture, f"{address_sheet(lab, plan)}\n", over=True)
        said.append(f"The picture is in {asked.picture}.")
    return said


def _zones(folder: Path, lab: Lab, plan: Addresses) -> str:
    """Write every zone into a folder, each with the serial number that follows from what is there."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise QuestionError(f"'{folder}' cannot be made ({reason})", "Name a folder that can be.") from error
    texts: dict[Path, tuple[str, str | None]] = {}
    for zone in zones(lab, plan):
        path = folder / zone.file
        before = _before(path)
        texts[path] = (next_text(zone, before), before)
    changed = 0
    for path, (text, before) in texts.items():
        if text != before:
            write(path, text, over=True)
            changed += 1
    same = len(texts) - changed
    stay = f"{'did not change and keeps its' if same == 1 else 'did not change and keep their'} serial number"
    if not changed:
        return f"{counted(same, 'zone')} in {folder} {stay}."
    rest = f"; {same} {stay}" if same else ""
    return f"{counted(changed, 'zone')} {'is' if changed == 1 else 'are'} written in {folder}{rest}."


def _before(path: Path) -> str | None:
    """What a zone file of ours holds; None where there is none.

    Raises:
        QuestionError: it is somebody else's, or can't be read.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError):
        text = ""
    if not is_ours(text):
        raise QuestionError(
            f"'{path}' is there already and not one of ours, so it stays as it is", "Name another folder."
        )
    return text


def _lines(lab: Lab, plan: Addresses) -> Iterator[Line]:
    yield Line(f"{lab.name}: {headline(plan)}", style="head" if plan.complete else "broken")
    yield Line(f"{kept_says(plan)}.")
    for trouble in plan.troubles[:MOST_NETS]:
        yield Line()
        yield from _trouble(trouble)
    if len(plan.troubles) > MOST_NETS:
        yield Line()
        yield Line(
            f"{counted(len(plan.troubles) - MOST_NETS, 'more like it', 'more like these')}; --json lists all."
        )
    for net in plan.nets[:MOST_NETS]:
        yield Line()
        yield from _net(plan, net)
    if len(plan.nets) > MOST_NETS:
        yield Line()
        yield Line(
            f"{counted(len(plan.nets) - MOST_NETS, 'more network')}; --csv and --json have all of them."
        )
    says = (*renamed_says(plan), *plan.notes)
    if says:
        yield Line()
    for each in says:
        yield labelled("mind", f"{each}.", style="quiet")
    yield from taken_lines(plan.taken)


def _trouble(trouble: Trouble) -> Iterator[Line]:
    yield labelled("BROKEN", trouble.says, style="broken")
    yield labelled("mend", trouble.mend, style="quiet", indent=8, width=6)
    if trouble.where is not None:
        yield labelled("at", str(trouble.where), style="quiet", indent=8, width=6)


def _net(plan: Addresses, net: Net) -> Iterator[Line]:
    """A network: what it is, its blocks, and who is on it in the order of their addresses."""
    subnets = "  ".join(said for said in (subnet_says(net.four), subnet_says(net.six)) if said)
    yield labelled("network", f"{net.name}, VLAN {vlan_says(net)}: {subnets or 'no subnet'}", style="head")
    for says in blocks_say(net):
        yield labelled("", says, indent=8, width=0)
    by: dict[str, list[Given]] = {}
    for each in plan.given:
        if each.network == net.name:
            by.setdefault(each.thing, []).append(each)
    things = sorted(by.values(), key=_place)
    rows = [(f"{' ' * 6}{who}", *rest) for who, *rest in map(given_cells, things[:MOST_ROWS])]
    if rows:
        yield from table((f"{' ' * 6}who", "version 4", "version 6", "name", ""), rows)
    if len(things) > MOST_ROWS:
        yield Line(f"{' ' * 8}and {len(things) - MOST_ROWS:,} more; --csv and --json have all of them")


def _place(rows: Sequence[Given]) -> tuple[int, int]:
    first = min(rows, key=lambda each: each.version)
    return first.version, int(ipaddress.ip_address(first.address))
