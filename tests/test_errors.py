import pickle
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from falsework.errors import (
    MOST_FAULTS,
    FalseworkError,
    Fault,
    FaultList,
    LabError,
    LimitError,
    MissingExtra,
    QuestionError,
    capital,
    listed,
    nearest,
    shortened,
)
from falsework.where import Where

HERE = Where("lab.yaml", 41, 9)


def test_a_fault_says_place_way_what_and_mend():
    """The whole message, with all its parts."""
    fault = Fault(HERE, "no strip is called 'C'", "Did you mean 'B'?", "machines.desk-1.fed by")
    assert str(fault) == ("lab.yaml:41:9 (machines.desk-1.fed by): no strip is called 'C'. Did you mean 'B'?")


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (Fault(HERE, "it is odd", "Mend it."), "lab.yaml:41:9: it is odd. Mend it."),
        (Fault(None, "it is odd", "Mend it.", "a.b"), "(a.b): it is odd. Mend it."),
        (Fault(None, "it is odd", ""), "it is odd."),
        (Fault(None, "is it odd?", "Mend it."), "is it odd? Mend it."),
    ],
)
def test_what_a_fault_lacks_leaves_no_trace(fault, said):
    """A missing place, way or mend leaves no empty brackets or doubled stops."""
    assert str(fault) == said


def test_faults_come_sorted_and_once():
    """By file, line and column as numbers; what has no place comes first; the same fault once."""
    places = [("b.yaml", 1, 1), ("a.yaml", 10, 2), ("a.yaml", 9, 3), ("a.yaml", 9, 3)]
    faults = [Fault(Where(*place), "odd", "") for place in places] + [Fault(None, "odd", "")]
    assert str(LabError(faults)) == "odd.\na.yaml:9:3: odd.\na.yaml:10:2: odd.\nb.yaml:1:1: odd."


def test_the_list_raises_all_at_once():
    """One error holds every fault added, and none is raised for none."""
    faults = FaultList()
    faults.raise_if_any()
    faults.add(HERE, "one", "")
    faults.add(None, "two", "")
    faults.add(HERE, "one", "")
    with pytest.raises(LabError) as caught:
        faults.raise_if_any()
    assert [fault.what for fault in caught.value.faults] == ["two", "one"]
    assert (len(faults), faults.more) == (2, 0)


def test_the_list_keeps_so_many_and_counts_the_rest():
    """After two hundred faults the rest is a number, through a second list too."""
    faults = FaultList()
    for line in range(MOST_FAULTS + 7):
        faults.add(Where("lab.yaml", line, 1), "odd", "")
    again = FaultList()
    with pytest.raises(LabError) as caught:
        faults.raise_if_any()
    again.extend(caught.value)
    assert len(caught.value.faults) == MOST_FAULTS
    assert str(caught.value).splitlines()[-1] == "... and 7 more. Mend these first, then look again."
    assert (len(again), again.more) == (MOST_FAULTS + 7, 7)


@pytest.mark.parametrize("kind", [QuestionError, LimitError, MissingExtra])
def test_errors_without_a_place_say_what_and_mend(kind):
    """Both parts are kept apart and said as sentences."""
    error = kind("there is no 'x'", "Name another.")
    assert (error.what, error.mend, str(error)) == (
        "there is no 'x'",
        "Name another.",
        "there is no 'x'. Name another.",
    )
    assert isinstance(error, FalseworkError)


@pytest.mark.parametrize("error", [LabError([Fault(HERE, "odd", "Mend.")], 3), QuestionError("a", "b")])
def test_errors_travel_between_processes(error):
    """What is pickled says the same when it arrives."""
    assert str(pickle.loads(pickle.dumps(error))) == str(error)


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("memroy", "memory"),
        ("Memory", "memory"),
        ("fedby", "fed by"),
        ("zzz", None),
        ("", None),
        ("memory" * 50, None),
    ],
)
def test_nearest_finds_what_was_meant(word, near):
    """A slip of the pen finds its word, nonsense and endless words find none."""
    assert nearest(word, ["cores", "memory", "fed by", "bays"]) == near


def test_nearest_works_among_very_many():
    """Among more names than are compared one by one, the right one is still found."""
    names = [f"node-{i:05}" for i in range(6000)] + ["harbour-lamp"]
    assert nearest("harbor-lamp", names) == "harbour-lamp"


@given(st.lists(st.text(string.ascii_lowercase, min_size=1), min_size=1, unique=True), st.data())
def test_nearest_returns_a_known_word(names, data):
    """A known word is its own nearest."""
    word = data.draw(st.sampled_from(names))
    assert nearest(word, names) == word


def test_lists_of_names_stay_short():
    """Beyond so many names only their number is told."""
    assert listed(["a", "b"]) == "a, b"
    assert listed("abcdefghij", most=3) == "a, b, c and 7 more"


def test_shown_values_fit_on_a_line():
    """Long values are cut and control signs blotted out."""
    assert shortened("a\nb\x1b[31m") == "a b [31m"
    assert shortened("x" * 100, 10) == "xxxxxxx..."


@pytest.mark.parametrize(
    ("clause", "said"),
    [
        ("mail falls", "Mail falls"),
        ("photos.1 takes 36 GiB", "photos.1 takes 36 GiB"),
        ("sw-1, down since noon", "sw-1, down since noon"),
        ("each, in turn", "Each, in turn"),
        ("", ""),
    ],
)
def test_a_name_keeps_its_small_letter(clause, said):
    """A sentence begins with a capital, but for what is plainly somebody's name for a thing."""
    assert capital(clause) == said
