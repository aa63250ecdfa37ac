"""Which fault tree does a Galileo file define?"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from falsework.engines.trees.draft import Draft
from falsework.engines.trees.markup import Place
from falsework.engines.trees.opening import chunks, fault
from falsework.engines.trees.scope import Scope
from falsework.engines.trees.tree import Op, Tree
from falsework.errors import FaultList, nearest, shortened
from falsework.where import Where

_TOKEN = re.compile(
    r'(?P<quoted>"[^"\n]*")|(?P<sign>[=;])|(?P<word>[^\s"=;/]+(?:/(?![/*])[^\s"=;/]*)*)'
    r"|(?P<blank>\s+|//[^\n]*)|(?P<remark>/\*)"
)
_VOTE = re.compile(r"(?:vot)?(\d{1,9})-?of-?(\d{1,9})", re.IGNORECASE)
_DYNAMIC = re.compile(
    r"(?i:pand|por|pand-?(?:in|ex)|por-?(?:in|ex)|spare|[hcw]sp|fdep|pdep(?:=.*)?|seq|mutex)"
)
_DYNAMIC_TEXT = "its order in time matters, which a static fault tree can't say"
_LARGEST_BYTES = 64 * 2**20  # the whole text is held at once, unlike XML
_LONGEST_STATEMENT = 100_000
_MOST_WORDS = 5_000_000
_NUMBERS = ("prob", "lambda", "dorm", "repair")


@dataclass(frozen=True, slots=True)
class _Token:
    text: str
    place: Place
    quoted: bool = False
    sign: bool = False


def read_galileo(path: Path, *, time: float | None = None) -> Tree:
    """Read a static fault tree from a file in the Galileo format.

    A repaired event has its long-run unavailability, lambda / (lambda + repair), whatever the time; one that
    is not repaired has 1 - exp(-lambda time).

    Args:
        path: the file; places begin with it.
        time: in the unit of the file's rates; events with a failure rate and no repair have no probability
            without.

    Raises:
        LabError: with everything that is wrong, or with the first thing that makes reading on useless.

    Source:
        The format: K. J. Sullivan, J. B. Dugan, D. Coppit (1999), "The Galileo fault tree analysis tool",
        FTCS-29, from memory; the `repair` rate is a later addition.
        The probabilities: M. Rausand, A. Høyland (2004), System Reliability Theory, 2nd ed., sections 2.9 and
        9.4: one part with constant rates.
    """
    reader = _Reader(path, time)
    reader.read()
    return reader.tree()


class _Reader:
    def __init__(self, path: Path, time: float | None) -> None:
        self._path = path
        self._file = str(path)
        self._time = time
        self._faults = FaultList()
        self._draft = Draft(self._file)
        self._scope = Scope("gate or event", self._file, self._faults)
        self._top: tuple[int, Place] | None = None

    def read(self) -> None:
        """Read every statement."""
        statement: list[_Token] = []
        last: _Token | None = None
        for count, token in enumerate(self._tokens()):
            if len(statement) >= _LONGEST_STATEMENT or count >= _MOST_WORDS:
                long = len(statement) >= _LONGEST_STATEMENT
                raise fault(
                    Where(self._file, *token.place),
                    f"a statement has more than {_LONGEST_STATEMENT} words"
                    if long
                    else f"the file has more than {_MOST_WORDS} words",
                    "End it with ';'." if long else "Split the model into smaller trees.",
                )
            if token.sign and token.text == ";":
                if statement:
                    self._statement(statement)
                statement = []
            else:
                statement.append(token)
            last = token
        if statement and last is not None:
            self._fault(last.place, "the last statement does not end", "End it with ';'.")
        elif last is None:
            raise fault(Where(self._file, 1, 1), "the file holds no statement", "Name a fault-tree file.")

    def tree(self) -> Tree:
        """Put together what was read."""
        if self._top is None and not len(self._faults):
            self._fault((1, 1), "no top event is named", 'Add toplevel "..."; with the name of a gate.')
        self._faults.raise_if_any()
        found: list[int] = []
        for reference in self._scope.references:
            node = self._scope.find(reference)
            if node is None:
                self._scope.complain(reference)
            found.append(0 if node is None else node)
        self._faults.raise_if_any()
        for node, inputs in enumerate(self._draft.inputs):
            if inputs:
                self._draft.connect(node, [found[-1 - mark] for mark in inputs])
        top = None if self._top is None else found[self._top[0]]
        return self._draft.tree(top, "" if top is None else self._draft.names[top])

    def _tokens(self) -> Iterator[_Token]:
        content = b"".join(chunks(self._path, _LARGEST_BYTES))
        try:
            text = content.decode()
        except UnicodeDecodeError as error:
            before = content[: error.start].decode(errors="replace")
            place = (before.count("\n") + 1, len(before) - before.rfind("\n"))
            raise fault(
                Where(self._file, *place),
                f"the byte 0x{content[error.start]:02x} is not UTF-8 text",
                "Save the file as UTF-8.",
            ) from None
        at, line, begin = 0, 1, 0
        while at < len(text):
            match = _TOKEN.match(text, at)
            place = (line, at - begin + 1)
            if match is None:
                what = "a quotation mark is not closed on its line" if text[at] == '"' else "this is no name"
                raise fault(Where(self._file, *place), what, 'Write names as "name", each on one line.')
            end = match.end()
            kind = match.lastgroup
            if kind == "remark":
                end = text.find("*/", end) + 2
                if end == 1:
                    raise fault(Where(self._file, *place), "a remark does not end", "Close it with '*/'.")
            elif kind == "quoted":
                yield _Token(match.group()[1:-1], place, quoted=True)
            elif kind != "blank":
                yield _Token(match.group(), place, sign=kind == "sign")
            if kind in ("blank", "remark"):
                breaks = text.count("\n", at, end)
                if breaks:
                    line += breaks
                    begin = text.rfind("\n", at, end) + 1
            at = end

    def _statement(self, tokens: list[_Token]) -> None:
        first = tokens[0]
        if first.sign:
            self._fault(first.place, f"a statement begins with '{first.text}'", 'Begin it with a name: "A".')
        elif first.text.lower() == "toplevel" and not first.quoted:
            self._toplevel(tokens)
        elif not first.text.strip():
            self._fault(first.place, "a name is empty", "Give it a name.")
        elif len(tokens) < 2:
            self._fault(
                first.place, f"'{shortened(first.text)}' says nothing", "Say what it is: a gate, or prob=..."
            )
        elif len(tokens) > 2 and tokens[2].sign and tokens[2].text == "=":
            self._event(first, tokens[1:])
        else:
            self._gate(first, tokens[1], tokens[2:])

    def _toplevel(self, tokens: list[_Token]) -> None:
        place = tokens[0].place
        if len(tokens) != 2 or tokens[1].sign:
            self._fault(place, "toplevel names no single gate", 'Write toplevel "A";')
        elif self._top is not None:
            self._fault(
                place,
                f"toplevel is said twice; the first time at {Where(self._file, *self._top[1])}",
                "Keep one of the two.",
            )
        else:
            self._top = (self._scope.refer(tokens[1].text, "", tokens[1].place), place)

    def _gate(self, name: _Token, word: _Token, rest: list[_Token]) -> None:
        said = word.text.lower()
        vote = _VOTE.fullmatch(said)
        if word.quoted or word.sign or not (said in ("and", "or") or vote):
            self._no_gate(name, word)
            return
        for token in rest:
            if token.sign:
                self._fault(
                    token.place, "'=' stands among the inputs of a gate", "A ';' may be missing before."
                )
                return
        if not rest:
            self._fault(name.place, f"the gate '{shortened(name.text)}' has no inputs", "Name some.")
            return
        op, k = (Op.AND if said == "and" else Op.OR), 0
        if vote:
            op, k = Op.AT_LEAST, int(vote[1])
            if int(vote[2]) != len(rest):
                self._fault(
                    word.place,
                    f"'{shortened(word.text)}' has {len(rest)} inputs",
                    f"Give it {vote[2]}, or write {vote[1]}of{len(rest)}.",
                )
                return
            if not 1 <= k <= len(rest):
                self._fault(
                    word.place,
                    f"'{shortened(word.text)}' asks for {k} of {len(rest)}",
                    f"Ask for 1 to {len(rest)}.",
                )
                return
        marks = [-1 - self._scope.refer(token.text, "", token.place) for token in rest]
        node = self._draft.gate(op, marks, name.place, k=k, name=name.text)
        self._scope.define(name.text, node, name.place, private=False)

    def _no_gate(self, name: _Token, word: _Token) -> None:
        what = f"'{shortened(name.text)}' is said to be '{shortened(word.text)}'"
        if not word.quoted and _DYNAMIC.fullmatch(word.text):
            self._fault(
                word.place,
                f"{what}, a dynamic gate: {_DYNAMIC_TEXT}",
                "Use 'and', 'or' or '2of3' where the order does not matter, or leave the gate out.",
            )
            return
        self._fault(word.place, f"{what}, which is no gate", "Write and, or, or for instance 2of3.")

    def _event(self, name: _Token, rest: list[_Token]) -> None:
        said: dict[str, float] = {}
        for i in range(0, len(rest), 3):
            key = rest[i]
            triple = rest[i : i + 3]
            if key.sign or len(triple) < 3 or triple[1].text != "=" or triple[2].sign:
                self._fault(key.place, f"'{shortened(key.text)}' is given no number", "Write prob=0.01.")
                return
            word = key.text.lower()
            if word not in _NUMBERS:
                close = nearest(word, _NUMBERS)
                self._fault(
                    key.place,
                    f"the key '{shortened(key.text)}' is not read",
                    f"Did you mean '{close}'?" if close else f"Those read are: {', '.join(_NUMBERS)}.",
                )
                return
            if word in said:
                self._fault(key.place, f"'{word}' is said twice", "Keep one of the two.")
                return
            number = self._number(word, triple[2])
            if number is None:
                return
            said[word] = number
        if ("prob" in said) == ("lambda" in said):
            self._fault(
                name.place,
                f"'{shortened(name.text)}' has {'both prob and' if 'prob' in said else 'neither prob nor'} lambda",
                "Give it one of the two.",
            )
            return
        node = self._draft.event(name.text, name.place, self._probability(said))
        self._scope.define(name.text, node, name.place, private=False)

    def _number(self, word: str, token: _Token) -> float | None:
        try:
            number = float(token.text)
        except ValueError:
            number = math.nan
        if not math.isfinite(number) or "_" in token.text:
            mend = "Give a finite number, such as 0.01 or 1e-2."
        elif number < 0:
            mend = "Give a number from 0 on."
        elif word == "prob" and number > 1:
            mend = "A probability lies between 0 and 1."
        else:
            return number
        self._fault(token.place, f"{word} is '{shortened(token.text)}'", mend)
        return None

    def _probability(self, said: dict[str, float]) -> float | None:
        if "prob" in said:
            return said["prob"]
        rate, repair = said["lambda"], said.get("repair", 0.0)
        if repair:
            return rate / (rate + repair)
        return None if self._time is None else -math.expm1(-rate * self._time)

    def _fault(self, place: Place, what: str, mend: str) -> None:
        self._faults.add(Where(self._file, *place), what, mend)
