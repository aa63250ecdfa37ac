"""Who is plugged in nowhere, or knows too few addresses?"""

from __future__ import annotations

from collections.abc import Iterator

from falsework.errors import few
from falsework.findings.finding import Finding, Level
from falsework.model.parts import Cable, Node, ThingId
from falsework.model.services import Copy, Service
from falsework.support.standing import Standing


def wiring(standing: Standing) -> Iterator[Finding]:
    """Nodes without a cable where cables are described, and clients that know only some of the addresses."""
    if standing.lab.of(Cable):
        wired = {machine for cable in standing.lab.of(Cable) for machine, _ in cable.ends}
        hosts = {copy.host for copy in standing.lab.of(Copy)}
        bare = [node.id for node in standing.lab.of(Node) if node.id not in wired and node.id in hosts]
        if bare:
            yield Finding(
                code="not wired",
                level=Level.REMARK,
                says=f"{few(bare)} {'has' if len(bare) == 1 else 'have'} no cable, so {'it is' if len(bare) == 1 else 'they are'} taken to reach everything",
                mend="add the cable under wire",
                where=standing.lab.things[ThingId(bare[0])].where,
                things=tuple(bare),
            )
    for name, thing in standing.support.things.items():
        if thing.word != "copy":
            continue
        for lean in thing.leans:
            for target in lean.on if lean.at else ():
                answers = standing.support.answers.get(target, {})
                known = {copy for address in lean.at for copy in answers.get(address, ())}
                service = standing.lab.things[ThingId(target)]
                if (
                    isinstance(service, Service)
                    and len(service.reached_at) > len(known) > 0
                    and service.serves == "any"
                ):
                    yield Finding(
                        code="one address known",
                        level=Level.REMARK,
                        says=f"{name} knows {len(known)} of the {len(service.reached_at)} addresses of {target}",
                        mend=f"let it know them all: write the need as {target}",
                        where=lean.where,
                        things=(name, target),
                    )
