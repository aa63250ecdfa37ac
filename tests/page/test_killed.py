import os
import random
import signal
import subprocess
import sys

import pytest

from falsework.faces.page import saving
from falsework.lab.save import write_safely

TEXTS = ("lab: One\n" + "# one\n" * 4_000, "lab: Two\n" + "# two\n" * 9_000)

SAVES = """
import sys
from pathlib import Path
from falsework.lab.save import write_safely

path, texts = Path(sys.argv[1]), [Path(name).read_text() for name in sys.argv[2:4]]
now = texts.index(path.read_text())
print("begun", flush=True)
while True:
    write_safely(path, texts[now], texts[1 - now])
    now = 1 - now
"""


@pytest.mark.slow
def test_a_save_that_is_killed_leaves_the_old_text_or_the_new_one(tmp_path):
    """Killed at forty moments or more in the middle of saves, the file is one of the two texts, whole, and can be saved."""
    path = tmp_path / "lab.yaml"
    path.write_text(TEXTS[0], encoding="utf-8")
    names = []
    for number, text in enumerate(TEXTS):
        names.append(tmp_path / f"text-{number}")
        names[-1].write_text(text, encoding="utf-8")
    drawn = random.Random(7)
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(each for each in sys.path if each)}
    found = set()
    halves = 0
    for number in range(1000):
        if number >= 40 and len(found) == 2 and halves:
            break
        with subprocess.Popen(
            [sys.executable, "-c", SAVES, str(path), *map(str, names)],
            stdout=subprocess.PIPE,
            env=environment,
        ) as saving_one:
            assert saving_one.stdout is not None
            saving_one.stdout.readline()
            try:
                saving_one.wait(drawn.uniform(0.0, 0.03))  # a moment in the middle of some save
            except subprocess.TimeoutExpired:
                saving_one.send_signal(signal.SIGKILL)
            assert saving_one.wait() == -signal.SIGKILL
        text = path.read_text(encoding="utf-8")
        assert text in TEXTS
        found.add(TEXTS.index(text))
        halves += sum(1 for each in tmp_path.iterdir() if each.name.startswith(".lab.yaml"))
        for each in tmp_path.glob(".lab.yaml*"):
            each.unlink()
    assert found == {0, 1}  # both were seen: it was being saved
    assert halves > 0  # and some saves were cut off while the new text was written beside
    now = path.read_text(encoding="utf-8")
    write_safely(path, now, TEXTS[0] + "# more\n")
    assert path.read_text(encoding="utf-8") == TEXTS[0] + "# more\n"


def test_what_a_killed_save_leaves_beside_is_no_lab_file(tmp_path):
    """The half that a killed save leaves is hidden, so that a folder of lab files does not read it."""
    path = tmp_path / "lab.yaml"
    path.write_text("lab: One\n", encoding="utf-8")
    (tmp_path / ".lab.yaml.0123456789ab.new").write_text("lab: Ha", encoding="utf-8")
    assert list(saving.files_of(tmp_path)) == [str(path)]
