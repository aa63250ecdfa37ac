"""Are outages measured as they were made? Real servers are broken in every way at once, and watched meanwhile."""

import time
from collections.abc import Mapping
from pathlib import Path

import pytest
from tests.loopback.watching import WITHIN_S, Span, off_s, watched
from tests.loopback.yard import HeldUpError, calmly, certificate, yard

from falsework.record.observed import Observed
from falsework.record.seen import Told

pytestmark = pytest.mark.slow

OUT_S = 1.5
"""How long things are out: longer than a probe's patience, or what is frozen or slow would only be late."""
ORDINARY_S = 1.5
"""How long all is well beforehand, so that it is known how long an answer usually takes."""


SERVERS = ("tcp", "quick", "http", "https", "tls", "dns", "late", "one", "two", "front")


FAULTS = {
    "tcp": ("kill", "restart"),
    "tls": ("kill", "restart"),
    "http": ("freeze", "thaw"),
    "https": ("freeze", "thaw"),
    "dns": ("freeze", "thaw"),
}
FLOAT_S = 0.4
"""How long it takes until another copy is asked."""


def held(seen: Observed, truth: Mapping[str, tuple[Span, Span]]) -> None:
    """Each probe saw the one outage that was made, from when to when it was, and no other."""
    outages = {each.probe: each.outages for each in seen.probes}
    assert {name: len(found) for name, found in outages.items()} == {
        name: int(name in truth) for name in outages
    }
    off = {name: off_s(outages[name][0], *both) for name, both in truth.items()}
    assert {name: both for name, both in off.items() if max(both) > WITHIN_S} == {}


@calmly
def test_outages_are_as_long_as_they_were_made(tmp_path: Path) -> None:
    """Killed, frozen, slowed, switched over: each sort of probe sees it from when to when it was, and nothing else."""
    pem = certificate(tmp_path / "front.pem", address="127.0.0.21")
    with yard() as made:
        ports = dict(zip(SERVERS, made.free_ports(len(SERVERS)), strict=True))
        at = "127.0.0.21"

        def start(name: str, kind: str, **more: object) -> None:
            made.do("start", name, kind=kind, address=at, port=ports[name], **more)

        for name, kind in (
            ("tcp", "tcp"),
            ("quick", "http"),
            ("http", "http"),
            ("late", "http"),
            ("one", "http"),
            ("two", "http"),
        ):
            start(name, kind)
        for name in ("https", "tls"):
            start(name, name, certificate=str(pem))
        start("dns", "dns", known="a.rock", answer="10.9.0.7")
        start("front", "forward", answer=f"{at}:{ports['one']}")
        lab = tmp_path / "yard.yaml"
        lab.write_text(
            "lab: Yard\nprobes:\n"
            f"  tcp: {{asks: tcp {at} port {ports['tcp']}, expects: ready}}\n"
            f"  quick: http://{at}:{ports['quick']}/\n"
            f"  http: {{asks: 'http://{at}:{ports['http']}/', expects: status 200}}\n"
            f"  https: https://{at}:{ports['https']}/\n"
            f"  tls: tls {at} port {ports['tls']}\n"
            f"  dns: {{asks: dns a.rock at {at} port {ports['dns']}, expects: 10.9.0.7}}\n"
            f"  late: http://{at}:{ports['late']}/\n"
            f"  front: http://{at}:{ports['front']}/\n"
        )
        with watched(made, lab, trusted=pem) as watch:
            watch.until_all(Told.YES)
            time.sleep(ORDINARY_S)
            began = {name: watch.when(made.do(do, name)) for name, (do, _) in FAULTS.items()}
            began["late"] = watch.when(made.do("slow", "late", by_s=30.0))
            time.sleep(OUT_S)
            ended = {name: watch.when(made.do(do, name)) for name, (_, do) in FAULTS.items()}
            ended["late"] = watch.when(made.do("slow", "late"))
            began["front"] = watch.when(made.do("kill", "front"))
            time.sleep(FLOAT_S)
            ended["front"] = watch.when(made.do("restart", "front", answer=f"{at}:{ports['two']}"))
            watch.until_all(Told.YES)
        held(watch.seen(), {name: (began[name], ended[name]) for name in began})


@calmly
def test_a_certificate_that_runs_out_is_an_outage_from_then_on(tmp_path: Path) -> None:
    """To the moment that the certificate names, and it says why."""
    pem = certificate(
        tmp_path / "front.pem", address="127.0.0.22", lasts_s=7.0 if tmp_path.name == "try-0" else 30.0
    )
    with yard() as made:
        (port,) = made.free_ports(1)
        made.do("start", "page", kind="https", address="127.0.0.22", port=port, certificate=str(pem))
        lab = tmp_path / "yard.yaml"
        lab.write_text(f"lab: Yard\nprobes:\n  page: https://127.0.0.22:{port}/\n")
        with watched(made, lab, trusted=pem) as watch:
            watch.until(lambda probes: probes[0].told in (Told.YES, Told.NO))
            if ends_s(pem) < time.time():
                raise HeldUpError(
                    time.time() - ends_s(pem), "the certificate was over before it was looked at"
                )
            watch.until_all(Told.NO)
        (probe,) = watch.seen().probes
        (outage,) = probe.outages
        over_s = ends_s(pem) - time.time() + time.clock_gettime(time.CLOCK_BOOTTIME) - watch.zero_s
        assert "certificate is over" in outage.says
        # A certificate is good for the whole of its last second.
        assert outage.good_s - WITHIN_S <= over_s <= outage.bad_s + 1.0 + WITHIN_S


def ends_s(pem: Path) -> float:
    """When a certificate is over, seconds since 1970."""
    from cryptography import x509

    return x509.load_pem_x509_certificate(pem.read_bytes()).not_valid_after_utc.timestamp()


@calmly
def test_machines_that_are_cut_off_and_addresses_that_move(tmp_path: Path) -> None:
    """A cut machine is silent from when to when it was cut; a floating address is out from one copy to the other."""
    with yard(walled=True) as made:
        made.do("switch", "s")
        made.do("here", "s", address="10.9.0.1/24")
        for machine, last in (("a", 2), ("b", 3), ("c", 4)):
            made.do("machine", machine, switch="s", address=f"10.9.0.{last}/24")
            made.do("start", f"page-{machine}", machine=machine, kind="http", address="0.0.0.0", port=80)
        made.do(
            "start",
            "names",
            machine="c",
            kind="dns",
            address="0.0.0.0",
            port=53,
            known="a.rock",
            answer="10.9.0.2",
        )
        made.do("add_address", "a", address="10.9.0.9/24")
        lab = tmp_path / "yard.yaml"
        lab.write_text(
            "lab: Yard\nprobes:\n"
            "  floats: http://10.9.0.9/\n  a: ping 10.9.0.2\n  b: http://10.9.0.3/\n"
            "  c: http://10.9.0.4/\n  see c: ping 10.9.0.4\n  names: dns a.rock at 10.9.0.4\n"
        )
        with watched(made, lab) as watch:
            watch.until_all(Told.YES)
            cut = watch.when(made.do("cut", "c"))
            moved = watch.when(made.do("drop_address", "a", address="10.9.0.9/24"))
            time.sleep(OUT_S)
            there = watch.when(made.do("add_address", "b", address="10.9.0.9/24"))
            joined = watch.when(made.do("join", "c", switch="s"))
            watch.until_all(Told.YES)
        truth = dict.fromkeys(("c", "see c", "names"), (cut, joined)) | {"floats": (moved, there)}
        held(watch.seen(), truth)
