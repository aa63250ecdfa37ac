"""How is XML from anywhere read in little time and memory, with a place for everything in it?"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NoReturn
from xml.parsers import expat

from falsework.engines.trees.opening import chunks, fault
from falsework.errors import shortened
from falsework.where import Where

DEEPEST = 500
"""How many elements may lie inside each other."""

LONGEST_PIECE = 2**20
"""Bytes of one tag, comment or other piece that the parser must hold at once."""

Place = tuple[int, int]
"""Line and column, each counted from 1, columns in characters."""

_KNOWN_ENCODINGS = ("utf-8", "us-ascii", "ascii", "iso-8859-1")
_PLAIN = "The format needs none of this: write everything out in one plain file."


class Markup:
    """One XML file, read once.

    What could make a small file large or reach outside it is refused at sight, before the parser acts on
    it: entities, external parts, and any document type that is more than a name.

    Args:
        path: the file.
        start: called with tag, attributes and place at each start tag.
        end: called with the tag at each end tag.
    """

    def __init__(
        self,
        path: Path,
        start: Callable[[str, Mapping[str, str], Place], None],
        end: Callable[[str], None],
    ) -> None:
        self._path = path
        self._start = start
        self._end = end
        self._depth = 0
        self._parser = parser = expat.ParserCreate()
        parser.StartElementHandler = self._started
        parser.EndElementHandler = self._ended
        parser.XmlDeclHandler = self._declared
        parser.StartDoctypeDeclHandler = self._typed
        # A name and nothing more is let through above, so these three are a second lock on the same door.
        parser.EntityDeclHandler = self._refuse_entity
        parser.UnparsedEntityDeclHandler = self._refuse_entity
        parser.ExternalEntityRefHandler = self._refuse_entity

    def read(self) -> None:
        """Read the file to its end.

        Raises:
            LabError: the file is no well-formed XML, or holds what is refused.
        """
        parser, given, piece = self._parser, 0, b""
        try:
            for piece in chunks(self._path):
                given += len(piece)
                parser.Parse(piece, False)
                if given - parser.CurrentByteIndex > LONGEST_PIECE:
                    raise fault(
                        self.here(),
                        f"a tag or comment begins here that is longer than {LONGEST_PIECE // 2**20} MiB",
                        "Close it where it should end.",
                    )
            parser.Parse(b"", True)
        except expat.ExpatError as error:
            self._broken(error, piece, given)

    def here(self) -> Where:
        """Where the parser is."""
        return Where(str(self._path), self._parser.CurrentLineNumber, self._parser.CurrentColumnNumber + 1)

    def _started(self, tag: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        if self._depth > DEEPEST:
            raise fault(
                self.here(),
                f"more than {DEEPEST} elements lie inside each other",
                "Give the inner formulas names of their own, and refer to them.",
            )
        parser = self._parser
        self._start(tag, attributes, (parser.CurrentLineNumber, parser.CurrentColumnNumber + 1))

    def _ended(self, tag: str) -> None:
        self._depth -= 1
        self._end(tag)

    def _declared(self, _version: str, encoding: str | None, _standalone: int) -> None:
        if encoding is not None and encoding.lower() not in _KNOWN_ENCODINGS:
            raise fault(
                self.here(), f"the file says it is written in '{shortened(encoding)}'", "Save it as UTF-8."
            )

    def _typed(self, name: str, system: str | None, public: str | None, has_subset: int) -> None:
        if system is not None or public is not None or has_subset:
            raise fault(
                self.here(),
                f"the document type '{shortened(name)}' brings declarations of its own",
                f"Take the declarations away. {_PLAIN}",
            )

    def _refuse_entity(self, *_about: object) -> NoReturn:
        raise fault(self.here(), "the file declares or calls in an entity", f"Take it away. {_PLAIN}")

    def _broken(self, error: expat.ExpatError, piece: bytes, given: int) -> NoReturn:
        where = Where(str(self._path), error.lineno, error.offset + 1)
        at = self._parser.ErrorByteIndex - (given - len(piece))
        if error.code == expat.errors.codes[expat.errors.XML_ERROR_INVALID_TOKEN] and (
            0 <= at < len(piece) and piece[at] >= 0x80
        ):
            raise fault(where, f"the byte 0x{piece[at]:02x} is not UTF-8 text", "Save the file as UTF-8.")
        raise fault(
            where,
            f"this is not well-formed XML ({expat.ErrorString(error.code)})",
            "Mend the markup here or shortly before; a file that was cut off must be fetched again.",
        )
