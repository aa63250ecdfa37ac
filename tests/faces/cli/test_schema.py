import json

import pytest
from jsonschema import Draft202012Validator
from tests.faces.cli.typed import typed


@pytest.mark.parametrize("which", ["lab", "answers"])
def test_a_schema_is_printed(which):
    """Each is a JSON Schema that the standard takes."""
    said = typed("schema", which)
    assert (said.status, said.err) == (0, "")
    Draft202012Validator.check_schema(json.loads(said.out))


def test_a_lab_file_is_what_is_meant_by_default():
    """`falsework schema` alone is for the editor."""
    assert typed("schema").out == typed("schema", "lab").out
