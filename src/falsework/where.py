"""Where in the lab file was it said?"""

from typing import NamedTuple


class Where(NamedTuple):
    """A place in a lab file, as an editor shows it.

    Attributes:
        file: the name as the user typed it, or below the folder they typed.
        line: counted from 1.
        column: counted from 1, in characters (not bytes).
    """

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"
