"""Which results are worth telling? One function a topic, each from results to findings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from falsework import units
from falsework.analyses.aims import AimResult, cold_reasons, few
from falsework.analyses.build import Buildable
from falsework.analyses.cold_start import ColdStart
from falsework.analyses.explain import told
from falsework.analyses.order import Order
from falsework.analyses.shutdown import Shutdown
from falsework.analyses.verdicts import Singles, Verdict, losses
from falsework.findings.finding import DATA_CAUTION, POWER_CAUTION, Finding, Level
from falsework.findings.mends import mend
from falsework.model.parts import Cable, Circuit, Drive, Node, Strip, ThingId
from falsework.model.people import Alarm
from falsework.model.rules import layout
from falsework.model.services import Copy, Data, Service, Store
from falsework.support import power
from falsework.support.graph import Role
from falsework.support.standing import Standing
from falsework.units import Dimension

LONG_SHARE = 0.8
"""Continuous load of three hours or more: at most 80 % of the breaker (NEC 210.20(A) rule, as quoted in public notes)."""


def aims(results: Sequence[AimResult], standing: Standing) -> Iterator[Finding]:
    """Broken aims."""
    for result in results:
        if result.met is not False:
            continue
        service = result.effect.service if result.effect else ""
        yield Finding(
            code="aim broken",
            level=Level.BROKEN,
            says=f"{result.name}: {result.says}",
            why=result.why,
            mend=mend(result.witness, service, standing) if result.witness and service else "",
            where=result.where,
            things=result.witness.lost if result.witness else (),
            services=(service,) if service else (),
        )


def down_already(standing: Standing) -> Iterator[Finding]:
    """Services and nodes that do not stand with nothing lost."""
    loss = losses(standing, [()])[0]
    for name in standing.support.things:
        thing = standing.support.things[name]
        if name in loss.down and thing.word in ("service", "node", "store", "switch", "alarm") and name not in standing.out:
            yield Finding(
                code="down already",
                level=Level.BROKEN if not standing.out else Level.REMARK,
                says=f"{name} does not stand although nothing {'more ' if standing.out else ''}is lost",
                why=(told(loss.why(name)),),
                mend="correct the lab file where the chain ends, or mend the part",
                where=thing.where,
                things=(name,),
            )


def single_points(singles: Singles, standing: Standing, known: Sequence[Finding]) -> Iterator[Finding]:
    """Parts whose loss brings something down, those that do the same told together, most services first."""
    hurt = singles.verdicts >= Verdict.FALLS
    groups: dict[bytes, list[int]] = {}
    for column in np.flatnonzero(hurt.any(axis=0)):
        groups.setdefault(singles.verdicts[:, column].tobytes(), []).append(int(column))
    told_of = {finding.things for finding in known}
    firsts = [(columns, singles.parts[_loudest(columns, singles, standing)]) for columns in groups.values()]
    results = losses(standing, [(first,) for _, first in firsts])
    for (columns, first), loss in zip(firsts, results, strict=True):
        services = [service for row, service in enumerate(singles.services) if hurt[row, columns[0]]]
        worst = max(services, key=lambda service: (loss.of(service).verdict, -loss.of(service).falls_s))
        others = [singles.parts[column] for column in columns if singles.parts[column] != first]
        alike = f" (so does losing {few(others, 3)})" if others else ""
        verb = "loses its data" if loss.of(worst).verdict is Verdict.LOST else "falls"
        says = f"lose {first}: {few(services)} {verb if len(services) == 1 else verb.replace('loses its', 'lose their').replace('falls', 'fall')}{alike}"
        if (first,) in told_of:
            continue
        yield Finding(
            code="single point",
            level=Level.REMARK,
            says=says,
            why=(told(loss.why(worst)),),
            mend=mend(loss, worst, standing),
            where=standing.support.things[first].where,
            things=(first, *others),
            services=tuple(services),
        )


def _loudest(columns: Sequence[int], singles: Singles, standing: Standing) -> int:
    """Of parts that do the same, the one to name: what a person would pull, not a cable or supply inside it."""
    rank = {"enclosure": 0, "node": 1, "switch": 1, "strip": 2, "circuit": 3, "ups": 3, "outside": 4, "room": 5, "rack": 5}
    return min(columns, key=lambda column: (rank.get(standing.support.things[singles.parts[column]].word, 9), column))


def trips(standing: Standing) -> Iterator[Finding]:
    """Sources that trip when another one is lost, and those that are loaded close to their limit as it is."""
    for load in standing.support.loads:
        others = sorted({supply for _, _, supplies in load.draws for supply in supplies})
        sources = sorted({each for supply in others for each in _sources(standing, supply)})
        for source, view in zip(sources, standing.views([(source,) for source in sources]), strict=True):
            if not view.up(load.source) and source not in _chain(standing, load.source):
                carried = sum(draw * mine / (mine + sum(view.up(each) for each in rest)) for draw, mine, rest in load.draws)
                yield Finding(
                    code="trips",
                    level=Level.REMARK,
                    says=f"lose {source}: {load.source} would have to carry {carried:,.0f} W and trips above {load.limit_w:,.0f} W",
                    mend=f"move machines off {load.source}, or feed it from a stronger circuit",
                    where=standing.support.things[load.source].where,
                    things=(load.source, source),
                    caution=POWER_CAUTION,
                )
                break
    draws = power.Draws(standing.lab)
    volts = power.volts_at(standing.lab, draws)
    for thing in (*standing.lab.of(Circuit), *standing.lab.of(Strip)):
        limit = power.limit_w(thing, volts)
        usual = draws.usual_w(thing.id)
        if limit and usual > limit * LONG_SHARE:
            yield Finding(
                code="close to the limit",
                level=Level.REMARK,
                says=f"{thing.id} carries {usual:,.0f} W when busy, {usual / limit:.0%} of what it is rated for",
                why=(f"for loads that last three hours or more the common rule is at most {LONG_SHARE:.0%}",),
                mend="move machines to another circuit",
                where=thing.where,
                things=(thing.id,),
                caution=POWER_CAUTION,
            )


def _sources(standing: Standing, supply: str) -> tuple[str, ...]:
    lean = next((lean for lean in standing.support.things[supply].leans if lean.role is Role.POWER), None)
    return lean.on if lean else ()


def _chain(standing: Standing, source: str) -> tuple[str, ...]:
    return power.Draws(standing.lab).chain(source)


def cold(result: ColdStart, standing: Standing) -> Iterator[Finding]:
    """What does not come back after a power cut."""
    services = [name for name in result.stuck if standing.support.things[name].word == "service"]
    if not result.stuck:
        return
    names = services or list(result.stuck)
    first = result.circles[0][0] if result.circles else (result.by_hand or result.too_early or result.stuck)[0]
    yield Finding(
        code="stays down",
        level=Level.REMARK,
        says=f"after a power cut {few(names)} {'does' if len(names) == 1 else 'do'} not come back without hands",
        why=tuple(cold_reasons(result)),
        mend=_cold_mend(result),
        where=standing.support.things[first].where,
        things=result.stuck,
        services=tuple(services),
    )


def _cold_mend(result: ColdStart) -> str:
    if result.circles:
        return "cut the circle: reach one of them by a fixed address, keep a local copy, or give it a second provider outside"
    if result.by_hand:
        return f"let {few(result.by_hand)} come on by itself when power returns"
    return "let it keep trying, or start it after what it needs"


def shutdown(results: Sequence[Shutdown], standing: Standing) -> Iterator[Finding]:
    """Batteries that end too soon, and messages that do not arrive."""
    for result in results:
        where = standing.support.things[result.ups].where
        if result.cut_hard:
            last = max(result.done_s.values())
            short = units.format(last - result.runtime_s, Dimension.TIME)
            latest = units.format(max(result.latest_signal_s, 0.0), Dimension.TIME)
            yield Finding(
                code="battery too short",
                level=Level.REMARK,
                says=(
                    f"{result.ups} lasts {units.format(result.runtime_s, Dimension.TIME)}, and stopping in order takes until "
                    f"{units.format(last, Dimension.TIME)}: {few(result.cut_hard)} is cut hard, {short} short"
                ),
                why=("the load is taken as constant, the careful assumption",),
                mend=f"signal at most {latest} after the cut" if result.latest_signal_s > 0 else "take a larger battery, or less load",
                where=where,
                things=(result.ups, *result.cut_hard),
                caution=DATA_CAUTION,
            )
        if result.unreached:
            yield Finding(
                code="message not delivered",
                level=Level.REMARK,
                says=f"{result.ups} tells {few(result.unreached)} to stop over switches that are down by then",
                mend="feed those switches from the battery too",
                where=where,
                things=(result.ups, *result.unreached),
            )


def batches(standing: Standing) -> Iterator[Finding]:
    """Drives of one batch that together would be too many for their store."""
    for store in standing.lab.of(Store):
        drives = [thing for thing in standing.lab.named(store.drives.ids if store.drives else ()) if isinstance(thing, Drive)]
        working = drives[: len(drives) - store.spares]
        plan = layout(store.layout, len(working))
        size = plan.group or len(working)
        for first in range(0, len(working), size):
            group = working[first : first + size]
            counts: dict[str, list[str]] = {}
            for drive in group:
                if drive.batch:
                    counts.setdefault(drive.batch, []).append(drive.id)
            for batch, names in counts.items():
                if len(names) > plan.survives > 0:
                    yield Finding(
                        code="one cause takes both",
                        level=Level.REMARK,
                        says=f"{few(names)} of {store.id} are of batch {batch}: one cause may take {'both' if len(names) == 2 else 'them all'} at once",
                        why=(f"{store.id} survives the loss of {plan.survives}",),
                        mend="swap one of them with a drive of another batch",
                        where=store.place("drives"),
                        things=(store.id, *names),
                        caution=DATA_CAUTION,
                    )


def backups(standing: Standing) -> Iterator[Finding]:
    """Backups that share the fate of their source, come too rarely, or were never restored."""
    kept = [data for data in standing.lab.of(Data) if data.backed_up]
    for data in kept:
        for number, backup in enumerate(data.backed_up, start=1):
            if data.may_lose is not None and backup.every is not None and backup.every > data.may_lose and len(data.backed_up) == 1:
                yield Finding(
                    code="backup too rare",
                    level=Level.REMARK,
                    says=f"{data.id} may lose {units.format(data.may_lose, Dimension.TIME)} of work and is backed up every {units.format(backup.every, Dimension.TIME)}",
                    mend="back it up more often, or allow more loss",
                    where=backup.where,
                    things=(data.id,),
                    caution=DATA_CAUTION,
                )
            shared = _shared_fate(standing, data, number)
            if shared:
                yield Finding(
                    code="backup on its source",
                    level=Level.REMARK,
                    says=f"the backup of {data.id} to {', '.join(backup.to.ids)} is lost together with what it backs up",
                    why=(f"both lie on {few(shared)}",),
                    mend="keep the backup on drives that hold none of the original, best in another room",
                    where=backup.to.where,
                    things=(data.id, *shared),
                    services=data.of.ids if data.of else (),
                    caution=DATA_CAUTION,
                )


def _shared_fate(standing: Standing, data: Data, number: int) -> tuple[str, ...]:
    """Stores whose loss takes the data and this backup of it."""
    shared = []
    for store in standing.lab.of(Store):
        drives = store.drives.ids if store.drives else ()
        view = standing.views([[drive for drive in drives if drive not in standing.out]])[0]
        if not view.kept(f"held:{data.id}") and not view.kept(f"backup {number} of {data.id}"):
            shared.append(store.id)
    return tuple(shared)


def alarms(standing: Standing, singles: Singles) -> Iterator[Finding]:
    """Alarms that fall with what they should tell of, and silence that nobody outside would notice."""
    bells = standing.lab.of(Alarm)
    if not bells:
        return
    rows = [singles.services.index(bell.id) for bell in bells]
    others = [row for row in range(len(singles.services)) if row not in rows]
    hurt = (singles.verdicts[others] >= Verdict.FALLS).any(axis=0) & (singles.verdicts[rows] >= Verdict.FALLS).all(axis=0)
    parts = [singles.parts[column] for column in np.flatnonzero(hurt)]
    parts = [loss.lost[0] for loss in losses(standing, [(part,) for part in parts]) if all(loss.of(bell.id).falls_s <= (bell.told_in or 300.0) for bell in bells)]
    if parts:
        yield Finding(
            code="nobody is told",
            level=Level.REMARK,
            says=f"lose {few(parts)}: services fall, and no alarm leaves",
            why=tuple(told(losses(standing, [(parts[0],)])[0].why(bell.id)) for bell in bells[:1]),
            mend="let an alarm leave by a way that none of these carries",
            where=bells[0].place("leaves_by"),
            things=tuple(parts),
        )
    for bell in bells:
        if bell.silence_seen_by is None and not any(each.silence_seen_by for each in bells):
            yield Finding(
                code="silence goes unseen",
                level=Level.REMARK,
                says=f"nobody outside notices when {bell.id} falls silent",
                mend="let something outside expect a sign of life: add `silence seen by`",
                where=bell.where,
                things=(bell.id,),
            )
            break


_SLIPS: Mapping[str, tuple[str, str]] = {
    "unmet": ("step {step}: {thing} needs {on}, which is not there yet", "bring {on} before, or lend a stand-in for it"),
    "two owners": ("from step {step} both {on} and {thing} serve", "retire {on} in the step that brings {thing}, or in the next"),
    "left": ("{on} is never retired", "add a step with retires: {on}"),
    "breaks": ("step {step} stops {thing}, which still leans on {on}", "repoint {thing} before {on} is retired"),
    "address": ("step {step} takes away {on}, whose address {thing} has learnt", "add repoints: {thing} before, or give the service an address that moves"),
}


def order(result: Order) -> Iterator[Finding]:
    """Slips in the hand-written order of work."""
    for slip in result.slips:
        says, how = _SLIPS[slip.what]
        values = {"step": slip.step, "thing": slip.thing, "on": slip.on}
        yield Finding(
            code="order", level=Level.REMARK, says=says.format(**values), mend=how.format(**values), where=slip.where,
            things=(slip.thing, slip.on),
        )


def build(result: Buildable, standing: Standing) -> Iterator[Finding]:
    """What nothing could build."""
    if not result.stuck:
        return
    yield Finding(
        code="can't be built",
        level=Level.REMARK,
        says=f"{few(result.stuck)} can't be built from nothing: each needs another of them first",
        mend="accept a stand-in for one of them under stand-ins",
        where=standing.support.things[result.stuck[0]].where,
        things=result.stuck,
    )


def never_proved(standing: Standing) -> Iterator[Finding]:
    """Failovers and restores that nobody has seen work, told once."""
    moving = [service for service in standing.lab.of(Service) if (service.takes_over is not None or service.floats is not None) and service.proved is None]
    if moving:
        yield Finding(
            code="never proved",
            level=Level.REMARK,
            says=f"the failover of {few([service.id for service in moving])} was never seen to work",
            mend="try it once, and write the day under `proved`",
            where=moving[0].where,
            things=tuple(service.id for service in moving),
        )
    backed = [data for data in standing.lab.of(Data) for backup in data.backed_up if backup.restored is None]
    if backed:
        yield Finding(
            code="never proved",
            level=Level.REMARK,
            says=f"no restore of {few(list(dict.fromkeys(data.id for data in backed)))} was ever seen to work",
            mend="restore one file, and write the day under `restored`",
            where=backed[0].place("backed_up"),
            things=tuple(dict.fromkeys(data.id for data in backed)),
            caution=DATA_CAUTION,
        )


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
                if isinstance(service, Service) and len(service.reached_at) > len(known) > 0 and service.serves == "any":
                    yield Finding(
                        code="one address known",
                        level=Level.REMARK,
                        says=f"{name} knows {len(known)} of the {len(service.reached_at)} addresses of {target}",
                        mend=f"let it know them all: write the need as {target}",
                        where=lean.where,
                        things=(name, target),
                    )


def rank(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """Broken before remarks, then what hurts most services, then in the order of the file; each once."""
    unique = list(dict.fromkeys(found))
    order_of = {code: number for number, code in enumerate(dict.fromkeys(finding.code for finding in unique))}
    return tuple(
        sorted(unique, key=lambda finding: (finding.level, order_of[finding.code], -len(finding.services), finding.where or ("", 0, 0), finding.says))
    )

