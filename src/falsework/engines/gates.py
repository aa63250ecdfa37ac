"""How is a system of monotone rules written down, and frozen for the engines?

A gate is true or false.
Leaves are given by a scenario; the others are all-of, any-of and at-least-k over gates named before them.
A *promise* is a gate whose body is told later, so only promises close cycles, and every cycle holds one.

Meaning: the nest ``nu X . mu Y``.
The "greatest" promises X start true and only fall; the "least" promises Y start false and only rise, and are
worked out afresh, from false, for every X tried.
Everything is monotone, so both exist (Knaster and Tarski; see Tarski 1955, "A lattice-theoretical fixpoint
theorem and its applications", Pacific Journal of Mathematics 5(2)).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import IntEnum
from itertools import chain
from types import MappingProxyType
from typing import Literal, NewType, TypeVar

import numpy as np
from numpy.typing import NDArray

GateId = NewType("GateId", int)
"""A gate as its builder numbers it; a frozen graph numbers its gates anew (`GateGraph.gate_of`)."""

Sign = Literal["greatest", "least"]
BoolArray = NDArray[np.bool_]
_Integer = TypeVar("_Integer", bound=np.integer)
OracleFunction = Callable[[BoolArray], BoolArray]
"""Bool (n_inputs, n_scenarios) -> bool (n_outputs, n_scenarios), monotone, column by column."""


class Kind(IntEnum):
    """What a gate computes from its inputs; `GateGraph.k` holds the number named here."""

    LEAF = 0  # k: the leaf's row
    TRUE = 1
    FALSE = 2
    ALL = 3
    ANY = 4
    AT_LEAST = 5  # k: how many inputs must hold, each counted as often as it is listed
    PROMISE = 6  # one input, its body
    WIRE = 7  # one input, passed on; an identity to hang a delay on
    ORACLE = 8  # k: number in `GateGraph.oracles`; has no value of its own
    OUTPUT = 9  # k: which output of its one input, an oracle


GREATEST, LEAST = 1, -1
"""Values of `GateGraph.sign` for promises; 0 for every other gate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Oracle:
    """A black box in the graph: the gate that gathers its inputs, and the gates that give its outputs."""

    label: str
    function: OracleFunction
    gate: int
    outputs: tuple[int, ...]  # gate of each output in turn; -1 where nothing kept needs it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GateGraph:
    """A frozen system of gates; inputs of gate g are ``indices[indptr[g]:indptr[g + 1]]``.

    Gates 0 .. n_leaves-1 are the leaves, all of them and in the order the builder met them,
    so a leaf's row means the same in every graph frozen from one builder.
    Every other gate but a promise comes after all its inputs.
    All arrays are read-only.
    """

    kind: NDArray[np.int8]  # (n_gates,) values of Kind
    k: NDArray[np.int32]  # (n_gates,) see Kind
    sign: NDArray[np.int8]  # (n_gates,) GREATEST, LEAST or 0
    indptr: NDArray[np.int32]  # (n_gates + 1,)
    indices: NDArray[np.int32]  # (n_edges,)
    kept: NDArray[np.int32]  # (n_kept,) gates asked for, in the order asked
    leaf_names: tuple[str, ...]
    oracles: tuple[Oracle, ...]
    labels: Mapping[int, str]  # names of the promises, wires and oracles
    gate_of: Mapping[GateId, int]  # builder's id -> gate, for every gate still there
    made: dict[str, object] = field(
        default_factory=dict, repr=False
    )  # what engines work out, once for all `kept`

    @property
    def n_gates(self) -> int:
        """How many gates there are, leaves included."""
        return len(self.kind)

    @property
    def n_leaves(self) -> int:
        """How many leaves there are; they are the first gates."""
        return len(self.leaf_names)

    def keeping(self, gates: NDArray[np.integer]) -> GateGraph:
        """The same gates, other ones kept: what engines have made ready for them serves this graph too."""
        return replace(self, kept=_array(gates, np.int32))

    def inputs(self, gate: int) -> tuple[int, ...]:
        """The inputs of one gate, in order."""
        return tuple(self.indices[self.indptr[gate] : self.indptr[gate + 1]].tolist())


class GateBuilder:
    """Collects gates; equal gates get one id, and what is plainly constant or trivial is simplified away."""

    def __init__(self) -> None:
        """Start with the two constants and nothing else."""
        self._kind: list[Kind] = []
        self._k: list[int] = []
        self._inputs: list[tuple[GateId, ...]] = []
        self._sign: dict[GateId, Sign] = {}
        self._labels: dict[GateId, str] = {}
        self._leaves: dict[str, GateId] = {}
        self._oracles: list[tuple[str, OracleFunction]] = []
        self._known: dict[tuple[Kind, int, tuple[GateId, ...]], GateId] = {}
        self.true: GateId = self._shared(Kind.TRUE, 0, ())
        self.false: GateId = self._shared(Kind.FALSE, 0, ())

    def __len__(self) -> int:
        """How many gates there are so far, constants and leaves included."""
        return len(self._kind)

    def leaf(self, name: str) -> GateId:
        """The scenario input called `name`, made when first asked for."""
        if name not in self._leaves:
            self._leaves[name] = self._new(Kind.LEAF, len(self._leaves), ())
            self._labels[self._leaves[name]] = name
        return self._leaves[name]

    def all_of(self, inputs: Iterable[GateId]) -> GateId:
        """True when every input is; of nothing, true."""
        left = set(inputs)
        left.discard(self.true)
        if self.false in left:
            return self.false
        return self._gathered(Kind.ALL, left, empty=self.true)

    def any_of(self, inputs: Iterable[GateId]) -> GateId:
        """True when some input is; of nothing, false."""
        left = set(inputs)
        left.discard(self.false)
        if self.true in left:
            return self.true
        return self._gathered(Kind.ANY, left, empty=self.false)

    def at_least(self, k: int, inputs: Iterable[GateId]) -> GateId:
        """True when `k` inputs are, an input listed twice counting twice."""
        listed = list(inputs)
        if k == 1:
            return self.any_of(listed)
        if k == len(listed):
            return self.all_of(listed)
        k -= listed.count(self.true)
        left = sorted(gate for gate in listed if gate not in (self.true, self.false))
        if k <= 0:
            return self.true
        if k > len(left):
            return self.false
        if k == 1:
            return self.any_of(left)
        if k == len(left):
            return self.all_of(left)
        if len(set(left)) == 1:
            return left[0]
        return self._shared(Kind.AT_LEAST, k, tuple(left))

    def promise(self, name: str, sign: Sign) -> GateId:
        """A new gate whose body `define` gives later; names are for messages and need not differ."""
        if sign not in ("greatest", "least"):
            raise ValueError(f"promise {name!r}: sign is 'greatest' or 'least', not {sign!r}")
        gate = self._new(Kind.PROMISE, 0, ())
        self._sign[gate] = sign
        self._labels[gate] = name
        return gate

    def define(self, gate: GateId, body: GateId) -> None:
        """Give a promise its body, once.

        Raises:
            ValueError: `gate` is no promise, or has a body already.
        """
        if self._kind[gate] is not Kind.PROMISE:
            raise ValueError(f"gate {gate} is no promise: only what promise() gave can be defined")
        if self._inputs[gate]:
            raise ValueError(f"promise {self._labels[gate]!r} is defined twice")
        self._inputs[gate] = (self._checked(body),)

    def wire(self, source: GateId, name: str) -> GateId:
        """A new gate equal to `source`, never merged with another: the place for a delay of its own."""
        gate = self._new(Kind.WIRE, 0, (self._checked(source),))
        self._labels[gate] = name
        return gate

    def oracle(
        self, inputs: Sequence[GateId], n_outputs: int, function: OracleFunction, label: str
    ) -> tuple[GateId, ...]:
        """New gates computed by `function`, for rules that gates say badly (packing, weighted load).

        Args:
            inputs: rows of the function's argument, in this order; constants and repeats are passed on.
            n_outputs: rows of its result.
            function: see `OracleFunction`. It must be monotone (more true in, never less true out), must not
                change its argument and must not remember: which scenarios it sees, how often and in which
                order is the engine's affair. (The evaluator ends even if it is not monotone, then with an
                answer that means little; the judge may not end.)
            label: for messages.
        """
        box = self._new(Kind.ORACLE, len(self._oracles), tuple(map(self._checked, inputs)))
        self._oracles.append((label, function))
        self._labels[box] = label
        return tuple(self._new(Kind.OUTPUT, number, (box,)) for number in range(n_outputs))

    def freeze(self, keep: Sequence[GateId]) -> GateGraph:
        """The graph of all leaves and of all that `keep` leans on.

        Raises:
            ValueError: a promise that is needed has no body.

        Cost:
            O(gates + edges) of plain Python, once.
        """
        needed = self._needed(keep)
        leaves = np.fromiter(self._leaves.values(), dtype=np.int64, count=len(self._leaves))
        needed[leaves] = False
        old_of_new = np.concatenate((leaves, np.flatnonzero(needed)))
        new = np.full(len(self), -1, dtype=np.int32)
        new[old_of_new] = np.arange(len(old_of_new))
        n_inputs = np.fromiter(map(len, self._inputs), dtype=np.int64, count=len(self))
        sources = np.fromiter(chain.from_iterable(self._inputs), dtype=np.int64, count=n_inputs.sum())
        kind = np.fromiter(self._kind, dtype=np.int8, count=len(self))
        k = np.fromiter(self._k, dtype=np.int32, count=len(self))
        sign = np.zeros(len(self), dtype=np.int8)
        for gate, its in self._sign.items():
            sign[gate] = GREATEST if its == "greatest" else LEAST
        boxes = [GateId(old) for old in old_of_new[kind[old_of_new] == Kind.ORACLE].tolist()]
        k[boxes] = np.arange(len(boxes))
        new_of_old = {GateId(old): number for number, old in enumerate(old_of_new.tolist())}
        return GateGraph(
            kind=_array(kind[old_of_new], np.int8),
            k=_array(k[old_of_new], np.int32),
            sign=_array(sign[old_of_new], np.int8),
            indptr=_array(np.cumsum([0, *n_inputs[old_of_new].tolist()]), np.int32),
            indices=_array(new[sources[np.repeat(needed, n_inputs)]], np.int32),
            kept=_array(new[np.array(keep, dtype=np.int64)], np.int32),
            leaf_names=tuple(self._leaves),
            oracles=tuple(self._frozen_oracle(box, new_of_old) for box in boxes),
            labels=MappingProxyType(
                {new_of_old[g]: text for g, text in self._labels.items() if g in new_of_old}
            ),
            gate_of=MappingProxyType(new_of_old),
        )

    def _frozen_oracle(self, box: GateId, new_of_old: Mapping[GateId, int]) -> Oracle:
        label, function = self._oracles[self._k[box]]
        outputs: list[int] = []
        old = GateId(box + 1)  # the outputs were made right behind the box
        while old < len(self) and self._kind[old] is Kind.OUTPUT:
            outputs.append(new_of_old.get(old, -1))
            old = GateId(old + 1)
        return Oracle(label=label, function=function, gate=new_of_old[box], outputs=tuple(outputs))

    def _needed(self, keep: Sequence[GateId]) -> BoolArray:
        """Bool (n,): what `keep` leans on."""
        seen = bytearray(len(self))
        waiting = [self._checked(gate) for gate in keep]
        while waiting:
            gate = waiting.pop()
            if seen[gate]:
                continue
            seen[gate] = True
            if not self._inputs[gate] and self._kind[gate] is Kind.PROMISE:
                raise ValueError(f"promise {self._labels[gate]!r} was never defined")
            waiting.extend(self._inputs[gate])
        return np.frombuffer(seen, dtype=np.bool_).copy()

    def _gathered(self, kind: Kind, inputs: set[GateId], *, empty: GateId) -> GateId:
        if len(inputs) <= 1:
            return next(iter(inputs), empty)
        return self._shared(kind, 0, tuple(sorted(inputs)))

    def _shared(self, kind: Kind, k: int, inputs: tuple[GateId, ...]) -> GateId:
        key = (kind, k, inputs)
        known = self._known.get(key)
        if known is None:
            for gate in (*inputs[:1], *inputs[-1:]):  # they are in order
                self._checked(gate)
            known = self._known[key] = self._new(kind, k, inputs)
        return known

    def _new(self, kind: Kind, k: int, inputs: tuple[GateId, ...]) -> GateId:
        self._kind.append(kind)
        self._k.append(k)
        self._inputs.append(inputs)
        return GateId(len(self._kind) - 1)

    def _checked(self, gate: GateId) -> GateId:
        if not 0 <= gate < len(self._kind):
            raise ValueError(f"there is no gate {gate}: the builder has 0 to {len(self._kind) - 1}")
        return gate


def _array(values: object, dtype: type[_Integer]) -> NDArray[_Integer]:
    array = np.array(values, dtype=dtype)
    array.setflags(write=False)
    return array
