"""Does a slip in the command end it with words, before anything is served?"""

import pytest
from tests.page.conftest import KITCHEN

from falsework.errors import QuestionError
from falsework.faces.page.serve import Wanted, serve


def untold(address):
    """Nobody may be told of an address where nothing answers."""
    raise AssertionError(address)


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        ({"lab": KITCHEN.with_name("kitchen-shelv.yaml")}, "there is no file"),
        ({"lab": KITCHEN, "out": ("desk-11",)}, "no part is called 'desk-11'"),
        ({"lab": KITCHEN, "host": "192.0.2.1"}, "can't be listened on"),
    ],
)
def test_what_no_edit_of_the_file_mends_ends_the_command(wanted, says):
    """No such file, no such part, an address that is not this machine's: each is a sentence with a mend."""
    with pytest.raises(QuestionError, match=says) as caught:
        serve(Wanted(open=False, **wanted), untold)
    assert caught.value.mend
