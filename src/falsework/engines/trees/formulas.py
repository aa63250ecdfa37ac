"""Which gates does a formula of the Open-PSA format come to?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from falsework.engines.trees.draft import Draft
from falsework.engines.trees.markup import Place
from falsework.engines.trees.tree import Op
from falsework.errors import shortened

CONNECTIVES = (
    "and",
    "or",
    "not",
    "xor",
    "iff",
    "nand",
    "nor",
    "atleast",
    "cardinality",
    "imply",
)
_COUNTS = {"not": (1, 1), "imply": (2, 2), "xor": (2, None), "iff": (2, None)}


class Wrong(Exception):
    """What is wrong with a formula, and how to mend it."""

    def __init__(self, what: str, mend: str) -> None:
        self.what = what
        self.mend = mend
        super().__init__(what, mend)


def connect(
    draft: Draft, tag: str, inputs: Sequence[int], attributes: Mapping[str, str], place: Place
) -> int:
    """Add the gates of one connective over its inputs and return the uppermost.

    Raises:
        Wrong: too few inputs, or numbers that do not fit them.

    Source:
        Open-PSA Model Exchange Format, version 2.0, table "Semantics of Boolean connectives": xor and iff are
        associative; nand and nor of many are the negations of and, or.
    """
    least, most = _COUNTS.get(tag, (1, None))
    if len(inputs) < least or (most is not None and len(inputs) > most):
        wanted = f"exactly {least}" if least == most else f"at least {least}"
        raise Wrong(f"'{tag}' has {len(inputs)} inputs and takes {wanted}", "Give it as many as it takes.")

    def gate(op: Op, over: Sequence[int], k: int = 0) -> int:
        return draft.gate(op, over, place, k=k)

    match tag:
        case "and":
            return gate(Op.AND, inputs)
        case "or":
            return gate(Op.OR, inputs)
        case "not":
            return gate(Op.NOT, inputs)
        case "nand":
            return gate(Op.NOT, (gate(Op.AND, inputs),))
        case "nor":
            return gate(Op.NOT, (gate(Op.OR, inputs),))
        case "xor":
            return gate(Op.XOR, inputs)
        case "iff":  # a chain of n is true when an odd number is, turned round once for each link
            odd = gate(Op.XOR, inputs)
            return odd if len(inputs) % 2 else gate(Op.NOT, (odd,))
        case "imply":
            return gate(Op.OR, (gate(Op.NOT, inputs[:1]), inputs[1]))
        case "atleast":
            k = _whole(attributes, "min", tag)
            if not 1 <= k <= len(inputs):
                raise Wrong(
                    f"'atleast' has min=\"{shortened(str(k))}\" over {len(inputs)} inputs",
                    f"Give a whole number from 1 to {len(inputs)}.",
                )
            return gate(Op.AT_LEAST, inputs, k)
        case _:
            low, high = _whole(attributes, "min", tag), _whole(attributes, "max", tag)
            if not 0 <= low <= high <= len(inputs):
                raise Wrong(
                    f'\'cardinality\' has min="{shortened(str(low))}" and max="{shortened(str(high))}"'
                    f" over {len(inputs)} inputs",
                    f"Give whole numbers from 0 to {len(inputs)}, min not above max.",
                )
            enough = [gate(Op.AT_LEAST, inputs, low)] if low else []
            if high < len(inputs):
                enough.append(gate(Op.NOT, (gate(Op.AT_LEAST, inputs, high + 1),)))
            return gate(Op.AND, enough) if enough else gate(Op.CONSTANT, (), 1)


def _whole(attributes: Mapping[str, str], key: str, tag: str) -> int:
    said = attributes.get(key)
    if said is None:
        raise Wrong(f"'{tag}' does not say {key}", f'Write <{tag} {key}="...">, with a whole number.')
    # isascii as well: int() would take digits of other scripts, and very long ones are no count of inputs
    bare = said.strip().removeprefix("+")
    if len(bare) > 18 or not bare.removeprefix("-").isdigit() or not bare.isascii():
        raise Wrong(f"'{tag}' has {key}=\"{shortened(said)}\"", "Give a whole number.")
    return int(bare)
