"""Does a picture look as it did when somebody last looked at it and was content?"""

import io
import os
from pathlib import Path
from typing import Any

from PIL import Image, ImageChops

GOLDEN = Path(__file__).parent / "golden"
COARSE = 4
"""Pixels that are taken as one, so that how an edge is smoothed does not count."""
MOST_OFF = 0.01
"""The share of those that may differ by more than a little."""
LITTLE = 40
"""Of 255."""
MOVING = ".read, [data-when]"
"""What moves on every sheet: times of day."""


def looks_as_before(page: Any, name: str, **options: Any) -> None:
    """Compare what the page shows with the golden picture of that name.

    With FALSEWORK_GOLDEN=write the picture is taken anew; look at it before it is committed.
    """
    shot = page.screenshot(
        mask=[page.locator(MOVING)], mask_color="#808080", animations="disabled", **options
    )
    path = GOLDEN / f"{name}.png"
    if os.environ.get("FALSEWORK_GOLDEN") == "write":
        path.parent.mkdir(exist_ok=True)
        Image.open(io.BytesIO(shot)).convert("RGB").quantize(48).save(path, optimize=True)
        return
    assert path.exists(), f"{path} is missing; FALSEWORK_GOLDEN=write makes it"
    now, then = (Image.open(each).convert("L") for each in (io.BytesIO(shot), path))
    assert now.size == then.size, f"{name} is {now.size} and was {then.size}"
    off = ImageChops.difference(now.reduce(COARSE), then.reduce(COARSE))
    many = sum(off.histogram()[LITTLE:]) / (off.width * off.height)
    if many > MOST_OFF:
        seen = path.with_suffix(".seen.png")
        seen.write_bytes(shot)
        raise AssertionError(f"{many:.1%} of {name} looks otherwise than before; see {seen.name} beside it")
