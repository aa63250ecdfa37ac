import pytest

from falsework.errors import FaultList
from falsework.lab.parse import parse

SLIPS = [
    ("a:\n\tb: 1\n", "2:1: a tab stands where spaces are expected. Indent with spaces, two a level."),
    ("a: 1\nb:2\nc: 3\n", "2:1: 'b:2' has no space after its colon. Write 'b: 2'."),
    ("{a:1, b: 2}\n", "1:2: 'a:1' has no space after its colon. Write 'a: 1'."),
    (
        "a:\n  b c\n  d: 1\n",
        "2:3: 'b c' has no colon after it."
        " Write a colon and a value after it, or '- ' before it if it belongs to a list.",
    ),
    (
        "a: b: c\n",
        "1:5: a second ': ' stands on this line."
        " Put the value in quotes, or write the keys in braces: {one: 1, two: 2}.",
    ),
    (
        "a: 1\n  b: 2\n",
        "2:4: this line is indented below a line that already has a value."
        " Indent it like the line above, or take the value above away.",
    ),
    (
        "a:\n  b: 1\n c: 2\n",
        "3:2: this line does not line up with those above it."
        " Indent it with as many spaces as the lines it belongs to.",
    ),
    (
        "a:\n- b\n- c\nd\n",
        "4:1: 'd' has no colon after it."
        " Write a colon and a value after it, or '- ' before it if it belongs to a list.",
    ),
    (
        "- a\nb: c\n",
        "2:1: a key follows where the list above goes on."
        " Begin the line with '- ', or indent it like the key that the list belongs to.",
    ),
    (
        "a: - b\n",
        "1:4: a list cannot begin on the line of its key."
        " Put each '- ' on a line of its own below the key, or write the list as [one, two].",
    ),
    (
        "a: [1, 2\nb: 3\n",
        "1:4: the list opened with '[' here is not closed, or lacks a comma, before line 2."
        " Close it with ']', and put a comma between its entries.",
    ),
    (
        "a: {b: 2\n",
        "1:4: the group of keys opened with '{' here is not closed, or lacks a comma, before line 2."
        " Close it with '}', and put a comma between its entries.",
    ),
    (
        "m:\n  a: {b: [c,\n",
        "2:10: the list opened with '[' here is not closed, or lacks a comma, before line 3."
        " Close it with ']', and put a comma between its entries.",
    ),
    (
        "a: 1\n: b\n",
        "2:1: a key is missing before the colon."
        " Write a name before it, or put the text in quotes if the colon belongs to a value.",
    ),
    ("a: {b: 1}}\n", "1:10: '}' closes nothing. Take it away, or open it before."),
    ("a: [1,,2]\n", "1:7: something is missing before ','. Take the ',' away, or fill in what is missing."),
    (
        "a: {b: 1} c\n",
        "1:11: 'c' stands after a value that is already complete."
        " Put the whole value in quotes, or take this away.",
    ),
    (
        "a: {desk-[1-4]: 1}\n",
        "1:10: '[' in the middle of a word within brackets or braces is read as the beginning of something"
        " new. Put the whole word in quotes, for example 'twin[1]'.",
    ),
    (
        "a: 'x\nb: 3\n",
        "1:4: the quote ' opened here is never closed. Close it with ' on the same line."
        " An apostrophe within single quotes is written twice: ''.",
    ),
    (
        'a: "x\nb: 3\n',
        '1:4: the quote " opened here is never closed. Close it with " on the same line.',
    ),
    (
        "a: 'it's'\n",
        '1:8: "s\'" stands after a value that is already complete.'
        " Put the whole value in quotes, or take this away.",
    ),
    (
        'a: "\\d"\n',
        "1:5: a backslash within double quotes begins a special sign, and this one is not known."
        " Use single quotes, in which a backslash means itself, or write it twice.",
    ),
    (
        "a: 1\n  " + "k" * 2_000 + ": 2\n",
        "2:3: 'kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk...' is longer than a key may be."
        " Write a short name, and the text behind its colon.",
    ),
    ("a: *.b\n", "1:4: a value cannot begin with '*'. Put it in quotes, for example '*.a'."),
    ("a: [*]\n", "1:5: a value cannot begin with '*'. Put it in quotes, for example '*.a'."),
    ("a: %x\n", "1:4: a value cannot begin with '%'. Put the value in quotes."),
    ("a: @x\n", "1:4: a value cannot begin with '@'. Put the value in quotes."),
    ("a: [::1]\n", "1:5: a value cannot begin with ':'. Put the value in quotes."),
]


@pytest.mark.parametrize("pure", [False, True], ids=["fast parser", "pure parser"])
@pytest.mark.parametrize(("text", "said"), SLIPS, ids=[repr(text[:20]) for text, _ in SLIPS])
def test_a_slip_is_told_in_plain_words(text, said, pure):
    """Each common slip has its place, its name and its cure, whichever parser found it."""
    faults = FaultList()
    parse(text, "lab.yaml", faults, pure=pure)
    assert [str(fault) for fault in faults.faults] == [f"lab.yaml:{said}"]
