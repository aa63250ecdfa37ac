"""Do imports point up the flow only, and are all names there that we promise?"""

import ast
import importlib
from collections.abc import Iterator
from pathlib import Path

import pytest

import falsework

PACKAGE = Path(falsework.__file__).parent
# From what everybody may use to what nobody else may use; those on one line are as high as each other.
FLOW = (
    ("where", "errors", "units"),
    ("engines",),
    ("lab",),
    ("model",),
    ("support",),
    ("record",),
    ("stopwatch", "logs"),
    ("analyses",),
    ("findings",),
    ("study", "invent"),
    ("faces",),
)
HEIGHT = {name: height for height, names in enumerate(FLOW) for name in names}
FILES = sorted(PACKAGE.rglob("*.py"))
# The package's own two doors stand outside the flow: one imports nothing, the other the face.
DOORS = (PACKAGE / "__init__.py", PACKAGE / "__main__.py")
each_file = pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))


def imported(path: Path) -> Iterator[tuple[str, str]]:
    """Everything of ours that a file imports, type-only imports too: place, and first name below ours."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"), path)):
        names = []
        if isinstance(node, ast.ImportFrom):
            # `from falsework import errors` names a whole entry, so the imported names count too.
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            if name.startswith("falsework."):
                yield f"{path}:{node.lineno}: {name}", name.split(".")[1]


@each_file
def test_imports_point_up_the_flow(path):
    """A file imports only from its own entry of the flow and from those above it."""
    if path in DOORS:
        pytest.skip("a door of the package, outside the flow")
    own = HEIGHT[path.relative_to(PACKAGE).with_suffix("").parts[0]]
    wrong = [place for place, entry in imported(path) if entry != "__version__" and HEIGHT[entry] > own]
    assert wrong == []


def test_the_package_itself_imports_nothing():
    """`import falsework` costs nothing, so that the command line can answer at once."""
    assert [
        n for n in ast.walk(ast.parse(DOORS[0].read_text())) if isinstance(n, ast.Import | ast.ImportFrom)
    ] == []


@each_file
def test_every_promised_name_exists(path):
    """Whatever a module lists in `__all__` can be had from it."""
    if path == DOORS[1]:
        pytest.skip("importing it runs the program")
    dotted = ".".join(("falsework", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(
        ".__init__"
    )
    module = importlib.import_module(dotted)
    assert [name for name in getattr(module, "__all__", ()) if not hasattr(module, name)] == []
