"""Are equal columns numbered alike, and nothing else?"""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from falsework.engines.effects import Effects


@given(data=st.data(), n_rows=st.sampled_from([1, 7, 8, 64, 65, 130]))
def test_the_table_gives_back_every_column(data: st.DataObject, n_rows: int) -> None:
    """Looking up the numbers gives the columns again, in every batch, and no set has two numbers."""
    some = st.frozensets(st.integers(0, n_rows - 1), max_size=3)
    batches = data.draw(st.lists(st.lists(some, max_size=12), max_size=4))
    effects = Effects(n_rows)
    for batch in batches:
        fallen = np.zeros((n_rows, len(batch)), dtype=np.bool_)
        for column, rows in enumerate(batch):
            fallen[list(rows), column] = True
        numbers = effects.numbers(fallen)
        np.testing.assert_array_equal(effects.table()[numbers].T, fallen)
    assert len(effects) == len({rows for batch in batches for rows in batch})
