"""The drawings that golden files hold, and the labs that tests draw."""

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

import numpy as np
from tests.faces.handmade import of_singles
from tests.faces.handmade_placing import many, placing, six
from tests.faces.handmade_raising import fragile, plan, schedule, shed

from falsework.analyses.cold_start import cold_start
from falsework.analyses.rack import racks
from falsework.analyses.verdicts import Loss, Singles, lose, losses
from falsework.analyses.years import ServiceYears, Years
from falsework.faces.report.elevation import elevation
from falsework.faces.report.failure_map import failure_map
from falsework.faces.report.odds import odds_sheet
from falsework.faces.report.rack import racks_sheet
from falsework.faces.report.raising import raising_sheet
from falsework.faces.report.spread import years_sheet
from falsework.faces.report.stacks import stack_sheet
from falsework.invent import invent
from falsework.lab.read import read_text
from falsework.model.build import build, load
from falsework.model.lab import Lab
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[3]
GOLDEN = Path(__file__).parent / "golden"
KITCHEN = "examples/kitchen-shelf.yaml"
DRAFT = "examples/observatory/draft.yaml"
MENDED = "examples/observatory/mended.yaml"
TRAP = "tests/labs/traps/03-survivor-overload/base.yaml"

HOSTILE = """
falsework: 1
lab: "<script>alert(1)</script> & \\"Söhne\\" \\u202Egnp.exe ]]>"
about: "</style><img src=x onerror=alert(1)> 'quoted' {{ 7*7 }}"
machines:
  "a<b>&c": {is: node}
  "a-node-whose-name-is-so-long-that-no-sheet-of-paper-that-was-ever-made-has-room-for-all-of-it": {is: node}
  "שלום": {is: node}
services:
  "<script>": {on: ["a<b>&c", "שלום"]}
  "a service with a name that goes on and on until nobody wants to read it any more at all": {on: "שלום"}
aims:
  "<b>bold</b> aim & {{ 7*7 }}": {lose: node, at most: stands}
"""


@cache
def standing(name: str) -> Standing:
    """A lab by path below the project, by size of an invented one, or the hostile one."""
    if name == "hostile":
        return Standing(build(read_text(HOSTILE, "hostile.yaml")))
    if name.isdigit():
        return Standing(build(read_text(invent(int(name), seed=3), "invented.yaml")))
    return Standing(load(ROOT / name))


@cache
def lost(name: str, *parts: str) -> Loss:
    """What losing parts of a lab does."""
    return lose(standing(name), parts)


@cache
def alone(name: str) -> Singles:
    """What losing each part alone does, `thin` left out, which is dear to find out."""
    lab = standing(name)
    found = losses(lab, [(part,) for part in lab.parts])
    table = np.array([[effect.verdict for effect in loss.effects] for loss in found], dtype=np.int8)
    return Singles(parts=lab.parts, services=lab.support.services, verdicts=table.T)


def words(name: str) -> Mapping[str, str]:
    """What each thing of a lab is."""
    return {each: thing.word for each, thing in standing(name).support.things.items()}


@cache
def circles(name: str) -> tuple[tuple[str, ...], ...]:
    """What waits for each other in a lab."""
    return cold_start(standing(name)).circles


@cache
def drawn_years(name: str) -> Years:
    """Years of a lab as made by hand: service number n has n + 1 minutes in a middle year, and twenty times that in a bad one."""
    services = tuple(
        ServiceYears(
            service=service,
            mean_min=3.0 * number,
            error_min=0.1,
            low_min=2.8 * number,
            high_min=3.2 * number,
            percentiles_min=tuple(number * each for each in (0.0, 0.2, 1.0, 3.0, 12.0, 20.0, 90.0)),
            outages=2.0,
            longest_min=100.0 * number,
            spotless=0.1 * number,
            stumbled=0.01,
        )
        for number, service in enumerate(standing(name).support.services, start=1)
    )
    return Years(
        lab=standing(name).lab.name,
        years=1000,
        asked=1000,
        seed=7,
        services=services,
        data=(),
        parts=(),
        wanted=None,
        of="",
        off=0.1,
        reached=None,
        stopped=False,
        story=None,
        assumed=(),
    )


def drawn(name: str, *parts: str) -> str:
    """The elevation of a lab, with parts lost if any are named."""
    return elevation(standing(name), lost(name, *parts) if parts else None, circles=circles(name))


FULL_RACKS = """
lab: Full racks
kinds:
  flat: {is: node, height: 1 U, depth: 950 mm, weighs: 17 kg, draws: 90..300 W, fed by: s-1}
  box: {is: node, height: 4 U, weighs: 32 kg, fed by: s-1}
outside: {mains: }
places:
  cellar: {is: room}
  tall: {is: rack, in: cellar, units: 42, depth: 900 mm, bears: 500 kg, casters: 4, caster bears: 150 kg}
  small: {is: rack, in: cellar, units: 12, depth: 600 mm}
power:
  c: {is: circuit, fed by: mains}
  s-1..2: {is: strip, fed by: c, in: tall}
machines:
  flat-1..36: {kind: flat, in: tall}
  hub: {is: switch, in: tall, at: 42 U, faces: back, fed by: s-1}
  box-1..2: {kind: box, in: small}
  top: {is: enclosure, in: small, at: 9 U, height: 4 U, weighs: 60 kg, depth: 580 mm, fed by: s-1}
"""


@cache
def full_racks() -> Lab:
    """Two racks: one of 42 units full of flat machines without places, one low."""
    return build(read_text(FULL_RACKS, "racks.yaml"))


PICTURES: Mapping[str, Callable[[], str]] = {
    "kitchen-shelf": lambda: drawn(KITCHEN),
    "kitchen-shelf-without-desk-1": lambda: drawn(KITCHEN, "desk-1"),
    "kitchen-shelf-map": lambda: failure_map(alone(KITCHEN), words(KITCHEN)),
    "survivor-overload-without-a": lambda: drawn(TRAP, "A"),
    "kitchen-shelf-odds": lambda: odds_sheet(standing(KITCHEN), of_singles(alone(KITCHEN)), width=900),
    "observatory-mended-odds": lambda: odds_sheet(standing(MENDED), of_singles(alone(MENDED), draws=200)),
    "kitchen-shelf-years": lambda: years_sheet(drawn_years(KITCHEN), width=900),
    "observatory-mended": lambda: drawn(MENDED),
    "observatory-mended-without-a": lambda: drawn(MENDED, "A"),
    "shed-raising": lambda: raising_sheet(shed().lab, plan(), fragile(), schedule()),
    "shed-raising-without-calendar": lambda: raising_sheet(shed().lab, plan(), fragile(), width=700),
    "observatory-mended-map": lambda: failure_map(alone(MENDED), words(MENDED)),
    "six-hosts-stacks": lambda: stack_sheet(six(), placing()),
    "thirty-hosts-stacks": lambda: stack_sheet(six(), many(30)),
    "observatory-mended-racks": lambda: racks_sheet(standing(MENDED).lab, racks(standing(MENDED).lab)),
    "two-full-racks": lambda: racks_sheet(full_racks(), racks(full_racks())),
}
"""Each golden file by name; `scripts/golden` writes them."""
