"""How is one batch of gates worked out over words of 64 scenarios?"""

from __future__ import annotations

import numpy as np

from falsework.engines.gates import BoolArray, Kind, Oracle
from falsework.engines.scenarios import BITS, ONES, Words, pack, unpack
from falsework.engines.schedule import Batch, Rows

_BLOCK_BYTES = 1 << 20  # of gathered rows at a time: what a core's own cache holds


def batch_words(values: Words, batch: Batch, inputs: Rows) -> Words:
    """Words (n, n_words) of gates like the batch's with these inputs (width, n); not for boxes."""
    if batch.kind is Kind.AT_LEAST:
        return _at_least(values, inputs, batch.k)
    combine = np.bitwise_and if batch.kind is Kind.ALL else np.bitwise_or
    width = len(inputs)
    result: Words = values[inputs[0]]
    block = max(1, _BLOCK_BYTES // max(1, result.nbytes))
    for start in range(1, width, block):
        if block == 1:
            combine(result, values[inputs[start]], out=result)
        else:
            combine(result, combine.reduce(values[inputs[start : start + block]], axis=0), out=result)
    return result


def _at_least(values: Words, inputs: Rows, k: int) -> Words:
    """Whether k of the inputs are true: binary counters, one bit of all of them to a word.

    A counter of m bits starts at 2^m - k, so it overflows just when the k-th true input comes;
    the overflow is kept.
    When few may be false rather than few must be true, the false ones are counted instead.
    """
    width = len(inputs)
    spare = width - k + 1  # so many false inputs bring the gate down
    counted, flip = (k, np.uint64(0)) if k <= spare else (spare, ONES)
    n_bits = (counted - 1).bit_length()
    start = (1 << n_bits) - counted
    shape = (inputs.shape[1], values.shape[1])
    bits = [np.full(shape, ONES if start >> bit & 1 else 0, dtype=np.uint64) for bit in range(n_bits)]
    overflow = np.zeros(shape, dtype=np.uint64)
    for some in inputs:
        carry = values[some]
        carry ^= flip
        for bit in bits:
            both = bit & carry
            bit ^= carry
            carry = both
        overflow |= carry
    overflow ^= flip
    return overflow


def box_words(oracle: Oracle, given: Words, given_base: Words, base: Words) -> Words:
    """Words (n_outputs, n_words) of a box, its function called once for each different column of inputs.

    Args:
        oracle: the box.
        given: words (n_inputs, n_words) of its inputs.
        given_base: words (n_inputs, 1), 0 or all ones, of its inputs when nothing fails.
        base: words (n_outputs, 1) of its outputs then: right wherever the inputs are as in `given_base`.
    """
    result: Words = np.repeat(base, given.shape[1], axis=1)
    touched = np.bitwise_or.reduce(given ^ given_base, axis=0)
    words = touched.nonzero()[0]
    if len(words):
        asked = unpack(touched[np.newaxis, words], len(words) * BITS)[0]
        columns = unpack(given[:, words], len(words) * BITS)[:, asked]
        answer = unpack(result[:, words], len(words) * BITS)
        answer[:, asked] = ask(oracle, columns)
        result[:, words] = pack(answer)
    return result


def ask(oracle: Oracle, columns: BoolArray) -> BoolArray:
    """The function's answer for every column, each different one asked once.

    Raises:
        ValueError: the answer is not bool (n_outputs, n_scenarios).
    """
    keys = np.packbits(columns, axis=0).T
    _, first, which = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    answer = oracle.function(columns[:, first])
    if answer.shape != (len(oracle.outputs), len(first)) or answer.dtype != np.bool_:
        raise ValueError(
            f"oracle {oracle.label!r} answered {answer.dtype} {answer.shape}, "
            f"not bool {(len(oracle.outputs), len(first))}"
        )
    return answer[:, which.reshape(-1)]
