"""How is a table written as CSV (RFC 4180), so that no cell is taken for a formula?"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

LEADS = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins so would be reckoned as a formula by some programs for tables; it gets an apostrophe before."""


def csv_rows(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Heads and rows, lines ended by CR LF (RFC 4180, section 2)."""
    text = io.StringIO(newline="")
    out = csv.writer(text, lineterminator="\r\n")
    out.writerow(heads)
    out.writerows([_safe(str(cell)) for cell in row] for row in rows)
    return text.getvalue()


def _safe(cell: str) -> str:
    return f"'{cell}" if cell.startswith(LEADS) else cell
