from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.faces.page.difference import Row, compared, rows, shown


def test_lines_have_their_signs_and_numbers():
    """Before and after, with what is left out between."""
    old = "".join(f"{number}\n" for number in range(1, 21))
    found = rows(compared(old, old.replace("2\n", "two\n", 1).replace("19\n", ""), "lab.yaml"))
    assert found[0] == Row(sign="", text="lab.yaml")
    assert Row(sign="-", old=2, text="2") in found
    assert Row(sign="+", new=2, text="two") in found
    assert Row(sign="-", old=19, text="19") in found
    assert [each.sign for each in found].count("…") == 1
    assert found[-1] == Row(sign=" ", old=20, new=19, text="20")


def test_lines_that_look_like_heads_are_lines():
    """A line that goes and begins with two dashes is no file, and what is no text is no line."""
    found = rows(compared("-- a\n++ b\n", "x", "lab.yaml"))
    assert [(each.sign, each.text) for each in found] == [
        ("", "lab.yaml"),
        ("-", "-- a"),
        ("-", "++ b"),
        ("+", "x"),
        ("…", "no line break at the end"),
    ]


def test_several_files_stand_one_under_the_other():
    """Each under its name, numbers from its own beginning."""
    found = rows(compared("a\n", "b\n", "one") + compared("c\n", "d\n", "two"))
    assert [each.text for each in found if each.sign == ""] == ["one", "two"]
    assert all(each.old in (None, 1) and each.new in (None, 1) for each in found)


texts = st.lists(st.sampled_from(["a", "b", "--- a", "+++ b", "@@ -1 +1 @@", " ", ""]), max_size=12).map(
    "\n".join
)


@settings(deadline=None, max_examples=200)
@given(texts, texts)
def test_what_goes_and_stays_is_the_old_text(old, new):
    """And what comes and stays the new one, as far as they are shown, in order and rightly numbered."""
    found = rows(compared(old, new, "f"))
    before, after = old.split("\n"), new.split("\n")
    assert all(before[each.old - 1] == each.text for each in found if each.sign in "- " and each.sign)
    assert all(after[each.new - 1] == each.text for each in found if each.sign in "+ " and each.sign)


def test_the_same_is_said_so():
    """In words, as is what is too long to be told apart."""
    assert "the same" in shown(compared("a\n", "a\n", "f"))
    assert "too long" in shown(compared("a\n" * 40_000, "b\n", "f"))
