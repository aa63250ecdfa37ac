"""Do labels follow the rules of the name system, and does nobody lose one by a newcomer?"""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.addressing.labels import is_label, is_name, labels, plain_label

TEST = settings(deadline=None, max_examples=100)
NAMES = st.text(st.sampled_from("aAbB1-. _Öéжß"), min_size=1, max_size=80)


@pytest.mark.parametrize(
    ("name", "label"),
    [
        ("twin-1.a", "twin-1-a"),
        ("way in", "way-in"),
        ("Gannet Rock", "gannet-rock"),
        ("Öre", "ore"),
        ("3com box", "3com-box"),
        ("-a-", "a"),
        ("жук", "жук".encode("idna").decode()),
    ],
)
def test_a_name_becomes_a_label(name, label):
    """Dots and blanks become hyphens, case and accents go; a digit may come first (RFC 1123, section 2.1)."""
    assert plain_label(name) == label


@given(NAMES)
@TEST
def test_every_label_is_legal(name):
    """Letters, digits and hyphens inside, 1 to 63 octets. Source: RFC 1035, sections 2.3.1 and 2.3.4 (G13)."""
    label = plain_label(name)
    assert re.fullmatch("[a-z0-9]([a-z0-9-]*[a-z0-9])?", label)
    assert 1 <= len(label.encode()) <= 63
    assert is_label(label)


@given(st.lists(NAMES, max_size=12, unique=True))
@TEST
def test_no_two_get_the_same(names):
    """Each name has a label, and they all differ."""
    found = labels(names)
    assert list(found) == names
    assert len(set(found.values())) == len(names)
    assert all(is_label(each) for each in found.values())


@given(st.lists(NAMES, min_size=1, max_size=8, unique=True), NAMES)
@TEST
def test_who_is_known_keeps_the_label_whoever_comes(names, newcomer):
    """With all of them known, in any order, only somebody whose very name it is can take a label away."""
    before = labels(names, first=names)
    after = labels([newcomer, *reversed(names)], first=names)
    for name in names:
        if before[name] != newcomer:
            assert after[name] == before[name]


@pytest.mark.parametrize(
    ("name", "legal"),
    [
        ("rock.home.arpa", True),
        ("a" * 63, True),
        ("a" * 64, False),
        ("a..b", False),
        ("a-.b", False),
        ("", False),
    ],
)
def test_whole_names(name, legal):
    """Labels apart by single dots. Source: RFC 1035, section 2.3.1."""
    assert is_name(name) is legal


def test_a_name_ends_at_253_characters():
    """255 octets on the wire are 253 characters without the last dot. Source: RFC 1035, section 2.3.4 (G13)."""
    longest = ".".join(["a" * 63] * 3 + ["a" * 61])
    assert len(longest) == 253
    assert is_name(longest)
    assert not is_name(f"{longest}a")
