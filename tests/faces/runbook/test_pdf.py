from dataclasses import replace

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.faces.runbook.papers import HAND_OVER, LEND, POWER, inked, pages, runbook

from falsework.faces.runbook.pdf import pdf

pytestmark = pytest.mark.slow

LEFT, RIGHT, BOTTOM = 55, 40, 33  # narrower than the margins of every sheet, points


def assert_within_margins(made: bytes) -> None:
    """No ink runs off the sheet or into its margins."""
    for page in inked(made):
        assert not page[:, :LEFT].any()
        assert not page[:, -RIGHT:].any()
        assert not page[-BOTTOM:, :].any()


def test_all_of_a_box_is_on_paper():
    """Number, action, times, needs, command, check, way back, fragile things, owners and notes can be read."""
    text = " ".join(pages(pdf(runbook())))
    for said in (
        *(
            "Gannet Rock",
            "Build order",
            "2026-12-04",
            "lab.yaml",
            "3 steps with 1 stand-in raise the whole lab.",
        ),
        *("Mains voltage kills.", "6 h to 16 h", "9 h of work, me", "Sat 5 Dec 09:00 to Sun 6 Dec 12:00"),
        *("serve-names --on laptop", "--zone lab.example", "a desk gets an address from it"),
        *("take it off the wire", "laptop: stops names and images", "sw-1: stops names", "names: laptop"),
        *("Cut-over from the laptop", "names is out for about 40 s", "No way back after this:"),
        *("clients write to the new place from now on", "names.2 is no redundancy yet", "10.20.10.5"),
    ):
        assert said in text


def test_every_sheet_tells_which_it_is():
    """The lab's name, the day, and which sheet of how many stand on each, and none is blank."""
    made = pdf(runbook())
    texts = pages(made)
    for number, text in enumerate(texts, start=1):
        assert f"sheet {number} of {len(texts)}" in text
        assert "Gannet Rock" in text
        assert "2026-12-04" in text
    assert all(page.mean() > 0.001 for page in inked(made))


def test_the_same_runbook_gives_the_same_bytes():
    """Nothing of the clock or the machine is in the file."""
    assert pdf(runbook()) == pdf(runbook())


@pytest.mark.parametrize(("paper", "size"), [("a4", (595.28, 841.89)), ("letter", (612.0, 792.0))])
def test_papers(paper, size):
    """Both papers have their size, and the text keeps its margins on both."""
    made = pdf(runbook(), paper=paper)
    assert pypdfium2.PdfDocument(made)[0].get_size() == pytest.approx(size, abs=0.1)
    assert_within_margins(made)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_no_box_breaks(paper):
    """Of forty boxes of mixed length each stands whole on one sheet: its first and its last line are on the same."""
    boxes = [
        replace(
            each, number=str(number), check=f"begin-{number} " + "and so on " * (number * 7 % 60), group=""
        )
        for number, each in enumerate((POWER, LEND, HAND_OVER) * 14, start=1)
    ]
    boxes = [replace(each, notes=(f"end-{each.number}.",)) for each in boxes]
    texts = pages(pdf(runbook(*boxes), paper=paper))
    for each in boxes:
        (sheet,) = [text for text in texts if f"begin-{each.number} " in text]
        assert f"end-{each.number}." in sheet


def test_a_box_longer_than_a_sheet_goes_on_over_the_leaf():
    """A text that no sheet holds is all there, and nothing runs off the sheet."""
    many = tuple(f"line {number} of a long story that somebody wrote" for number in range(150))
    made = pdf(runbook(replace(POWER, notes=many)))
    text = " ".join(pages(made))
    assert all(f"line {number} of" in text for number in range(150))
    assert_within_margins(made)


LONG = "x" * 400
MARKUP = '#import "x" *bold* _it_ $y$ = <l> @ref `raw` // no /* */ [b] {c} \\ ~ -- --- \' " #sys.version'


def test_markup_is_printed_as_it_is():
    """What the typesetter would take for markup stands on paper sign by sign, in every place."""
    box = replace(POWER, says=MARKUP, check=MARKUP, back=MARKUP, command=MARKUP, no_return=MARKUP)
    made = pdf(replace(runbook(box), lab=MARKUP, title=MARKUP, lead=(MARKUP,)))
    text = " ".join(pages(made))
    assert text.count(MARKUP) >= 7
    assert text.replace(" ", "").count(MARKUP.replace(" ", "")) >= 9
    assert_within_margins(made)


def test_long_words_keep_the_margins():
    """Words longer than a line are broken, and lose no sign."""
    box = replace(POWER, says=LONG, check=LONG, command=f"run {LONG}", number="1234", takes=LONG, hands=LONG)
    made = pdf(replace(runbook(box, rows=((LONG, LONG),) * 3), lab=LONG, title=LONG, source=LONG))
    assert_within_margins(made)
    assert "".join(pages(made)).count("x") >= 400 * 9


def test_hidden_and_unknown_signs_are_shown():
    """Control signs and turning signs become visible, signs without a letter form are named by their number."""
    box = replace(
        POWER, says="a\x00b \u202eevil\u202c \u200bzero", check="שלום العربية Ж ß", back="中 \U0001f9ed"
    )
    text = " ".join(pages(pdf(runbook(box))))
    assert "\ufffdevil\ufffd" in text
    assert "[U+4E2D] [U+1F9ED]" in text
    assert "Ж ß" in text
    assert "\u202e" not in text


@given(st.text(max_size=60), st.text(max_size=60))
@settings(max_examples=8, deadline=None)
def test_any_text_can_be_set(one, other):
    """Whatever stands in a lab file, there is paper, and the text keeps its margins."""
    box = replace(POWER, says=one, check=other, back=one, command=other, fragile=(one, other), needs=(one,))
    assert_within_margins(pdf(replace(runbook(box, rows=((one, other),)), lab=other, title=one, lead=(one,))))
