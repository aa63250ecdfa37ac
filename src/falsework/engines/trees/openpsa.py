"""Which fault tree does an Open-PSA file define?"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from falsework.engines.trees.draft import Draft
from falsework.engines.trees.formulas import CONNECTIVES, Wrong, connect
from falsework.engines.trees.markup import Markup, Place
from falsework.engines.trees.opening import MOST_INPUTS, fault
from falsework.engines.trees.scope import LONGEST_NAME, MOST_CONTAINERS_DEEP, Scope
from falsework.engines.trees.settle import Definitions
from falsework.engines.trees.tree import Op, Tree
from falsework.engines.trees.values import OPERATIONS, Apply, Parameter, Step
from falsework.errors import FaultList, shortened
from falsework.where import Where

_CONTAINERS = ("define-fault-tree", "define-component", "model-data")
_DEFINITIONS = ("define-gate", "define-basic-event", "define-house-event", "define-parameter")
_PASSED_OVER = (
    "define-event-tree",
    "define-initiating-event",
    "define-initiating-event-group",
    "define-consequence",
    "define-consequence-group",
    "define-rule",
)
"""They lean on fault trees and change nothing in them."""

_EVENTS = ("gate", "basic-event", "house-event")
_NO_NODE = -1


@dataclass(slots=True)
class _Element:
    """An element that is open."""

    tag: str
    kind: str
    place: Place
    attributes: Mapping[str, str]
    node: int = _NO_NODE
    inputs: list[int] = field(default_factory=list)
    count: int = 0
    steps: list[Step] = field(default_factory=list)


def read_openpsa(path: Path, *, time: float | None = None, top: str | None = None) -> Tree:
    """Read a fault tree from a file in the Open-PSA Model Exchange Format.

    Args:
        path: the file; places begin with it.
        time: mission time, in the unit of the file's rates; events that need it have no probability without.
        top: name of the top event; needed when more than one gate is used by no other.

    Raises:
        LabError: with everything that is wrong, or with the first thing that makes reading on useless.

    Cost:
        O(size of the file) time; memory grows with the number of gates, events and inputs only.
    """
    reader = _Reader(path, time)
    reader.markup.read()
    return reader.found.tree(top)


class _Reader:
    def __init__(self, path: Path, time: float | None) -> None:
        self.markup = Markup(path, self._start, self._end)
        self._file = str(path)
        self._time = time
        self._faults = FaultList()
        self._draft = Draft(self._file)
        self._events = Scope("gate or event", self._file, self._faults)
        self._parameters = Scope("parameter", self._file, self._faults)
        self.found = Definitions(
            draft=self._draft, events=self._events, parameters=self._parameters, faults=self._faults
        )
        self._open: list[_Element] = []
        self._passing = 0
        self._n_inputs = 0

    def _start(self, tag: str, attributes: Mapping[str, str], place: Place) -> None:
        if self._passing or (self._open and tag in ("label", "attributes")):
            self._passing += 1
            return
        kind = self._open[-1].kind if self._open else ""
        element = _Element(tag, kind, place, attributes)
        match kind:
            case "":
                good = tag == "opsa-mef"
                if not good:
                    raise fault(
                        Where(self._file, *place),
                        f"the file begins with <{shortened(tag)}>, not with <opsa-mef>",
                        "Name a file in the Open-PSA Model Exchange Format.",
                    )
                element.kind = "container"
            case "container":
                good = self._define(element)
            case "formula":
                good = self._formula(element)
            case "expression":
                good = self._expression(element)
            case "house":
                good = self._state(element)
            case _:
                good = False
                self._fault(
                    place, f"<{shortened(tag)}> stands inside <{self._open[-1].tag}>, which holds nothing"
                )
        if good:
            self._open.append(element)
        else:
            self._passing = 1
            if kind == "formula":  # so that nobody is told as well that it is lacking
                self._open[-1].inputs.append(_NO_NODE)
            elif kind == "expression":
                self._open[-1].count += 1

    def _end(self, _tag: str) -> None:
        if self._passing:
            self._passing -= 1
            return
        element = self._open.pop()
        if element.tag in _CONTAINERS and element.tag != "model-data":
            self._events.leave()
            self._parameters.leave()
        elif element.tag == "define-gate":
            self._end_gate(element)
        elif element.tag in ("define-basic-event", "define-parameter"):
            self._end_value(element)
        elif element.kind == "formula":
            self._end_formula(element)
        elif element.kind == "expression":
            self._end_expression(element)

    def _define(self, element: _Element) -> bool:
        tag, place = element.tag, element.place
        if tag in _PASSED_OVER:
            return False
        if tag not in _CONTAINERS and tag not in _DEFINITIONS:
            self._fault(
                place,
                f"<{shortened(tag)}> is not read",
                "It could change what the fault tree says: write the model without it.",
            )
            return False
        if tag == "model-data":
            return True
        name = self._name(element)
        if name is None:
            return False
        private = element.attributes.get("role", "").strip() == "private"
        if tag in _CONTAINERS:
            element.kind = "container"
            if self._events.depth >= MOST_CONTAINERS_DEEP:
                self._fault(
                    place,
                    f"more than {MOST_CONTAINERS_DEEP} components lie inside each other",
                    "Take some of them apart.",
                )
                return False
            if tag == "define-fault-tree":
                self.found.trees.append(name)
            self._events.enter(name, private)
            self._parameters.enter(name, private)
            return True
        if tag == "define-parameter":
            element.kind = "expression"
            element.node = len(self.found.parameter_steps)
            self.found.parameter_steps.append([])
            return self._parameters.define(name, element.node, place, private)
        if tag == "define-gate":
            element.kind = "formula"
            element.node = self._draft.gate(Op.SAME, (), place, name=name)
        elif tag == "define-house-event":
            element.kind = "house"
            element.node = self._draft.gate(Op.CONSTANT, (), place, name=name)
        else:
            element.kind = "expression"
            element.node = self._draft.event(name, place)
        self.found.kinds[element.node] = tag.removeprefix("define-")
        return self._events.define(name, element.node, place, private)

    def _formula(self, element: _Element) -> bool:
        tag = element.tag
        if tag in CONNECTIVES:
            return True
        element.kind = "leaf"
        if tag == "constant":
            value = self._truth(element)
            if value is None:
                return False
            self._give(self._draft.gate(Op.CONSTANT, (), element.place, k=int(value)))
            return True
        if tag not in _EVENTS and tag != "event":
            self._fault(
                element.place,
                f"<{shortened(tag)}> is no formula",
                f"Write one of: {', '.join((*CONNECTIVES, *_EVENTS, 'event', 'constant'))}.",
            )
            return False
        kind = element.attributes.get("type", "").strip() if tag == "event" else tag
        if kind and kind not in _EVENTS:
            self._fault(
                element.place, f"there is no type '{shortened(kind)}'", f"Write one of: {', '.join(_EVENTS)}."
            )
            return False
        name = self._name(element)
        if name is None:
            return False
        self._give(-1 - self._events.refer(name, kind, element.place))
        return True

    def _give(self, mark: int) -> None:
        """Hand the element that is open an input: a node, or -1 - r for the reference r."""
        self._n_inputs += 1
        if self._n_inputs > MOST_INPUTS:
            raise fault(
                self.markup.here(),
                f"the formulas have more than {MOST_INPUTS} inputs",
                "Split the model into smaller trees.",
            )
        self._open[-1].inputs.append(mark)

    def _end_formula(self, element: _Element) -> None:
        try:
            node = connect(self._draft, element.tag, element.inputs, element.attributes, element.place)
        except Wrong as wrong:
            self._fault(element.place, wrong.what, wrong.mend)
            node = element.inputs[0] if element.inputs else _NO_NODE
        self._give(node)

    def _end_gate(self, element: _Element) -> None:
        if len(element.inputs) != 1:
            self._fault(
                element.place,
                f"the gate '{shortened(self._draft.names[element.node])}' holds {len(element.inputs)} formulas",
                "Give it one; join several by <and> or <or>.",
            )
        elif element.inputs[0] >= 0:  # a connective of its own: the gate is that connective
            self._draft.absorb(element.node, element.inputs[0])
        else:
            self._draft.connect(element.node, element.inputs)

    def _expression(self, element: _Element) -> bool:
        tag, attributes = element.tag, element.attributes
        owner = self._open[-1]
        step: Step
        if tag in OPERATIONS:
            owner.count += 1
            element.steps = owner.steps
            return True
        element.kind = "leaf"
        if tag in ("float", "int"):
            number = self._number(element)
            if number is None:
                return False
            step = number
        elif tag == "system-mission-time":
            step = self._time
        elif tag == "parameter":
            name = self._name(element)
            if name is None:
                return False
            step = Parameter(self._parameters.refer(name, "", element.place))
        else:
            self._fault(
                element.place,
                f"<{shortened(tag)}> is no expression that is read",
                f'Write a <float value="{shortened(attributes.get("value", "0.01"), 12)}"/> instead.',
            )
            return False
        owner.count += 1
        owner.steps.append(step)
        return True

    def _end_expression(self, element: _Element) -> None:
        operation = OPERATIONS[element.tag]
        most = operation.most
        if element.count < operation.least or (most is not None and element.count > most):
            wanted = f"{operation.least}" if operation.least == most else f"at least {operation.least}"
            self._fault(
                element.place,
                f"'{element.tag}' has {element.count} arguments and takes {wanted}",
                "Give it as many as it takes.",
            )
        element.steps.append(Apply(element.tag, element.count))

    def _end_value(self, element: _Element) -> None:
        said = "parameter" if element.tag == "define-parameter" else "basic event"
        if element.count > 1 or (element.count == 0 and said == "parameter"):
            self._fault(
                element.place, f"the {said} holds {element.count} expressions", "Give it exactly one."
            )
        elif said == "parameter":
            self.found.parameter_steps[element.node] = element.steps
        elif element.count:
            self.found.steps[element.node] = element.steps

    def _state(self, element: _Element) -> bool:
        if element.tag != "constant":
            self._fault(
                element.place,
                f"<{shortened(element.tag)}> stands in a house event",
                'Write <constant value="true"/> or <constant value="false"/>.',
            )
            return False
        value = self._truth(element)
        if value is not None:
            self._draft.define(self._open[-1].node, Op.CONSTANT, (), int(value))
        element.kind = "leaf"
        return value is not None

    def _fault(self, place: Place, what: str, mend: str = "Take it away.") -> None:
        self._faults.add(Where(self._file, *place), what, mend)

    def _name(self, element: _Element) -> str | None:
        name = element.attributes.get("name", "").strip()
        if not name:
            self._fault(element.place, f"<{shortened(element.tag)}> has no name", 'Add name="...".')
        elif len(name) > LONGEST_NAME:
            self._fault(
                element.place, f"a name has more than {LONGEST_NAME} characters", "Give it a shorter one."
            )
            name = ""
        return name or None

    def _truth(self, element: _Element) -> bool | None:
        said = element.attributes.get("value", "").strip()
        if said not in ("true", "false"):
            self._fault(
                element.place, f'a constant has value="{shortened(said)}"', 'Write "true" or "false".'
            )
            return None
        return said == "true"

    def _number(self, element: _Element) -> float | None:
        said = element.attributes.get("value", "")
        try:
            number = float(said)
        except ValueError:
            number = math.nan
        if not math.isfinite(number) or "_" in said:
            self._fault(
                element.place,
                f'<{element.tag}> has value="{shortened(said)}"',
                "Give a finite number, such as 0.01 or 1e-2.",
            )
            return None
        return number
