from tests.faces.cli.typed import typed


def test_an_invented_lab_can_be_checked(tmp_path):
    """What goes to a file is what goes to standard output, and the checker reads it."""
    path = tmp_path / "big.yaml"
    said = typed("invent", "--nodes", "6", "--seed", "3", str(path))
    assert said.status == 0
    assert path.read_text(encoding="utf-8") == typed("invent", "--nodes", "6", "--seed", "3").out
    assert typed("check", str(path)).status in (0, 1)


def test_another_seed_is_another_lab():
    """The seed chooses the lab, and the same seed chooses the same."""
    first, again, other = (typed("invent", "--nodes", "6", "--seed", seed).out for seed in "112")
    assert first == again != other


def test_an_invented_lab_overwrites_nothing(tmp_path):
    """A file that is there stays, status 2."""
    path = tmp_path / "lab.yaml"
    path.write_text("mine")
    said = typed("invent", "--nodes", "6", str(path))
    assert (said.status, path.read_text()) == (2, "mine")


def test_a_size_that_cannot_be_is_refused():
    """No nodes at all gets a plain answer."""
    said = typed("invent", "--nodes", "0")
    assert said.status == 2
    assert said.err.startswith("a lab of 0 nodes can't be invented")


def test_a_bare_lab_is_invented_on_request(tmp_path):
    """With --bare it is the lab before any of it stands, and the next command is the one that raises it."""
    path = tmp_path / "crates.yaml"
    said = typed("invent", "--nodes", "6", "--bare", str(path))
    assert said.status == 0
    assert f"falsework raise {path}" in said.out.replace("\n", " ")
    assert "\ntoday:\n  built: [hall, rack-1]\n" in path.read_text(encoding="utf-8")


def test_a_lab_with_many_copies_is_invented_on_request(tmp_path):
    """With --copies its pools run so many, and the next command is the one that places them; not with --bare."""
    path = tmp_path / "full.yaml"
    said = typed("invent", "--nodes", "12", "--copies", "40", str(path))
    assert said.status == 0
    assert f"falsework place {path}" in said.out.replace("\n", " ")
    assert "# What else runs on the pools." in path.read_text(encoding="utf-8")
    both = typed("invent", "--nodes", "12", "--copies", "40", "--bare")
    assert both.status == 2
    assert "leave out --bare or --copies" in both.err
