"""Which probe asks from within the blast?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.errors import few
from falsework.findings.finding import Finding, Level
from falsework.model.drilling import Probe
from falsework.model.parts import ThingId
from falsework.support.blast import in_blast
from falsework.support.standing import Standing


def probing(standing: Standing) -> Iterator[Finding]:
    """Probes that fall with what they see, told once."""
    found = list(in_blast(standing))
    if not found:
        return
    first = found[0]
    probe = standing.lab.things[ThingId(first.probe)]
    assert isinstance(probe, Probe)
    names = [each.probe for each in found]
    yield Finding(
        code="probe in the blast",
        level=Level.REMARK,
        says=f"{few(names)} {'falls' if len(names) == 1 else 'fall'} silent with what {'it' if len(names) == 1 else 'they'} should see",
        why=tuple(
            f"lose {few(each.parts, 3)}: {each.from_}, from which {each.probe} asks, falls with {each.sees}"
            for each in found[:3]
        ),
        mend="let something that does not fall with it ask as well, or expect a sign of life from it",
        where=probe.place("from_"),
        things=tuple(names),
    )
