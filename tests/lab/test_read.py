import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.lab.strategies import labs

from falsework.errors import FaultList, LabError
from falsework.lab import parse as parsing
from falsework.lab import read as reading
from falsework.lab.parse import parse
from falsework.lab.read import lab_files, read, read_text, text_of
from falsework.lab.slips import DEEPEST
from falsework.lab.tree import Mapping, Scalar, Sequence, plain, sort_of
from falsework.where import Where

BEGIN = "Begin with a section such as 'machines:' and say below it what you have."


def refused(make):
    """All that is said when reading is refused."""
    with pytest.raises(LabError) as caught:
        make()
    return str(caught.value)


@pytest.fixture
def here(tmp_path, monkeypatch):
    """An empty folder to work in, so that names can be typed short."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_everything_has_its_place():
    """Lines and columns from one in characters, offsets that cut the very text out."""
    text = "lab: Gannet Rock\nmachines:\n  é😀: {kind: 'twin', on: [A, B]}\nempty:\n"
    root = read_text(text, "lab.yaml").root
    assert root.where == Where("lab.yaml", 1, 1)
    key = root.get("machines").entries[0].key
    group = root.get("machines").entries[0].value
    assert (key.where, text[key.start : key.end]) == (Where("lab.yaml", 3, 3), "é😀")
    assert (group.where.column, text[group.start : group.end]) == (7, "{kind: 'twin', on: [A, B]}")
    kind, on = group.get("kind"), group.get("on")
    assert (kind.text, kind.quoted, text[kind.start : kind.end]) == ("twin", True, "'twin'")
    assert [item.where.column for item in on.items] == [27, 30]
    empty = root.get("empty")
    assert (empty.text, empty.quoted, empty.is_empty, text[: empty.end][-6:]) == ("", False, True, "empty:")


@pytest.mark.parametrize("value", ["yes", "no", "010", "1e3", "null", "~", "2024-01-01", "1:30"])
def test_all_values_stay_text(value):
    """No guessing of truths, numbers, nothings, dates or sixties."""
    assert plain(read_text(f"on: {value}", "x").root) == {"on": value}


def test_times_and_addresses_need_no_quotes():
    """A colon within a word is part of it, between braces too."""
    text = "a: {hours: Mon-Fri 19:00-22:00, net: fd00::1/64, card: '00:11'}\n"
    assert plain(read_text(text, "x").root) == {
        "a": {"hours": "Mon-Fri 19:00-22:00", "net": "fd00::1/64", "card": "00:11"}
    }


@given(labs())
def test_both_parsers_read_the_same(lab):
    """The fallback gives the same tree, places and offsets included."""
    text, said = lab
    fast, pure = FaultList(), FaultList()
    assert parse(text, "x", fast) == parse(text, "x", pure, pure=True)
    assert (len(fast), len(pure)) == (0, 0)
    assert plain(parse(text, "x", fast).root) == said


def nodes(node):
    """Every node of a tree."""
    yield node
    for inner in node.items if isinstance(node, Sequence) else ():
        yield from nodes(inner)
    for entry in node.entries if isinstance(node, Mapping) else ():
        yield entry.key
        yield from nodes(entry.value)


@given(labs())
def test_places_and_offsets_agree(lab):
    """Line and column lead to the same sign as the offset, and every piece lies within its whole."""
    text, _ = lab
    starts = [0]
    for line in text.split("\n"):
        starts.append(starts[-1] + len(line) + 1)
    root = read_text(text, "x").root
    for node in nodes(root):
        assert starts[node.where.line - 1] + node.where.column - 1 == node.start
        assert root.start <= node.start <= node.end <= root.end
        if isinstance(node, Scalar) and not node.quoted:
            assert text[node.start : node.end] == node.text


@given(st.text() | st.text("ab:- \n[]{},&*!|>'\"#%@?\t\r\u2028\ufeff\0"))
def test_any_text_is_read_or_refused(text):
    """No text brings anything but a tree or the one error, each fault with its place and cure."""
    try:
        found = read_text(text, "x").root
    except LabError as error:
        found = error
    if isinstance(found, LabError):
        assert found.faults
        assert all(fault.where and fault.what and fault.mend for fault in found.faults)
    else:
        assert isinstance(found, Mapping)


@given(st.text("ab:- \n[]{},&*!|>'\"#%@?\\", max_size=40))
def test_both_parsers_agree_on_what_is_readable(text):
    """What the fast parser reads, the pure one reads as the same or refuses; never as something else."""
    fast, pure = FaultList(), FaultList()
    one, two = parse(text, "x", fast), parse(text, "x", pure, pure=True)
    assert len(fast) or len(pure) or one == two


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", f"lab.yaml:1:1: the file is empty. {BEGIN}"),
        ("# only words\n", f"lab.yaml:1:1: the file is empty. {BEGIN}"),
        ("---\n", f"lab.yaml:1:1: the file is empty. {BEGIN}"),
        ("- a\n", f"lab.yaml:1:1: the file is a list at its outermost. {BEGIN}"),
        ("some words", f"lab.yaml:1:1: the file is a single value, 'some words'. {BEGIN}"),
        (
            "a: 1\nb: 2\n'a': 3\n",
            "lab.yaml:3:1: 'a' is said twice; the first time at lab.yaml:1:1."
            " Keep one of the two, or join them.",
        ),
        (
            "a: &x 1\nb: *x\n<<: {c: d}\n",
            "lab.yaml:1:4: '&x' repeats a value in another place (and 2 more of this sort), which a lab file"
            " does not do. Say what equal things have in common once, under kinds."
            " If it is meant as text, such as a pattern, put it in quotes.",
        ),
        (
            "a: !!int 1\n",
            "lab.yaml:1:4: '!!int' gives a value a type, which a lab file does not do."
            " Take it away. If it is meant as text, put it in quotes.",
        ),
        (
            "a: 1\n---\nb: 2\n",
            "lab.yaml:2:1: a second document begins here. A lab file is one document:"
            " take the '---' away, or put what follows in a file of its own.",
        ),
        (
            "%YAML 1.1\n---\na: 1\n",
            "lab.yaml:1:1: a line beginning with '%' is not understood here."
            " Leave it out: a lab file needs no directives.",
        ),
        (
            "? [a]\n: b\n",
            "lab.yaml:1:3: a list or a group of keys stands where one key is expected. Write a single name"
            " before the colon; put it in quotes if it begins with [ or {.",
        ),
        (
            "a: {: b}\n",
            "lab.yaml:1:5: a key is missing before the colon."
            " Write a name before it, or put the text in quotes if the colon belongs to a value.",
        ),
        (
            "a: x\0y\n",
            "lab.yaml:1:5: the file is not text: it holds a zero byte. Name a lab file, which is YAML text.",
        ),
        (
            "a: 1\nb: x\u200b\x1b\n",
            "lab.yaml:2:6: the invisible character U+001B cannot stand in a lab file."
            " Delete it; it often comes in with text copied from a web page or a terminal.",
        ),
        (
            "[" * 100,
            "lab.yaml:1:33: nested more than 32 levels deep. A lab file needs no more than ten levels:"
            " look for a bracket or an indentation gone astray.",
        ),
        (
            "[" * 1_000_000,
            "lab.yaml:1:1001: nested more than 32 levels deep. A lab file needs no more than ten levels:"
            " look for a bracket or an indentation gone astray.",
        ),
        (
            "".join(" " * i + "a:\n" for i in range(2_000)),
            "lab.yaml:33:33: nested more than 32 levels deep. A lab file needs no more than ten levels:"
            " look for a bracket or an indentation gone astray.",
        ),
    ],
    ids=lambda text: repr(text[:20]),
)
def test_what_a_lab_file_cannot_be(text, said):
    """Each has its whole message, with place and cure."""
    assert refused(lambda: read_text(text, "lab.yaml")) == said


def test_as_deep_as_allowed_is_read():
    """The bound itself is within bounds."""
    deep = "a: " + "[" * (DEEPEST - 1) + "]" * (DEEPEST - 1)
    assert sort_of(read_text(deep, "x").root.get("a")) == "a list"


def test_a_bomb_of_repeats_is_one_fault():
    """Nine levels of ten repeats each are never unfolded."""
    bomb = "a0: &a0 [x]\n" + "".join(
        f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]\n" for i in range(1, 10)
    )
    assert refused(lambda: read_text(bomb, "lab.yaml")) == (
        "lab.yaml:1:5: '&a0' repeats a value in another place (and 99 more of this sort), which a lab file"
        " does not do. Say what equal things have in common once, under kinds."
        " If it is meant as text, such as a pattern, put it in quotes."
    )


def test_too_many_values_are_not_all_kept(monkeypatch):
    """Reading stops at the bound, over all files together."""
    monkeypatch.setattr(parsing, "MOST_VALUES", 50)
    monkeypatch.setattr(reading, "MOST_VALUES", 50)
    said = (
        "1:1: the lab holds more than 50 values. Say equal things once under kinds and give counts or"
        " ranges, not every part."
    )
    assert refused(lambda: read_text("a: [" + "1," * 60 + "]", "lab.yaml")) == f"lab.yaml:{said}"
    assert len(read_text("a: [" + "1," * 40 + "]", "lab.yaml").root) == 1


def test_all_faults_come_at_once():
    """In the order of the file, not of their sorts."""
    said = refused(lambda: read_text("a: &x 1\nb: !t 2\na: 3\nb: 4\nc: {d:1}\n", "x"))
    assert [line.split(": ")[0] for line in said.splitlines()] == [
        "x:1:4",
        "x:2:4",
        "x:3:1",
        "x:4:1",
        "x:5:5",
    ]


def test_a_file_is_read_as_it_was_typed(here):
    """Names in places are the user's own, and the text is kept for edits."""
    Path("lab.yaml").write_bytes(b"\xef\xbb\xbfa: 1\r\nb: \xc3\xa9 x\r\n")
    source = read(Path("./lab.yaml"))
    assert str(source.root.get("b").where) == "lab.yaml:2:4"
    assert dict(source.files) == {"lab.yaml": "a: 1\r\nb: é x\r\n"}


def test_a_folder_is_read_as_one(here):
    """Files come in the order of their names, sections and lists are joined, hidden files left out."""
    Path("lab/more/deep").mkdir(parents=True)
    Path("lab/.hidden").mkdir()
    files = {
        "b.yaml": "falsework: 1\nmachines:\n  m2: x\nwire: [c]\nempty:\n",
        "a.yml": "falsework: 1\nmachines: {m1: x}\nwire:\n- a\n- b\n",
        "more/deep/c.yaml": "machines:\nservices: {s: y}\nempty: {e: z}\n",
        ".d.yaml": "[",
        ".hidden/e.yaml": "[",
        "notes.txt": "[",
    }
    for name, text in files.items():
        Path("lab", name).write_text(text)
    source = read(Path("lab"))
    assert plain(source.root) == {
        "falsework": "1",
        "machines": {"m1": "x", "m2": "x"},
        "wire": ["a", "b", "c"],
        "empty": {"e": "z"},
        "services": {"s": "y"},
    }
    assert list(source.files) == ["lab/a.yml", "lab/b.yaml", "lab/more/deep/c.yaml"]
    assert str(source.root.get("machines").get("m2").where) == "lab/b.yaml:3:7"


def test_files_that_disagree_name_both_places(here):
    """The same entry, another value and another shape, all told at once."""
    Path("lab").mkdir()
    Path("lab/a.yaml").write_text("lab: One\nmachines:\n  desk: {kind: x}\nwire: [a]\n")
    Path("lab/b.yaml").write_text("lab: Two\nmachines:\n  desk: {kind: y}\nwire: {a: b}\n")
    assert refused(lambda: read(Path("lab"))) == (
        "lab/b.yaml:1:1 (lab): 'lab' is said to be 'Two' here and 'One' at lab/a.yaml:1:1."
        " Keep one of the two.\n"
        "lab/b.yaml:3:3 (machines.desk): 'desk' is said twice; the first time at lab/a.yaml:3:3."
        " Keep one of the two, or join them.\n"
        "lab/b.yaml:4:1 (wire): 'wire' holds keys with values here and a list at lab/a.yaml:4:1."
        " Write it the same way in both files."
    )


def test_every_file_of_a_folder_tells_its_faults(here):
    """A fault in one file does not hide those of another."""
    Path("a.yaml").write_text("a: [\n")
    Path("b.yaml").write_bytes(b"a: \xff\n")
    said = refused(lambda: read(Path())).splitlines()
    assert [line.split(": ")[0] for line in said] == ["a.yaml:1:4", "b.yaml:1:4"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a: 1\nb: \xe9t\xe9\n", "lab.yaml:2:4: the byte 0xe9 is not UTF-8 text. Save the file as UTF-8."),
        (
            b"\xef\xbb\xbfa: 1\nb: \xc3\xa9\xff\n",
            "lab.yaml:2:5: the byte 0xff is not UTF-8 text. Save the file as UTF-8.",
        ),
        ("a: 1\n".encode("utf-16"), "lab.yaml:1:1: the file is written in UTF-16. Save it as UTF-8."),
        (
            b"\x7fELF\x02\x01\x01\x00\x00",
            "lab.yaml:1:8: the file is not text: it holds a zero byte. Name a lab file, which is YAML text.",
        ),
        (b"", f"lab.yaml:1:1: the file is empty. {BEGIN}"),
    ],
)
def test_bytes_that_are_no_lab_file(here, content, said):
    """Each has its whole message, with place and cure."""
    Path("lab.yaml").write_bytes(content)
    assert refused(lambda: read(Path("lab.yaml"))) == said


def test_a_huge_file_is_not_read(here):
    """Fifty megabytes are refused by their size, before a byte is read."""
    with Path("lab.yaml").open("wb") as stream:
        stream.truncate(50_000_000)
    assert refused(lambda: read(Path("lab.yaml"))) == (
        "lab.yaml:1:1: the file is larger than 16 MB."
        " Say equal things once under kinds, and give counts or ranges of parts."
    )


def test_a_huge_folder_is_not_read(here):
    """Files that are small one by one count together."""
    for name in ("a.yaml", "b.yaml"):
        Path(name).write_bytes(b"%s: 1\n#" % name[:1].encode() + b"." * 9_000_000)
    assert refused(lambda: read(Path())).startswith(
        "b.yaml:1:1: the file is larger than 16 MB together with those before it."
    )


@pytest.mark.parametrize("name", ["lab.yaml", "folder"])
def test_a_pipe_is_not_waited_for(here, name):
    """Nobody writes to it, and reading returns all the same."""
    Path("folder").mkdir()
    os.mkfifo("lab.yaml")
    os.mkfifo("folder/pipe.yaml")
    shown = {"lab.yaml": "lab.yaml", "folder": "folder/pipe.yaml"}[name]
    assert refused(lambda: read(Path(name))) == (
        f"'{shown}' is a device or a pipe, not a file. Name a lab file or a folder of them."
    )


def test_a_device_is_refused():
    """One that never ends, too."""
    assert refused(lambda: read(Path("/dev/zero"))) == (
        "'/dev/zero' is a device or a pipe, not a file. Name a lab file or a folder of them."
    )


def test_a_missing_file_names_its_neighbour(here):
    """The nearest name, else the lab files there are, else what is wanted."""
    assert refused(lambda: read(Path("lab.yaml"))) == (
        "there is no file or folder 'lab.yaml'. Name a lab file or a folder of them."
    )
    Path("gannet.yaml").touch()
    Path("notes.txt").touch()
    assert refused(lambda: read(Path("ganet.yml"))) == (
        "there is no file or folder 'ganet.yml'. Did you mean 'gannet.yaml'?"
    )
    assert refused(lambda: read(Path("x"))) == "there is no file or folder 'x'. Lab files there: gannet.yaml."
    assert refused(lambda: read(Path("none/lab.yaml"))) == (
        "there is no file or folder 'none/lab.yaml'. Name a lab file or a folder of them."
    )
    assert refused(lambda: read(Path("gannet.yaml/x"))) == (
        "there is no file or folder 'gannet.yaml/x'. Name a lab file or a folder of them."
    )


def test_names_that_can_be_no_file(here):
    """Zero bytes and endless names are refused like any other wrong name."""
    assert refused(lambda: read(Path("a\0b"))) == (
        "'a b' cannot be the name of a file. Name a lab file or a folder of them."
    )
    assert refused(lambda: read(Path("x" * 5000))).endswith(
        "...' is too long for a name. Name a lab file or a folder of them."
    )


def test_what_may_not_be_read_is_said_so(here, monkeypatch):
    """For a file and for a folder, whoever runs the tests."""
    Path("folder").mkdir()
    Path("lab.yaml").write_text("a: 1\n")

    def denied(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", denied)
    monkeypatch.setattr(os, "listdir", denied)
    said = "may not be read. Give yourself the permission to read it, or name another."
    assert refused(lambda: read(Path("lab.yaml"))) == f"'lab.yaml' {said}"
    assert refused(lambda: read(Path("folder"))) == f"'folder' {said}"


def test_a_folder_without_a_lab(here):
    """Other files do not count."""
    Path("lab").mkdir()
    Path("lab/notes.txt").touch()
    assert refused(lambda: read(Path("lab"))) == (
        "the folder 'lab' has no lab file in it."
        " Put a file in it whose name ends in .yaml, or name another folder."
    )


def test_links_in_a_circle_end(here):
    """A link to itself and a folder within itself are named, not followed."""
    Path("loop.yaml").symlink_to("loop.yaml")
    said = "'loop.yaml' is a link that leads back to itself. Name the file itself, or mend the link."
    assert refused(lambda: read(Path("loop.yaml"))) == said
    Path("lab").mkdir()
    Path("lab/lab.yaml").write_text("a: 1\n")
    Path("lab/again").symlink_to("../lab")
    assert refused(lambda: read(Path("lab"))) == (
        "the folder 'lab/again' leads back to a folder it lies in."
        " Take the link away, or name a folder that holds only the lab."
    )


def test_a_folder_of_everything_is_not_walked_through(here, monkeypatch):
    """Past so many files the wrong folder was named."""
    monkeypatch.setattr(reading, "_MOST_LOOKED_AT", 3)
    for name in ("a", "b", "c"):
        Path(name).mkdir()
        Path(name, "lab.yaml").write_text(f"{name}: 1\n")
    assert refused(lambda: read(Path())) == (
        "there are more than 3 files and folders to look through. Name a folder that holds only the lab."
    )


def test_text_that_is_not_saved_yet_takes_the_place_of_a_file(here):
    """The other files come from the disk, and the disk stays as it is."""
    folder = here / "lab"
    folder.mkdir()
    (folder / "a.yaml").write_text("lab: Gannet Rock\n")
    (folder / "b.yaml").write_text("machines: {desk: node}\n")
    root = read(Path("lab"), instead={"lab/b.yaml": "machines: {bench: node}\n", "lab/c.yaml": "x: 1"}).root
    assert plain(root) == {"lab": "Gannet Rock", "machines": {"bench": "node"}}
    assert (folder / "b.yaml").read_text() == "machines: {desk: node}\n"
    said = refused(lambda: read(Path("lab"), instead={"lab/a.yaml": "lab: [\n"}))
    assert said.startswith("lab/a.yaml:")


def test_the_files_of_a_lab_and_their_texts(here):
    """In the order in which they are read, as they are named in places, without byte order mark."""
    folder = here / "lab"
    folder.mkdir()
    (folder / "b.yml").write_bytes(b"\xef\xbb\xbflab: x\n")
    (folder / "a.yaml").write_text("power:\n")
    (folder / "notes.txt").write_text("none")
    assert lab_files(Path("lab")) == (Path("lab/a.yaml"), Path("lab/b.yml"))
    assert text_of(Path("lab/b.yml")) == "lab: x\n"
    (here / "empty").mkdir()
    assert "has no lab file in it" in refused(lambda: lab_files(here / "empty"))
    (folder / "a.yaml").write_bytes(b"\xff")
    assert "not UTF-8" in refused(lambda: text_of(Path("lab/a.yaml")))
