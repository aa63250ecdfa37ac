"""What may a lab file say, and what may an answer, for editors and programs?"""

from __future__ import annotations

import json

from falsework.errors import QuestionError, nearest
from falsework.faces.cli.lines import put_text
from falsework.faces.cli.running import MET

SCHEMAS = ("lab", "answers")


def print_schema(which: str) -> int:
    """Print a schema and return the exit status.

    Raises:
        QuestionError: there is no such schema.
    """
    if which == "lab":
        from falsework.model.schema import schema as chosen
    elif which == "answers":
        from falsework.faces.answers import answers_schema as chosen
    else:
        near = nearest(which, SCHEMAS)
        raise QuestionError(
            f"there is no schema of '{which}'", f"Did you mean '{near}'?" if near else "Say lab or answers."
        )
    put_text(json.dumps(chosen(), indent=2, ensure_ascii=False) + "\n")
    return MET
