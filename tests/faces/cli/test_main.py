import re
import subprocess
import sys

import pytest
from tests.faces.cli.typed import ROOT, typed

from falsework import __version__

COMMANDS = (
    "check",
    "lose",
    "why",
    "look",
    "mend",
    "odds",
    "years",
    "tree",
    "loops",
    "raise",
    "cold-start",
    "shutdown",
    "rebuild",
    "place",
    "room",
    "drives",
    "wire",
    "addresses",
    "power",
    "noise",
    "rack",
    "drills",
    "drill",
    "stopwatch",
    "compare",
    "learn",
    "record",
    "diagnose",
    "evidence",
    "start",
    "invent",
    "schema",
)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_is_a_sentence_and_two_examples(command):
    """Every command's help begins with what it does and shows two ways to type it."""
    said = typed(command, "--help")
    assert said.status == 0
    lines = [line.strip() for line in said.out.splitlines()]
    assert lines[2].endswith((".", ",", "?")) or lines[2][0].isupper()
    at = lines.index("Examples:")
    assert [line.split()[:2] for line in lines[at + 1 : at + 3]] == [["falsework", command]] * 2


def test_the_whole_help_lists_every_command():
    """The help of the program names every command with what it does."""
    said = typed("--help")
    assert said.status == 0
    listed = said.out.split("Commands:")[1].split("\n")
    assert [line.split()[0] for line in listed if line.strip()] == list(COMMANDS)


def test_help_loads_nothing_heavy():
    """Neither help nor the version loads what only answers need, so that both come at once."""
    script = (
        "import sys\n"
        "from typer.testing import CliRunner\n"
        "from falsework.faces.cli.main import app\n"
        "for words in (['--help'], ['check', '--help'], ['--version']):\n"
        "    assert CliRunner().invoke(app, words).exit_code == 0\n"
        "heavy = {'numpy', 'jinja2', 'rustworkx', 'yaml', 'falsework.study', 'rich'} & set(sys.modules)\n"
        "print(sorted(heavy))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT / "src", capture_output=True, text=True, check=True
    )
    assert done.stdout == "[]\n"


def test_the_version_is_said():
    """`--version` says the version and stops."""
    assert typed("--version").out == f"falsework {__version__}\n"


def test_an_unknown_command_is_refused_with_the_nearest():
    """A slip in a command's name gets status 2 and the command that was meant."""
    said = typed("chekc", "lab.yaml")
    assert (said.status, said.out) == (2, "")
    assert "No such command 'chekc'. Did you mean 'check'?" in said.err


def test_an_unknown_option_is_refused():
    """A slip in an option gets status 2 and the option that was meant."""
    said = typed("check", "lab.yaml", "--reprot", "x.html")
    assert (said.status, said.out) == (2, "")
    assert "--report" in said.err


def test_it_runs_as_a_module():
    """`python -m falsework` is the same door."""
    done = subprocess.run(
        [sys.executable, "-m", "falsework", "--version"],
        cwd=ROOT / "src",
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == f"falsework {__version__}\n"


@pytest.mark.slow
def test_the_reference_tells_every_option():
    """The page of commands has a part for each command, with each of its options and both examples."""
    page = (ROOT / "docs" / "reference" / "commands.md").read_text(encoding="utf-8")
    for command in COMMANDS:
        part = page.split(f"\n## falsework {command} ")[1].split("\n## ")[0]
        words = typed(command, "--help").out.split()
        options = {word.rstrip(".") for word in words if word.startswith("--")} - {"--help"}
        assert options <= {word.strip("`,;") for word in part.split()}, command
        examples = typed(command, "--help").out.split("Examples:\n")[1].split("\n\n")[0]
        for example in examples.splitlines():
            assert f"\n{example.strip()}\n" in part


def test_only_commands_that_exist_are_named():
    """Wherever a text, a template or a page of the handbook names a command, there is one."""
    files = [
        path for kind in ("src/**/*.py", "src/**/*.j2", "docs/**/*.md", "*.md") for path in ROOT.glob(kind)
    ]
    named = {
        (each[1], path.name)
        for path in files
        for each in re.finditer(r"[`$]\s?falsework ([a-z][a-z-]*)", path.read_text(encoding="utf-8"))
    }
    assert len(named) > 30
    assert sorted(each for each in named if each[0] not in COMMANDS) == []
