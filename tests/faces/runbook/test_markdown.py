from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from tests.faces.runbook.papers import HAND_OVER, POWER, runbook

from falsework.faces.runbook import literal
from falsework.faces.runbook.markdown import escaped, markdown

READER = MarkdownIt("commonmark").enable(["table", "strikethrough"])


def shown(text: str) -> str:
    """What a reader of Markdown shows of it, blanks told once."""
    found = []
    for token in READER.parse(text):
        if token.type in ("fence", "code_block", "html_block"):
            found.append(token.content)
        found.extend(
            " " if child.type in ("softbreak", "hardbreak") else child.content
            for child in token.children or ()
        )
        found.append(" ")
    return " ".join("".join(found).split())


def kinds(text: str) -> list[str]:
    """What a reader of Markdown takes it for."""
    return [token.type for token in READER.parse(text)]


def test_a_whole_runbook():
    """Every box is a heading with its tick, its check and its command as it is; the table is a table."""
    text = markdown(runbook())
    said = shown(text)
    assert "2. Set up the laptop as stand-in for names and images" in said
    assert "```\nserve-names --on laptop\n  --zone lab.example\n```" in text
    assert "- [ ] check: a desk gets an address from it" in text
    assert "> **No way back after this:** clients write to the new place from now on" in text
    assert "| names | 10.20.10.5 |" in text
    assert kinds(text).count("table_open") == 1
    assert kinds(text).count("fence") == 1


@given(st.text(st.sampled_from("ab1 .)-+=#>*_`[]()<&;|~$\\!:/\n\x00\u202e"), max_size=30))
@settings(max_examples=300, deadline=None)
def test_a_text_shows_as_it_is(text):
    """What a reader shows of an escaped text is the text, as one paragraph, whatever markup it looks like."""
    wanted = " ".join(literal.line(text).split())
    assert shown(escaped(text)) == wanted
    assert kinds(escaped(text)) in ([], ["paragraph_open", "inline", "paragraph_close"])
    row = READER.parse(f"| a | b |\n| --- | --- |\n| x{escaped(text)} | y |")
    cells = [token.content for token in row if token.type == "inline"]
    assert len(cells) == 4
    assert cells[3] == "y"


@given(st.text(st.sampled_from("`~a \n-"), max_size=30))
@settings(max_examples=100, deadline=None)
def test_a_command_stays_in_its_fence(command):
    """A command is one fence, whatever fences it holds itself."""
    text = markdown(runbook(replace(POWER, command=f"run {command}")))
    fences = [token.content for token in READER.parse(text) if token.type == "fence"]
    assert fences == [literal.lines(f"run {command}") + "\n"]


def test_a_group_is_told_once():
    """Boxes of one cut-over stand under one heading."""
    text = markdown(runbook(HAND_OVER, replace(HAND_OVER, number="4")))
    assert text.count("**Cut-over from the laptop**") == 1
