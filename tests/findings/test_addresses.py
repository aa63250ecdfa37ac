"""Are addresses that run out, overlap a pool or may change told, and nothing else?"""

from tests.address_labs import lab, lab_text

from falsework.findings.rules.addresses import given

MACHINES = [f"m-{number}" for number in range(1, 10)]


def found(text):
    """The codes and the findings of a lab."""
    those = list(given(lab(text)))
    return [each.code for each in those], those


def house(keys, machines=MACHINES, **more):
    """A lab with one network."""
    return lab_text(machines, {"house": keys}, ranges=more.pop("ranges", ""), **more)


def test_a_lab_in_order_is_left_alone():
    """Room left, pool as large as wanted, nothing recorded in it: nothing is told; nor of a lab without networks."""
    keys = "subnet: 10.0.0.0/24, fixed: .2-.49, pool: .100-.199, pool for: 100"
    assert found(house(keys, book="house: {m-1: 10.0.0.9}"))[0] == []
    assert found("falsework: 1\nlab: x\nmachines: {a: {is: node}}\n")[0] == []


def test_a_network_that_is_nearly_full_is_told():
    """Nine of ten is told, nine of eleven is not; none left for one names it."""
    codes, (finding,) = found(house("subnet: 10.0.0.0/24, fixed: .2-.11"))
    assert codes == ["addresses run out"]
    assert finding.says == "house has 1 of 10 fixed addresses left"
    assert finding.where.line > 1
    assert found(house("subnet: 10.0.0.0/24, fixed: .2-.12"))[0] == []
    _, (finding,) = found(house("subnet: 10.0.0.0/24, fixed: .2-.9"))
    assert finding.says == "house has no fixed address left for m-9"
    assert "widen `fixed`" in finding.mend


def test_a_pool_that_is_too_small_is_told():
    """Fifty are there and sixty are wanted."""
    codes, (finding,) = found(house("subnet: 10.0.0.0/24, pool: .100-.149, pool for: 60"))
    assert codes == ["pool too small"]
    assert "has 50 addresses, and 60" in finding.says


def test_an_address_in_the_pool_is_told():
    """Recorded, or of a service; each with its place."""
    text = house(
        "subnet: 10.0.0.0/24, pool: .100-.149",
        services=["door: {on: m-1, floats: 10.0.0.101 in 4 s}"],
        book="house: {m-1: 10.0.0.100}",
    )
    codes, those = found(text)
    assert codes == ["address in the pool"] * 2
    assert [each.things[0] for each in those] == ["m-1", "door"]


def test_a_subnet_for_documentation_is_told():
    """Hosts answer there, and it is kept for something else. Source: RFC 5737, section 3 (G07)."""
    codes, (finding,) = found(house("subnet: 192.0.2.0/24"))
    assert codes == ["subnet kept for others"]
    assert finding.why == ("RFC 5737, section 3",)


def test_a_name_server_at_an_address_that_may_change_is_told():
    """Where the owner keeps some addresses; no longer once its own is kept or said, nor where nothing is kept at all."""
    services = ["names: {on: m-1}", "files: {on: m-2, named: files from names}"]
    keys = "subnet: 10.0.0.0/24"
    codes, (finding,) = found(house(keys, services=services, book="house: {m-2: 10.0.0.9}"))
    assert codes == ["address not kept"]
    assert finding.things == ("names", "m-1")
    assert found(house(keys, services=services, book="house: {m-1: 10.0.0.9}"))[0] == []
    assert found(house(keys, services=services))[0] == []
    said = ["names: {on: m-1, reached at: 10.0.0.77}", *services[1:]]
    assert found(house(keys, services=said, book="house: {m-2: 10.0.0.9}"))[0] == []
