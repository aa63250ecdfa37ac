"""What do the definitions of an Open-PSA file say together?"""

from __future__ import annotations

from dataclasses import dataclass, field

from falsework.engines.trees.draft import Draft
from falsework.engines.trees.markup import Place
from falsework.engines.trees.opening import fault
from falsework.engines.trees.scope import Scope
from falsework.engines.trees.tree import Tree
from falsework.engines.trees.values import Parameter, Step, evaluate
from falsework.engines.trees.walk import Circle, Walk
from falsework.errors import FaultList, LabError, listed, shortened
from falsework.where import Where


@dataclass(slots=True, kw_only=True)
class Definitions:
    """Everything a file defines; names used are not looked up before all are known.

    Attributes:
        draft: the gates and events; inputs below zero are references, -1 - r for the reference r.
        events: names of gates, basic events and house events.
        parameters: names of parameters.
        faults: what is wrong so far.
        kinds: by node: gate, basic-event or house-event.
        steps: by node, the expression of a basic event that has one.
        parameter_steps: the expression of each parameter.
        trees: names of the fault trees.
    """

    draft: Draft
    events: Scope
    parameters: Scope
    faults: FaultList
    kinds: dict[int, str] = field(default_factory=dict)
    steps: dict[int, list[Step]] = field(default_factory=dict)
    parameter_steps: list[list[Step]] = field(default_factory=list)
    trees: list[str] = field(default_factory=list)

    def tree(self, top: str | None) -> Tree:
        """Return the tree below the top event.

        Args:
            top: its name; None where it is the gate that no other uses.

        Raises:
            LabError: a name means nothing, things lean on each other in a circle, an expression can't be
                worked out or is no probability, or the top event is not clear.
        """
        self.faults.raise_if_any()
        self._resolve()
        self.faults.raise_if_any()
        self._quantify()
        self.faults.raise_if_any()
        chosen = self._top(top)
        self.faults.raise_if_any()
        name = self.trees[0] if len(self.trees) == 1 else self.draft.names[chosen]
        return self.draft.tree(chosen, name)

    def _resolve(self) -> None:
        declares = "basic-event" in self.kinds.values()
        found: list[int] = []
        undeclared: dict[str, int] = {}
        for reference in self.events.references:
            node = self.events.find(reference)
            if node is None and not declares and reference.kind in ("", "basic-event"):
                # A file with no basic event declared gives a structure only: "it is not necessary".
                node = undeclared.get(reference.name)
                if node is None:
                    node = undeclared[reference.name] = self.draft.event(reference.name, reference.place)
            if node is None:
                self.events.complain(reference)
                node = 0
            elif reference.kind and (kind := self.kinds.get(node, "basic-event")) != reference.kind:
                self.faults.add(
                    Where(self.draft.file, *reference.place),
                    f"'{shortened(reference.name)}' is a {kind}, not a {reference.kind}",
                    f"Write <{kind} name=.../>.",
                )
            found.append(node)
        for node, inputs in enumerate(self.draft.inputs):
            if inputs:
                self.draft.connect(node, [found[-1 - mark] if mark < 0 else mark for mark in inputs])

    def _quantify(self) -> None:
        scope, written = self.parameters, self.parameter_steps
        meant = [scope.find(reference) for reference in scope.references]
        for reference, number in zip(scope.references, meant, strict=True):
            if number is None:
                scope.complain(reference)
        self.faults.raise_if_any()
        known = [number for number in meant if number is not None]
        leans = [[known[step.number] for step in steps if isinstance(step, Parameter)] for steps in written]
        try:
            order = Walk(leans).below(range(len(leans)))
        except Circle as circle:
            names = [f"'{shortened(scope.names[i])}'" for i in (*circle.members[:6], circle.members[0])]
            raise fault(
                Where(self.draft.file, *scope.places[circle.members[0]]),
                f"parameters lean on each other in a circle: {' leans on '.join(names)}",
                "Give one of them a number.",
            ) from None
        values: list[float | None] = [None] * len(known)
        uses: dict[int, list[int]] = {}
        for use, number in enumerate(known):
            uses.setdefault(number, []).append(use)
        for number in order:
            value = self._value(written[number], values, scope.places[number], scope.names[number])
            for use in uses.get(number, ()):
                values[use] = value
        for node, steps in self.steps.items():
            where, name = self.draft.where(node), self.draft.names[node]
            value = self._value(steps, values, where[1:], name)
            if value is not None and not 0 <= value <= 1:
                self.faults.add(
                    where,
                    f"the basic event '{shortened(name)}' has the probability {value:.6g}",
                    "A probability lies between 0 and 1.",
                )
            self.draft.set_probability(node, value)

    def _value(self, steps: list[Step], values: list[float | None], place: Place, name: str) -> float | None:
        try:
            return evaluate(steps, values)
        except (ArithmeticError, ValueError) as error:
            self.faults.add(
                Where(self.draft.file, *place),
                f"the expression of '{shortened(name)}' cannot be worked out ({error})",
                "Mend the expression, or write the number.",
            )
            return None

    def _top(self, wanted: str | None) -> int:
        gates = [node for node, kind in self.kinds.items() if kind == "gate"]
        start = Where(self.draft.file, 1, 1)
        if not gates:
            raise fault(start, "the file defines no gate", "Give it a <define-gate>, or name another file.")
        if wanted is not None:
            node = self.events.lookup(wanted)
            if node is None:
                raise fault(
                    start, f"no gate is called '{shortened(wanted)}'", self.events.hint(wanted)
                ) from None
            return node
        free = self.draft.unused(gates)
        if len(free) == 1:
            return free[0]
        if not free:
            self.draft.tree(None)  # every gate is used by another: there is a circle, and this names it
            raise LabError(())  # cannot be
        names = (f"'{shortened(self.draft.names[node])}'" for node in free)
        raise fault(
            self.draft.where(free[1]),
            f"{len(free)} gates are used by no other, so any could be the top event: {listed(names)}",
            f'Say which one is meant: top="{shortened(self.draft.names[free[0]])}".',
        )
