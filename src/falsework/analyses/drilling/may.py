"""May this drill be done today?

The answer is no, with what to mend first, where

- it is meant to prove an aim that, with what is out today, would break: then nothing is proved, and people are hurt;
- a service falls that the plan without today's faults does not let fall, and that the owner does not let stop;
- data would be lost, or would be lost if one part more failed meanwhile, and is not so as things are;
- data lies on what is taken out, and none of its backups was ever restored from;
- no alarm leaves while it lasts: then nobody is told of what else fails;
- what is to be taken out is out already, or a backup that is to be restored can't be reached: nothing would be tried.

What is merely interrupted as foretold, or has less to spare until it is put back, is told and does not speak against
it: a drill takes out a spare, so something always has less to spare, and no drill could ever be done.
"""

from __future__ import annotations

from falsework.analyses.drilling.may_result import Against, Because, MayDrill
from falsework.analyses.drilling.minding import first, mind
from falsework.analyses.drilling.result import Plan
from falsework.analyses.drilling.weighing import Weighing
from falsework.errors import sentence
from falsework.support.standing import Standing

__all__ = ["Against", "Because", "MayDrill", "may_drill"]


def may_drill(standing: Standing, plan: Plan, *, planned: Standing | None = None) -> MayDrill:
    """Whether a drill may be done today, with what is known to be out.

    Args:
        standing: the lab, with what is out today.
        plan: the drill.
        planned: the same lab with nothing out, where somebody has it.

    Cost:
        Every further part lost on top of the drill, once; where the answer is no, the lab asked again for each of
        up to four parts that are out.
    """
    weighing = Weighing(standing, plan, planned)
    because = weighing.because()
    return MayDrill(
        drill=plan.name,
        yes=not because,
        because=because,
        first=tuple(map(sentence, first(weighing, because))),
        mind=tuple(map(sentence, mind(weighing))) if not because else (),
        effects=weighing.effects,
        out=tuple(sorted(standing.out)),
    )
