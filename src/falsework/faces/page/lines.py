"""Where on the page is a place of the lab file?"""

from __future__ import annotations

from urllib.parse import quote, urlencode

from falsework.where import Where


def address_of(where: Where) -> str:
    """The address of the sheet of the file, at the line of a place."""
    return f"{address_of_file(where.file)}#line-{where.line}"


def address_of_file(file: str) -> str:
    """The address of the sheet of a file, by its name as places give it."""
    return f"/file?{urlencode({'file': file}, quote_via=quote)}"
