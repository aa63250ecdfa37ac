"""The command line in a terminal of its own."""

from functools import partial

from tests.faces.cli.terminal import ran

from falsework.faces.cli.main import app


def typed_in_terminal(words, steps):
    """Run a command as typed at a terminal, with what is done there; see `terminal.ran`."""
    return ran(partial(app, words, prog_name="falsework"), steps)
