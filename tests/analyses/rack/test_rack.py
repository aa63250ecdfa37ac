"""What stands in a rack, what it weighs and when it tips: worked by hand, and as properties of drawn racks."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.model.texts import lab_of

from falsework.analyses.rack import racks, way_of
from falsework.analyses.rack.telling import faults, headline, lifts_say, moving_says, pulled_says, sinks_says
from falsework.engines.mechanics import GRAVITY, UNIT_M
from falsework.errors import QuestionError

LAB = """\
lab: l
places:
  cellar: {is: room}
  r: {is: rack, in: cellar, units: 10, weighs: 40 kg, centre: 30 cm, foot: 10 cm, width: 600 mm, depth: 800 mm,
      bears: 100 kg, casters: 4, caster bears: 60 kg}
power:
  s: {is: strip, in: r, weighs: 2 kg, depth: 60 mm}
machines:
  low: {is: node, in: r, at: 1 U, height: 2 U, depth: 600 mm, weighs: 20 kg}
  high: {is: node, in: r, at: 9 U, height: 2 U, depth: 400 mm, weighs: 10 kg, faces: back}
"""


def one(text=LAB):
    """The one rack of a lab."""
    (sheet,) = racks(lab_of(text)).racks
    return sheet


def test_the_centre_is_the_weighted_mean():
    """40 kg at 0.3 m, 20 kg one unit up from the foot, 10 kg nine units up, 2 kg half-way up; forward likewise."""
    sheet = one()
    low, high, strip = 0.1 + 1 * UNIT_M, 0.1 + 9 * UNIT_M, 0.1 + 5 * UNIT_M
    assert sheet.whole.mass_kg == 72
    assert sheet.load_kg == 32
    assert sheet.whole.height_m == pytest.approx((40 * 0.3 + 20 * low + 10 * high + 2 * strip) / 72)
    assert sheet.whole.forward_m == pytest.approx((20 * 0.1 - 10 * 0.2 - 2 * 0.37) / 72)
    assert sheet.sideways_deg == pytest.approx(math.degrees(math.atan(0.3 / sheet.whole.height_m)))
    back = math.degrees(math.atan((0.4 + sheet.whole.forward_m) / sheet.whole.height_m))
    assert sheet.forwards_deg == pytest.approx(back)


def test_free_units_are_those_that_nothing_takes():
    """Between unit 3 and unit 8; the strip behind them takes none."""
    assert one().free == ((3.0, 8.0),)


def test_casters_carry_a_third_each():
    """72 kg on four casters: 24 kg each, since three may carry all."""
    assert one().rolling.each_kg == 24
    assert not one().bad
    assert faults(one()) == ()


def test_pulled_out_it_tips_sooner():
    """A machine pulled out moves the centre forward by depth x share of the weight."""
    sheet = one()
    pulled = {each.thing: each for each in sheet.pulled}
    forward = sheet.whole.forward_m + 20 * 0.6 / 72
    angle = math.degrees(math.atan((0.4 - forward) / sheet.whole.height_m))
    assert pulled["low"].tip_deg == pytest.approx(angle)
    assert pulled["low"].pressed.force_n == 100.0
    assert pulled["low"].pressed.tips_nm == pytest.approx(60.0)
    assert pulled["low"].pressed.holds_nm == pytest.approx(72 * GRAVITY * (0.4 - forward))
    assert sheet.pulled[0].tip_deg <= sheet.pulled[-1].tip_deg


def test_pulled_out_to_the_back_it_tips_over_its_back():
    """What is mounted from behind comes out backwards, and what lies forward of the middle holds against it."""
    sheet = one()
    high = next(each for each in sheet.pulled if each.thing == "high")
    backward = -sheet.whole.forward_m + 10 * 0.4 / 72
    assert high.tip_deg == pytest.approx(math.degrees(math.atan((0.4 - backward) / sheet.whole.height_m)))
    assert high.pressed.holds_nm == pytest.approx(72 * GRAVITY * (0.4 - backward))


def test_a_rack_turned_round_is_the_same_rack():
    """With every front a back and every back a front nothing tips sooner or later."""
    text = LAB.replace("  s: {is: strip, in: r, weighs: 2 kg, depth: 60 mm}\n", "").replace("power:\n", "")
    turned = text.replace("weighs: 20 kg}", "weighs: 20 kg, faces: back}").replace(", faces: back}\n", "}\n")
    turned = turned.replace("weighs: 20 kg}", "weighs: 20 kg, faces: back}")
    assert turned.count("faces: back") == text.count("faces: back") == 1
    there, back = one(text), one(turned)
    assert back.forwards_deg == pytest.approx(there.forwards_deg)
    tilts = {each.thing: each.tip_deg for each in there.pulled}
    assert {each.thing: each.tip_deg for each in back.pulled} == pytest.approx(tilts)


def test_a_rack_has_the_units_that_are_used():
    """Where nobody says how many, 42, or as many as a machine above that shows."""
    text = LAB.replace("units: 10, ", "")
    assert one(text).units == 42
    tall = one(text.replace("at: 9 U", "at: 46 U"))
    assert tall.units == 47
    assert tall.free == ((3.0, 45.0),)
    assert tall.top_m == pytest.approx(0.1 + 47 * UNIT_M)


def test_a_circuit_counts_where_it_is_a_box():
    """One with a place takes it and weighs; one that only ends in the rack doesn't."""
    plain = LAB.replace("power:\n", "power:\n  c: {is: circuit, in: r}\n")
    assert one(plain).load_kg == 32
    box = LAB.replace(
        "power:\n", "power:\n  c: {is: circuit, in: r, at: 5 U, height: 1 U, depth: 200 mm, weighs: 9 kg}\n"
    )
    assert one(box).load_kg == 41
    assert one(box).free == ((3.0, 4.0), (6.0, 8.0))


def test_what_has_no_place_gets_the_lowest():
    """A heavy machine without `at` goes to unit 3, and is marked as proposed."""
    sheet = one(LAB.replace("at: 9 U", "at: 8 U") + "  new: {is: node, in: r, height: 3 U, weighs: 30 kg}\n")
    new = next(each for each in sheet.mounted if each.thing == "new")
    assert (new.at, new.proposed) == (3.0, True)
    assert sheet.lowest
    assert sheet.free == ((6.0, 7.0), (10.0, 10.0))


def test_what_finds_no_room_is_told():
    """Ten units don't hold a machine of seven beside the two."""
    sheet = one(LAB + "  new: {is: node, in: r, height: 7 U, weighs: 30 kg}\n")
    assert sheet.left_over == ("new",)
    assert faults(sheet) == ("no room for new",)
    assert sheet.bad


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("bears: 100 kg", "bears: 30 kg", "32 kg in it, and it bears 30 kg"),
        ("caster bears: 60 kg", "caster bears: 23 kg", "a caster may have to carry 24 kg, and bears 23 kg"),
        ("width: 600 mm", "width: 60 mm", "tips at"),
    ],
)
def test_each_fault_is_told(old, new, fault):
    """Too heavy, too much for a caster, too narrow: each makes the rack bad and says by how much."""
    sheet = one(LAB.replace(old, new))
    assert sheet.bad
    assert any(each.startswith(fault) for each in faults(sheet))
    assert fault in headline(racks(lab_of(LAB.replace(old, new))))


def test_a_narrow_tall_rack_is_emptied_from_the_top():
    """Before it is moved, what lies highest and weighs most goes first."""
    text = """\
lab: l
places:
  r: {is: rack, units: 40, weighs: 20 kg, centre: 50 cm, foot: 10 cm, width: 600 mm, depth: 600 mm}
machines:
  a: {is: node, in: r, at: 38 U, height: 2 U, depth: 500 mm, weighs: 40 kg}
  b: {is: node, in: r, at: 30 U, height: 2 U, depth: 500 mm, weighs: 10 kg}
  c: {is: node, in: r, at: 1 U, height: 2 U, depth: 500 mm, weighs: 10 kg}
"""
    sheet = one(text)
    assert sheet.tip_deg < 20
    assert [each.thing for each in sheet.taken_out] == ["a"]
    assert sheet.taken_out[0].tip_deg > sheet.tip_deg
    assert "take out a" in moving_says(sheet)


TALL = """\
lab: l
places:
  r: {is: rack, units: 40, weighs: 20 kg, centre: 50 cm, foot: 10 cm, width: 600 mm, depth: 600 mm}
machines:
  a: {is: node, in: r, at: 38 U, height: 2 U, depth: 600 mm, weighs: 40 kg}
  b: {is: node, in: r, at: 30 U, height: 2 U, depth: 600 mm, weighs: 30 kg}
  c: {is: node, in: r, at: 1 U, height: 2 U, depth: 600 mm, weighs: 10 kg}
"""


def test_on_a_ramp_it_leans():
    """What is to spare is the tilt at which it tips less that of the way, and what is taken out first helps most."""
    (sheet,) = racks(lab_of(TALL), way_of(12.0, "10 mm")).racks
    lean = 12 + math.degrees(math.asin(0.01 / 0.6))
    assert sheet.leaning.sideways_deg == pytest.approx(lean)
    assert sheet.leaning.spare_deg == pytest.approx(sheet.tip_deg - lean)
    assert not sheet.bad
    assert [each.thing for each in sheet.taken_out] == ["a", "b"]
    height = (20 * 0.5 + 10 * (0.1 + UNIT_M)) / 30
    tips = math.degrees(math.atan(0.3 / height))
    assert sheet.taken_out[-1].tip_deg == pytest.approx(tips)
    assert sheet.taken_out[-1].spare_deg == pytest.approx(tips - lean)
    assert moving_says(sheet).startswith("On a ramp of 12° with a sill of 10 mm it leans 13.0°")
    assert moving_says(sheet).endswith(
        f"take out a, b, in this order, and it has {tips - lean:.1f}° to spare"
    )


@given(st.permutations("abc"))
def test_no_other_machines_help_more(order):
    """Of all sets of as many machines none leaves more to spare."""
    (sheet,) = racks(lab_of(TALL), way_of(12.0, None)).racks

    def spare(out):
        rows = [row for row in TALL.splitlines() if row.strip()[:1] not in out or ": {is: node" not in row]
        text = "\n".join(rows if len(out) < 3 else [*rows[:-1], "machines: {}"])
        return racks(lab_of(text), way_of(12.0, None)).racks[0].leaning.spare_deg

    count = len(sheet.taken_out)
    assert spare(order[:count]) <= sheet.taken_out[-1].spare_deg + 1e-9
    assert spare([each.thing for each in sheet.taken_out]) == pytest.approx(sheet.taken_out[-1].spare_deg)


def test_on_too_steep_a_ramp_it_tips():
    """Said as a fault; on a mild one nothing need be taken out."""
    (steep,) = racks(lab_of(TALL), way_of(40.0, None)).racks
    assert steep.leaning.tips
    assert steep.bad
    assert "tips on a ramp of 40°" in faults(steep)
    (mild,) = racks(lab_of(LAB), way_of(None, "20 mm")).racks
    assert not mild.bad
    assert moving_says(mild).endswith("° to spare; nothing has to be taken out")


@pytest.mark.parametrize(
    ("ramp", "sill"),
    [
        (-1.0, None),
        (float("nan"), None),
        (float("inf"), None),
        (90.0, None),
        (None, "4 m"),
        (None, "-1 mm"),
        (None, "x"),
        (None, ""),
    ],
)
def test_what_is_no_way_is_refused(ramp, sill):
    """With the option that was given and a mend."""
    with pytest.raises(QuestionError, match="--ramp" if sill is None else "--sill"):
        way_of(ramp, sill)


def test_a_light_rack_tips_when_a_heavy_machine_is_pulled_out():
    """More weight in front of the edge than behind it: by itself."""
    text = """\
lab: l
places:
  r: {is: rack, units: 10, weighs: 15 kg, foot: 10 cm, width: 600 mm, depth: 600 mm}
machines:
  a: {is: node, in: r, at: 8 U, height: 2 U, depth: 600 mm, weighs: 50 kg}
"""
    sheet = one(text)
    assert sheet.pulled[0].tips
    assert pulled_says(sheet) == "With a pulled out on its rails it tips over by itself"


def test_how_much_lower_the_weight_could_lie():
    """By hand: high (5 kg a unit) comes down from units 9-10 onto low (10 kg a unit) in 1-2, by 6 units of 10 kg of 72."""
    sheet = one()
    assert sheet.sinks.by_m == pytest.approx(10 * 6 * UNIT_M / 72)
    assert sheet.sinks.things == ("high",)
    assert sinks_says(sheet) == ""
    heavy = one(LAB.replace("weighs: 10 kg", "weighs: 40 kg"))
    # 40 kg go below 20 kg, which rise by 2 units: (40 x 8 - 20 x 2) units in 102 kg.
    assert heavy.sinks.by_m == pytest.approx((40 * 8 - 20 * 2) * UNIT_M / 102)
    assert "would lie 12 cm lower; high would come down" in sinks_says(heavy)


@given(st.permutations([(1, 5), (2, 9), (1, 3), (3, 30), (2, 2)]), st.integers(0, 3))
@settings(max_examples=20, deadline=None)
def test_no_order_lies_lower_than_the_densest_lowest(drawn, gap):
    """The sunken centre is the least over all orders of the machines."""

    def moment(order, first):
        low, total = first, 0.0
        for tall, mass in order:
            total += mass * (low + tall / 2)
            low += tall
        return total

    rows, low = "", gap + 1
    for number, (tall, mass) in enumerate(drawn):
        rows += f"  m{number}: {{is: node, in: r, at: {low} U, height: {tall} U, weighs: {mass} kg, depth: 500 mm}}\n"
        low += tall
    sheet = one(
        "lab: l\nplaces: {r: {is: rack, units: 12, weighs: 51 kg, foot: 10 cm, width: 600 mm, depth: 800 mm}}\n"
        f"machines:\n{rows}"
    )
    least = min(moment(order, 0) for order in itertools.permutations(drawn))
    assert sheet.sinks.by_m == pytest.approx((moment(drawn, gap) - least) * UNIT_M / 100)


def test_pressing_on_what_is_pulled_out_may_tip_it():
    """Two of nearly the whole weight: either holds by itself, and neither when someone leans on it."""
    text = """\
lab: l
places:
  r: {is: rack, units: 20, weighs: 10 kg, centre: 30 cm, foot: 10 cm, width: 600 mm, depth: 800 mm}
machines:
  f: {is: node, in: r, at: 1 U, height: 2 U, depth: 780 mm, weighs: 60 kg}
  b: {is: node, in: r, at: 9 U, height: 2 U, depth: 780 mm, weighs: 58 kg}
"""
    sheet = one(text)
    assert not any(each.tips for each in sheet.pulled)
    assert (
        pulled_says(sheet) == "With any one of f and b pulled out, 100 N pressed down on the end tip it over"
    )


def test_a_rack_beyond_whose_base_the_weight_lies_tips_by_itself():
    """Said in words, and not as an angle below nothing."""
    sheet = one(LAB.replace("depth: 800 mm", "depth: 100 mm").replace(", faces: back", ""))
    assert sheet.tip_deg < 0
    assert "tips over by itself: its centre of gravity lies beyond its base" in faults(sheet)


def test_an_enclosure_weighs_what_it_says_or_what_is_in_it():
    """The whole box where it says so; else its nodes where they do; else a usual figure, told."""
    box = """\
lab: l
kinds: {sled: {is: node{SLED}}}
places: {r: {is: rack, units: 10, weighs: 40 kg, foot: 10 cm, width: 600 mm, depth: 800 mm, centre: 30 cm}}
machines:
  e: {is: enclosure, in: r, at: 1 U, height: 2 U, depth: 700 mm, holds: {a..b: sled}{BOX}}
"""

    def mass(sled, whole):
        sheet = one(box.replace("{SLED}", sled).replace("{BOX}", whole))
        return sheet.mounted[0].mass_kg, [each.key for each in sheet.taken]

    assert mass(", weighs: 5 kg", ", weighs: 24 kg") == (24, [])
    assert mass(", weighs: 5 kg", "") == (10, [])
    assert mass("", "") == (22, ["weighs"])


def test_what_was_taken_says_what_hangs_on_it():
    """Without a width the tilt lies between those at the ends of what is usual."""
    sheet = one(LAB.replace("width: 600 mm, ", ""))
    (taken,) = sheet.taken
    assert (taken.key, taken.things, taken.value) == ("width", ("r",), "600 mm")
    assert float(taken.low.rstrip("°")) < float(taken.high.rstrip("°"))


def test_lifting_asks_for_two():
    """20 kg at the bottom is too much for one, by the published equation."""
    sheet = one()
    lift = next(each for each in sheet.lifts if each.thing == "low")
    hands = 10.0  # cm: the lower edge of unit 1
    allowed = 23 * (25 / 40) * (1 - 0.003 * (75 - hands)) * (0.82 + 4.5 / (75 - hands)) * 0.95
    assert lift.limit_kg == pytest.approx(allowed)
    assert lift.alone == pytest.approx(20 / allowed)
    assert lifts_say(sheet).startswith("Two should lift low")


def test_what_is_in_a_room_is_loose():
    """Things beside racks are told with their weight."""
    found = racks(lab_of(LAB + "  desk: {is: node, in: cellar, weighs: 6 kg}\n"))
    assert [(each.thing, each.room, each.mass_kg) for each in found.loose] == [("desk", "cellar", 6.0)]


def test_a_lab_without_racks():
    """Nothing to weigh is no fault."""
    found = racks(lab_of("lab: l\nmachines:\n  n: {is: node}\n"))
    assert (found.racks, found.bad, headline(found)) == ((), False, "no rack")


machines = st.lists(st.tuples(st.integers(1, 3), st.integers(1, 60), st.booleans()), min_size=1, max_size=5)


@given(machines)
@settings(max_examples=40, deadline=None)
def test_no_two_in_one_place_and_all_weight_counted(drawn):
    """Proposed places never meet others, and the whole weighs what its parts weigh."""
    rows = "".join(
        f"  m{number}: {{is: node, in: r, height: {tall} U, weighs: {mass} kg, depth: 500 mm}}\n"
        for number, (tall, mass, _) in enumerate(drawn)
    )
    sheet = one(
        "lab: l\nplaces: {r: {is: rack, units: 12, weighs: 30 kg, foot: 10 cm, width: 600 mm, depth: 800 mm}}\n"
        f"machines:\n  old: {{is: node, in: r, at: 4 U, height: 2 U, weighs: 9 kg, depth: 500 mm}}\n{rows}"
    )
    held = [(each.at, each.at + each.height) for each in sheet.mounted]
    assert all(a[1] <= b[0] or b[1] <= a[0] for a, b in itertools.combinations(held, 2))
    mass = sum(each[1] for number, each in enumerate(drawn) if f"m{number}" not in sheet.left_over)
    assert sheet.whole.mass_kg == pytest.approx(30 + 9 + mass)
    free = sum(last - first + 1 for first, last in sheet.free)
    assert free + sum(each.height for each in sheet.mounted) == 12


def test_the_observatory_by_hand():
    """The sheet of docs/explanation/sheet.md: 132 kg in the rack, its centre at 53.5 cm, 29.3 degrees sideways."""
    from tests.faces.report.pictures import ROOT

    from falsework.model.build import load

    sheet = racks(load(ROOT / "examples/observatory/mended.yaml")).racks[0]
    # By hand: rack 70 kg at 0.75 m; battery 31 at 0.1645; twins 24 each at 0.2978, 0.3867, 0.4756; keep 19 at 0.6756;
    # care-sw 1 at 1.0757; sw-1 3 at 1.1201; sw-2 3 at 1.1646; strips 1.5 each half-way up, at 0.6534.
    moment = (
        70 * 0.75
        + 31 * 0.16445
        + 24 * (0.2978 + 0.3867 + 0.4756)
        + 19 * 0.675625
        + 1 * 1.075675
        + 3 * (1.120125 + 1.164575)
        + 2 * 1.5 * 0.6534
    )
    assert sheet.whole.mass_kg == pytest.approx(202)
    assert sheet.whole.height_m == pytest.approx(moment / 202, abs=1e-6)
    assert sheet.sideways_deg == pytest.approx(math.degrees(math.atan(0.3 / (moment / 202))))
    assert sheet.pushed.tips_nm == pytest.approx(250 * (0.12 + 24 * 0.04445))
