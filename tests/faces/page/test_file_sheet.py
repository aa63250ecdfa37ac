import json
from pathlib import Path

import pytest
from tests.faces.page.asking import client, page_for

from falsework.faces.page.saving import digest

LAB = "lab: Gannet Rock\noutside: {mains: the cable}\npower:\n  A: {is: strip, fed by: mains}\nmachines:\n  desk: {is: node, fed by: A}\n"


@pytest.fixture
def lab(tmp_path, monkeypatch):
    """A lab file in a folder to work in, named short."""
    monkeypatch.chdir(tmp_path)
    Path("lab.yaml").write_text(LAB)
    return Path("lab.yaml")


@pytest.fixture
def ask(lab):
    """A client of its page; what it looks at is ended afterwards."""
    asked = client(page_for(lab))
    yield asked
    looking = getattr(asked.application.state, "looking", None)
    if looking is not None:
        looking.close()


def looked(ask, text, file="lab.yaml"):
    """The faults of a text, asked for until they are known."""
    while True:
        answer = ask.post("/file/faults", json={"file": file, "text": text})
        if answer.status_code != 202:
            return answer.json()


def test_the_sheet_shows_the_text_escaped(ask, lab):
    """Without scripts it can be read, line for line, and nothing in it is taken for markup."""
    lab.write_text(LAB + "# </textarea><script>alert(1)</script> & more\n")
    text = ask.get("/file").text
    assert "&lt;/textarea&gt;&lt;script&gt;alert(1)&lt;/script&gt; &amp; more" in text
    assert "lab: Gannet Rock\noutside: {mains" in text
    assert "<script>alert" not in text


def test_the_text_comes_exactly(ask, lab):
    """With its line breaks, without byte order mark, and with what tells it from any other."""
    lab.write_bytes(b"\xef\xbb\xbflab: x\r\n# \xc3\xa9\n")
    told = ask.get("/file/text?file=lab.yaml").json()
    assert told == {"file": "lab.yaml", "text": "lab: x\r\n# é\n", "digest": digest("lab: x\r\n# é\n")}


@pytest.mark.parametrize(
    "file", ["../secret.yaml", "/etc/passwd", "secret.txt", "lab.yaml/..", "other.yaml", "a\0b"]
)
def test_only_files_of_the_lab_are_read_or_written(ask, lab, file):
    """Whatever the address says, and whatever lies beside it."""
    Path("secret.txt").write_text("secret")
    Path("other.yaml").write_text("lab: other\n")
    Path("../secret.yaml").write_text("secret: 1\n")
    assert ask.get("/file/text", params={"file": file}).status_code == 400
    body = {
        "file": file,
        "text": "lab: mine\n",
        "digest": digest("lab: other\n"),
        "base": "",
        "before": "",
        "after": "",
    }
    for address in ("save", "faults", "difference", "merge", "complete"):
        answer = ask.post(f"/file/{address}", json=body)
        assert answer.status_code == 400
        assert "no file of the lab" in answer.text
    assert Path("other.yaml").read_text() == "lab: other\n"


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b'{"file": 1}', b"null", b"\xff", b"[" * 100_000])
def test_strange_requests_are_refused_in_words(ask, body):
    """No body that makes no sense does more than be told so."""
    for address in ("save", "faults", "difference", "merge", "complete"):
        answer = ask.post(f"/file/{address}", content=body, headers={"Content-Type": "application/json"})
        assert answer.status_code == 400
        assert answer.json()["errors"][0]["mend"].startswith("Send JSON with file")


def test_half_a_character_is_refused(ask, lab):
    """A text that is none can't be written."""
    body = json.dumps({"file": "lab.yaml", "text": "lab: \ud800\n", "digest": digest(LAB)})
    answer = ask.post(
        "/file/save", content=body.encode("ascii"), headers={"Content-Type": "application/json"}
    )
    assert (answer.status_code, lab.read_text()) == (400, LAB)


def test_faults_are_those_of_a_check(ask):
    """The same places and words, with the address of the line; none for a sound text."""
    told = looked(ask, LAB.replace("fed by: A}", "fed by: Q}"))
    assert [(each["at"], each["what"], each["mend"]) for each in told["faults"]] == [
        ("lab.yaml:6:28", "no outside, circuit, ups or strip is called 'Q'", "Known: mains, A.")
    ]
    assert told["faults"][0]["address"] == "/file?file=lab.yaml#line-6"
    assert looked(ask, LAB) == {"faults": [], "more": 0}


def test_faults_of_a_folder_are_those_of_all_its_files(tmp_path, monkeypatch):
    """One file is taken as typed, the others from the disk, and each place names its file."""
    monkeypatch.chdir(tmp_path)
    Path("lab").mkdir()
    Path("lab/a.yaml").write_text("lab: x\noutside: {mains: a cable}\n")
    Path("lab/b.yaml").write_text("power:\n  A: {is: strip, fed by: mains}\n")
    ask = client(page_for(Path("lab")))
    told = looked(ask, "lab: x\noutside: {sun: a panel}\n", "lab/a.yaml")
    assert [each["address"] for each in told["faults"]] == ["/file?file=lab%2Fb.yaml#line-2"]
    text = ask.get("/file", params={"file": "lab/b.yaml"}).text
    assert '<a href="/file?file=lab%2Fa.yaml"><bdi>lab/a.yaml</bdi></a>' in text
    assert 'aria-current="page"><bdi>lab/b.yaml</bdi>' in text
    ask.application.state.looking.close()


def save(ask, text, known, **more):
    """Save a text."""
    return ask.post("/file/save", json={"file": "lab.yaml", "digest": known, "text": text, **more})


def test_saved_is_what_was_sent_and_nothing_else(ask, lab):
    """Byte for byte, with the file's mode and its byte order mark kept."""
    lab.write_bytes(b"\xef\xbb\xbf" + LAB.encode())
    lab.chmod(0o640)
    new = LAB.replace("\n", "\r\n") + "# é 😀"
    answer = save(ask, new, digest(LAB))
    assert (answer.status_code, answer.json()["digest"]) == (200, digest(new))
    assert lab.read_bytes() == b"\xef\xbb\xbf" + new.encode()
    assert lab.stat().st_mode & 0o777 == 0o640
    assert [each.name for each in Path().iterdir()] == ["lab.yaml"]


def test_a_newer_file_is_never_written_over(ask, lab):
    """What is on disk now comes back, with what sets the two apart; saved on top of that it is written."""
    lab.write_text(LAB + "# theirs\n")
    mine = LAB + "# mine\n"
    answer = save(ask, mine, digest(LAB))
    told = answer.json()
    assert (answer.status_code, told["text"]) == (409, LAB + "# theirs\n")
    assert "# theirs" in told["shown"]
    assert "# mine" in told["shown"]
    assert lab.read_text() == LAB + "# theirs\n"
    assert save(ask, mine, told["digest"]).status_code == 200
    assert lab.read_text() == mine


def test_faults_are_saved_on_a_second_word_only(ask, lab):
    """The first time nothing is written and they are told."""
    bad = LAB + "zzz: 1\n"
    looked(ask, bad)
    answer = save(ask, bad, digest(LAB))
    assert (answer.status_code, lab.read_text()) == (422, LAB)
    assert "no section is called 'zzz'" in answer.json()["faults"][0]["what"]
    assert save(ask, bad, digest(LAB), anyway="yes").status_code == 200
    assert lab.read_text() == bad


def test_a_file_that_is_gone_is_told(ask, lab):
    """Nothing is made in its place."""
    lab.unlink()
    assert save(ask, LAB, digest(LAB)).status_code == 400
    assert not lab.exists()


def test_a_difference_is_shown_and_nothing_written(ask, lab):
    """Signs and numbers of lines; markup in a text is text."""
    answer = ask.post("/file/difference", json={"file": "lab.yaml", "text": LAB.replace("the cable", "<b>")})
    assert answer.json()["digest"] == digest(LAB)
    assert "<code>outside: {mains: &lt;b&gt;}</code>" in answer.json()["shown"]
    assert lab.read_text() == LAB


def test_two_changes_are_joined(ask, lab):
    """Both are in it, and it counts on the newer file."""
    lab.write_text(LAB.replace("the cable", "a wire"))
    body = {"file": "lab.yaml", "base": LAB, "text": LAB + "# mine\n"}
    told = ask.post("/file/merge", json=body).json()
    assert (told["text"], told["clashes"]) == (LAB.replace("the cable", "a wire") + "# mine\n", 0)
    assert told["digest"] == digest(lab.read_text())


def test_endless_texts_are_not_laid_side_by_side(ask, lab):
    """They are refused in words at once; saving still tells that there is a newer one."""
    body = {"file": "lab.yaml", "base": LAB, "text": "x\n" * 40_000, "digest": "old"}
    assert "too long" in ask.post("/file/merge", json=body).json()["errors"][0]["what"]
    assert "too long" in ask.post("/file/difference", json=body).json()["shown"]
    assert ask.post("/file/save", json=body).status_code == 409


def complete(ask, text):
    """What is offered at a bar."""
    before, _, after = text.partition("|")
    return ask.post("/file/complete", json={"file": "lab.yaml", "before": before, "after": after}).json()


def test_completion_offers_keys_and_names_of_the_lab(ask):
    """Keys with their colon where none follows; names of the right kind; what is expected, in words."""
    told = complete(ask, LAB.replace("fed by: A}", "me|}"))
    assert told["typed"] == "me"
    assert "memory: " in [each["text"] for each in told["options"]]
    told = complete(ask, LAB.replace("fed by: A}", "fed by: |}"))
    assert [each["text"] for each in told["options"]] == ["mains", "A"]
    assert told["eager"]
    assert "Where its power comes from" in told["says"]
    assert complete(ask, "# a |")["options"] == []


def test_completion_knows_names_that_are_typed_and_not_saved(ask):
    """As soon as the text could be read with them."""
    looked(ask, LAB.replace("A: {is: strip", "strip-9: {is: strip").replace("fed by: A", "fed by: strip-9"))
    told = complete(ask, LAB.replace("fed by: A}", "fed by: |}"))
    assert "strip-9" in [each["text"] for each in told["options"]]
