"""The observatory's sheet in the handbook: worked by hand there, and held here."""

import math
import re
from pathlib import Path

import pytest

from falsework.analyses.addresses import addresses
from falsework.analyses.noise.whole import noise
from falsework.analyses.power.whole import power
from falsework.analyses.rack import racks
from falsework.lab.read import read_text
from falsework.model.build import build, load
from falsework.model.parts import Ups
from falsework.support.power import runtime_s
from falsework.support.standing import Standing

ROOT = Path(__file__).parents[1]
MENDED = ROOT / "examples" / "observatory" / "mended.yaml"
PAGE = (ROOT / "docs" / "explanation" / "sheet.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def standing():
    """The mended observatory."""
    return Standing(load(MENDED))


@pytest.fixture(scope="module")
def fed(standing):
    """What each source carries, by name."""
    return {feed.id: feed for feed in power(standing).sheet.feeds}


def on_the_page(*texts):
    """The page says so."""
    assert all(text in PAGE for text in texts), [text for text in texts if text not in PAGE]


def test_strips_and_circuits(fed):
    """Busy now and after the worst loss, as added up on the page."""
    a = 3 * 240 / 2 + 92 / 2 + 2 * 45 + 22 + 18 + 8
    b = 3 * 240 / 2 + 92 / 2 + 2 * 45 + 22 + 18
    assert (fed["A"].busy.watts, fed["B"].busy.watts) == pytest.approx((a, b))
    assert fed["A"].worst.carried.watts == pytest.approx(720 + 92 + 90 + 48)
    assert fed["B"].worst.carried.watts == pytest.approx(720 + 92 + 90 + 40)
    assert (fed["c1"].busy.watts, fed["c2"].busy.watts) == pytest.approx((a + 80, b + 104))
    assert fed["c1"].worst.carried.watts == pytest.approx(1030)
    assert fed["c2"].worst.carried.watts == pytest.approx(1046)
    assert fed["c1"].limits.watts == pytest.approx(16 * 230)
    assert fed["c1"].limits.watts * fed["c1"].limits.lasting == pytest.approx(2944)
    on_the_page("544 W", "536 W", "950 W", "942 W", "1,030 W", "1,046 W", "2,944 W")


def test_the_battery(standing):
    """Read off its curve along straight lines."""
    (battery,) = standing.lab.of(Ups)
    assert runtime_s(battery, 544) / 60 == pytest.approx(40 - 22 * (544 - 450) / 450)
    assert runtime_s(battery, 950) / 60 == pytest.approx(18 - 8 * (950 - 900) / 400)
    on_the_page("35.4 min", "17.0 min")


def test_power_that_returns(standing):
    """The first moment on c1, against five times the rating of its breaker; and what plain strips would make of it."""
    rush = next(each for each in power(standing).inrush.sources if each.source == "c1")
    assert rush.moments[0].surge_a == pytest.approx(20 + 35 + 12 + (8 + 3 * 9) * 10 / (230 * 0.95))
    assert max(each.surge_a + each.running_a for each in rush.moments) == rush.moments[0].surge_a
    plain = build(read_text(MENDED.read_text(encoding="utf-8").replace(", staggers: 2 s", ""), "plain.yaml"))
    rush = next(each for each in power(Standing(plain)).inrush.sources if each.source == "c1")
    at_once = 20 + 3 * 35 + 20 + 3 * 12 + 8 + (18 + 8 + 8 + 3 * 9) * 10 / (230 * 0.95)
    assert rush.moments[0].surge_a == pytest.approx(at_once)
    on_the_page("69 A", "80 A", f"{at_once:.0f} A")


def test_energy(standing):
    """Ordinary days of a year of 365 days, and what the mains cost."""
    usual = 3 * 2 * 65 + 2 * 25 + 4 * 6.5 + 5 * 30 + 7 * 6.5 + 44 + 42.5 + 2 * 14 + 3 * 8
    found = power(standing).energy
    sums = {each.currency: each.amount for each in found.costs}
    assert sums["EUR"] == pytest.approx(usual * 8.760 * 0.38)
    on_the_page("800 W", "7,008 kWh", "2,663 EUR")


def test_heat(standing):
    """All that goes in, and the air that takes it out."""
    busy = 720 + 92 + 4 * 45 + 2 * 22 + 2 * 18 + 8
    room = next(each for each in power(standing).heat.rooms if each.place == "oil store")
    assert (room.busy.watts, room.busy.btu_h) == pytest.approx((busy, busy * 3.412142))
    assert room.busy.air_m3_h == pytest.approx(busy / (1.2 * 1005 * 12) * 3600)
    on_the_page("1,080 W", "3,685 BTU/h", "0.0746 m3/s", "269 m3/h")


def test_noise(standing):
    """Energies add; six decibels less at two metres."""
    rooms = {room.room: room for room in noise(standing.lab).rooms}
    at_1_m = 3 * 10**5.8 + 10**4.9 + 4 * 10**3.2 + 2 * 10**4.4 + 2 * 10**2.4 + 10**2.0 + 10**3.8
    assert at_1_m == pytest.approx(2_035_795, abs=2)
    machines = 10 * math.log10(at_1_m) - 20 * math.log10(2)
    whole = 10 * math.log10(10 ** (machines / 10) + 10**3.1)
    assert rooms["oil store"].level_db == pytest.approx(whole, abs=0.05)
    assert round(machines, 1) == 57.1
    on_the_page("63.1 dB", "57.1 dB", "2,035,795")


def test_the_rack(standing):
    """Every row of the table, the sum, the tilt and the push."""
    (sheet,) = racks(standing.lab).racks
    rows = re.findall(
        r"^\| [^|]+ \| (\d+) \| [^|]* ?\|? ?[^|]*?(\d+\.\d+) \| (\d+\.\d+) \|$", PAGE, re.MULTILINE
    )
    parts = rows[:-1]
    assert len(parts) == 9
    assert sum(int(mass) for mass, _, _ in parts) == 202 == round(sheet.whole.mass_kg)
    assert sum(float(product) for _, _, product in parts) == pytest.approx(108.17, abs=0.02)
    for mass, height, product in parts:
        assert int(mass) * float(height) == pytest.approx(float(product), abs=0.01)
    assert sheet.whole.height_m == pytest.approx(108.17 / 202, abs=2e-4)
    assert f"{sheet.sideways_deg:.1f} degrees" in PAGE
    assert f"{sheet.pushed.tips_nm:.0f} N m" in PAGE
    assert f"{sheet.pushed.holds_nm:.0f} N m" in PAGE
    assert f"{sheet.rolling.each_kg:.0f} kg" in PAGE


def test_addresses_of_the_house(standing):
    """A /24 and its blocks."""
    house = next(net for net in addresses(standing.lab).nets if net.name == "house")
    size = {block.kind: block.last - block.first + 1 for block in house.blocks}
    assert (size["fixed"], size["pool"], size["reserved"]) == (88, 100, 15)
    on_the_page("254 addresses", "88 of them", "request, 100", "kept free, 15")
