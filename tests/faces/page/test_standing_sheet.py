"""Does the elevation sheet tell what the analyses say, in any state that an address can name?"""

import re
from urllib.parse import parse_qsl, urlsplit

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.datastructures import QueryParams
from tests.faces.page.asking import client, page_for
from tests.faces.page.sheets import hold_to_the_page
from tests.faces.report.pictures import HOSTILE, KITCHEN, MENDED, ROOT
from tests.strategies import texts

from falsework.analyses.margin import margins_left
from falsework.analyses.moment import moment, stops
from falsework.analyses.taking_down import taking_down
from falsework.analyses.verdicts import Verdict, lose
from falsework.faces.page import panel, standing_sheet
from falsework.faces.page.pulled import Pulled
from falsework.support.standing import Standing

FRAGMENT = {"HX-Request": "true"}


@pytest.fixture(scope="module")
def island():
    """The mended observatory, asked."""
    page = page_for(ROOT / MENDED)
    return page.keeper.good, client(page)


@pytest.fixture(scope="module")
def shelf():
    """The kitchen shelf, asked."""
    page = page_for(ROOT / KITCHEN)
    return page.keeper.good, client(page)


def notes(answer):
    """The notes beside the drawing."""
    found = re.search(r'<section class="notes".*?</section>\s*</div>', answer.text, re.DOTALL)
    assert found
    return found[0]


def signed(html):
    """Every service of the list with its sign, in order, those told together one by one."""
    effects = re.search(r'<ul class="effects">(.*?)</ul>', html, re.DOTALL)
    rows = re.findall(
        r'<li[^>]*><span class="sign (\w+)"></span>(.*?)</li>', effects[1] if effects else "", re.DOTALL
    )
    return [(sign, name) for sign, row in rows for name in re.findall(r"<bdi>([^<]+)</bdi>", row)]


def plain(html):
    """The words that a reader sees."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", html)).replace("&#39;", "'").strip()


def test_nothing_pulled_says_what_to_do_and_links_the_worst_parts(island):
    """A stranger sees what the lab is, what a click does, and where it hurts most."""
    good, ask = island
    said = notes(ask.get("/"))
    assert plain(good.lab.about) in plain(said)
    assert "Click a part to pull its plug, or press Enter on it" in plain(said)
    links = re.findall(r'<li>\w+ <a href="([^"]+)"><bdi>([^<]+)</bdi></a> brings down (\d+)', said)
    assert len(links) == 3
    for address, part, count in links:
        assert dict(parse_qsl(urlsplit(address.replace("&amp;", "&")).query))["out"] == part
        falls = [each for each in lose(good.standing, [part]).effects if each.verdict >= Verdict.FALLS]
        assert len(falls) == int(count)


@pytest.mark.parametrize("parts", [["A"], ["c1"], ["twin-3", "gate-1"], ["mains"], ["hide-1"]])
def test_every_service_is_told_as_the_loss_says(island, parts):
    """What is interrupted stands in the list by name, worst first; the others are counted."""
    good, ask = island
    said = notes(ask.get("/", params={"out": parts}))
    loss = lose(good.standing, parts)
    hurt = [each for each in loss.effects if each.verdict >= Verdict.BLINKS]
    listed = signed(said)
    assert sorted(name for _, name in listed) == sorted(each.service for each in hurt)
    assert {name: sign for sign, name in listed} == {each.service: each.verdict.word for each in hurt}
    order = [loss.of(name).verdict for _, name in listed]
    assert order == sorted(order, reverse=True)
    thin = sum(each.verdict is Verdict.THIN for each in loss.effects)
    if thin:
        assert f"{thin} with nothing to spare" in plain(said)


def test_each_part_that_is_out_can_be_plugged_back_in(shelf):
    """Each has a link to the page without it, all have one together, and what was done last is undone by one."""
    _, ask = shelf
    said = notes(ask.get("/?out=desk-1&out=hub"))
    back = re.findall(r'href="([^"]+)" aria-label="Plug ([^"]+) back in"', said)
    assert {
        name: dict(parse_qsl(urlsplit(each.replace("&amp;", "&")).query))["out"] for each, name in back
    } == {
        "desk-1": "hub",
        "hub": "desk-1",
    }
    assert 'href="/">Plug all back' in said
    undo = re.search(r'id="undo" href="([^"]+)"', said)
    assert undo
    assert undo[1] == "/?out=desk-1"


def test_a_chain_is_told_step_by_step_with_its_places(island):
    """Every reason stands in order, with file, line and column, and leads to its line on the page."""
    good, ask = island
    said = notes(ask.get("/?out=c1&why=front"))
    chain = lose(good.standing, ["c1"]).why("front")
    steps = re.findall(
        r'<li><bdi>([^<]+)</bdi>(?: <a class="where" href="([^"]+)"[^>]*><bdi>([^<]+)</bdi>)?', said
    )
    told = [each for each in steps if each[2]][-len(chain) :]
    assert [says for says, _, _ in told] == [reason.says for reason in chain]
    for (_, address, place), reason in zip(told, chain, strict=True):
        assert place.endswith(f"{reason.where.line}:{reason.where.column}")
        assert address.endswith(f"#line-{reason.where.line}")


def test_a_thing_that_stands_tells_what_it_leans_on(shelf):
    """Asked why with nothing out, a service tells its leans."""
    _, ask = shelf
    said = plain(notes(ask.get("/?why=pages")))
    assert "What pages leans on" in said
    assert "pages is served by" in said


def test_time_is_told_by_stops_that_are_links(island):
    """Every stop of the loss is a link to that moment, and the page there says what is down then."""
    good, ask = island
    loss = lose(good.standing, ["c1"])
    text = ask.get("/?out=c1").text
    ticks = re.findall(r'<li class="tick[^"]*"><a href="([^"]+)" data-at="(\d+)"', text)
    moments = [dict(parse_qsl(urlsplit(each.replace("&amp;", "&")).query)).get("at") for each, _ in ticks]
    assert [float(each) for each in moments[:-1]] == [each.at_s for each in stops(loss)]
    assert moments[-1] is None
    for at in (0, 600, 1020, 1030, 86_400):
        there = ask.get(f"/?out=c1&at={at}").text
        then = moment(loss, at)
        down = {name for name in good.standing.support.services if name in then.down}
        drawn = dict(
            re.findall(
                r'<g class="thing"[^>]* data-id="([^"]+)" data-word="(?:service|alarm)" data-state="(\w+)"',
                there,
            )
        )
        assert {name for name, state in drawn.items() if state in ("falls", "blinks", "lost")} == down


@pytest.mark.slow
def test_may_it_be_taken_down_is_the_answer_of_the_command(island):
    """The page says the very sentence and the very first steps, also with something out already."""
    good, ask = island
    for out, part in ((["gate-1"], "gate-1"), (["gate-1"], "gate-2")):
        before = [] if part in out else out
        wanted = out if part in out else [part]
        standing = Standing(good.lab, out=[*good.standing.out, *before])
        loss = lose(standing, wanted)
        down = taking_down(standing, loss, margins_left(standing, loss.lost))
        said = plain(notes(ask.get("/", params={"out": out, "may": part})))
        assert down.says[1:] in said
        assert all(each in said for each in down.first)


def test_the_field_asks_about_a_part_without_pulling_it(shelf):
    """Without a script the second button leads to the answer; the part that was named is not out."""
    _, ask = shelf
    answer = ask.get("/?out=desk-1&out=hub&ask=may", follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/?out=desk-1&look=hub&may=hub"


def test_an_unknown_part_is_told_and_the_rest_stays_out(shelf):
    """A misspelt name is a 404 that names the nearest, and what was out before is still out."""
    _, ask = shelf
    answer = ask.get("/?out=desk-1&out=hubb")
    assert answer.status_code == 404
    said = plain(notes(answer))
    assert "Did you mean 'hub'?" in said
    assert "Plug desk-1 back in" in answer.text


def test_a_fragment_is_the_sheet_alone_and_the_same(shelf):
    """What the script swaps in is what a full page has in its main element."""
    _, ask = shelf
    whole = ask.get("/?out=hub").text
    part = ask.get("/?out=hub", headers=FRAGMENT).text
    assert "<html" not in part
    inner = re.search(r"<main.*?</main>", whole, re.DOTALL)
    assert inner
    assert inner[0] == re.search(r"<main.*?</main>", part, re.DOTALL)[0]


def test_every_touch_of_the_drawing_leads_to_a_page(shelf):
    """Each address in the drawing answers, pulls what it names, and a second touch gives the first page again."""
    good, ask = shelf
    drawn = re.findall(r'<a class="touch" href="([^"]+)"', ask.get("/").text)
    assert len(drawn) > 5
    for address in dict.fromkeys(each.replace("&amp;", "&") for each in drawn):
        answer = ask.get(address)
        assert answer.status_code == 200
        out = [said for key, said in parse_qsl(urlsplit(address).query) if key == "out"]
        assert all(f"Plug {name} back in" in answer.text for name in out)
        if out:
            again = re.findall(r'<a class="touch" href="([^"]+)"[^>]*aria-pressed="true"', answer.text)
            assert any("out=" not in each for each in again)
    assert good.standing.out == frozenset()


def test_names_are_offered_by_their_letters(island):
    """The field that names a part is offered those with these letters, beginnings first, and says how many more."""
    good, ask = island
    offered = ask.get("/parts?like=DESK-1").json()
    assert offered["parts"][0] == {"name": "desk-1", "is": "node"}
    assert all("desk-1" in each["name"].lower() for each in offered["parts"])
    everything = ask.get("/parts").json()
    assert len(everything["parts"]) + everything["more"] == len(good.standing.parts)


def test_what_leans_on_what_is_told_to_the_script(shelf):
    """Every group of the drawing has a number, whatever is pulled, and leans one way are leans back the other."""
    _, ask = shelf
    found = ask.get("/leaning").json()
    drawn = set(re.findall(r'<g class="thing"[^>]* data-id="([^"]+)"', ask.get("/?out=hub").text))
    assert drawn <= set(found["ids"])
    at = {name: number for number, name in enumerate(found["ids"])}
    assert at["socket"] in found["on"][at["strip"]]
    for number, those in enumerate(found["on"]):
        assert all(number in found["by"][other] for other in those)


def test_the_worst_parts_alone_are_those_of_the_page(shelf):
    """A large lab asks for them once it is shown; the words are the same."""
    _, ask = shelf
    alone = re.search(r'<div id="worst">.*?</div>', ask.get("/worst").text, re.DOTALL)
    assert alone
    assert plain(alone[0]) in plain(notes(ask.get("/")))


@pytest.mark.parametrize("query", ["", "?out=strip%3Cscript%3E", "?why=%3Cb%3Ex", "?may=%22onx%3D1&look=%27"])
def test_hostile_text_stays_text(tmp_path, query):
    """Names of the lab and of the address are escaped in the page, the drawing and every attribute."""
    path = tmp_path / "lab.yaml"
    path.write_text(HOSTILE, encoding="utf-8")
    page = page_for(path)
    ask = client(page)
    part = page.keeper.good.standing.parts[0]
    for more in ("", part):
        answer = ask.get(f"/{query}", params={"out": more} if more and not query else None, headers=FRAGMENT)
        main = re.search(r"<main[^>]*>(.*)</main>", answer.text, re.DOTALL)
        assert main
        hold_to_the_page(main[1])


@given(
    out=st.lists(st.sampled_from(["desk-1", "hub", "strip", "x y&z", "ü"]), unique=True, max_size=3).map(
        tuple
    ),
    at=st.none() | st.floats(0, 1e6).map(lambda at: float(f"{at:g}")),
    why=st.text(max_size=5),
    may=st.text(max_size=5),
)
@settings(max_examples=60)
def test_a_state_is_its_address(out, at, why, may):
    """Whatever is pulled, looked at and asked about is read back from the address as it was."""
    state = Pulled(out=out, at_s=at, why=why, may=may)
    query = urlsplit(state.address()).query
    assert Pulled.read(QueryParams(query)) == state


def test_the_slider_stands_at_the_last_stop_that_is_not_after_the_moment():
    """A moment between two stops is shown at the earlier."""
    marks = [
        panel.Notch(at_s=each, label="", says="", address="", always=True, left=0.0)
        for each in (0, 10, 60, None)
    ]
    assert [panel.at_of(marks, at) for at in (0, 9, 10, 59, 1e9, None)] == [0, 0, 1, 1, 2, 3]


def test_warming_leaves_the_answers_as_they_are(shelf):
    """What is asked beforehand is what is asked later."""
    good, ask = shelf
    before, said = standing_sheet.worst_of(good), notes(ask.get("/"))
    standing_sheet.warm(good)
    assert standing_sheet.worst_of(good) == before
    assert notes(ask.get("/")) == said


@given(text=texts(), data=st.data())
@settings(max_examples=25, suppress_health_check=list(HealthCheck))
def test_any_lab_in_any_state_is_answered_and_well_formed(tmp_path_factory, text, data):
    """Whatever is pulled, whenever it is looked at and whatever is asked, the sheet is whole and tells the verdicts."""
    path = tmp_path_factory.mktemp("lab") / "lab.yaml"
    path.write_text(text, encoding="utf-8")
    page = page_for(path)
    good = page.keeper.good
    things = list(good.standing.support.things)
    pick = st.sampled_from(things)
    out = data.draw(st.lists(st.sampled_from(good.standing.parts), unique=True, max_size=3))
    asked = {"out": out, "why": data.draw(pick), "may": data.draw(pick), "look": data.draw(pick)}
    at = data.draw(st.sampled_from([None, 0, 10, 45, 3600]))
    answer = client(page).get("/", params=asked | ({"at": at} if at is not None else {}), headers=FRAGMENT)
    assert answer.status_code == 200
    main = re.search(r"<main[^>]*>(.*)</main>", answer.text, re.DOTALL)
    assert main
    hold_to_the_page(main[1])
    if out:
        loss = lose(good.standing, out)
        hurt = {each.service for each in loss.effects if each.verdict >= Verdict.BLINKS}
        assert {name for _, name in signed(notes(answer))} == hurt


def test_what_is_down_already_is_told_so_and_not_counted_again(tmp_path):
    """With a node out beforehand its service is down already, in the drawing, the notes and the count, at any moment."""
    path = tmp_path / "lab.yaml"
    path.write_text(
        "falsework: 1\nlab: Two\nmachines: {a..c: node}\nservices:\n  mail: a\n  web: {on: b, needs: [{of: mail, for: 5 min}]}\n"
        "  names: c\n",
        encoding="utf-8",
    )
    ask = client(page_for(path, ("a",)))
    for moment_asked in ("", "&at=0"):
        text = ask.get(f"/?out=c{moment_asked}").text
        drawn = dict(re.findall(r'data-id="(mail|web|names)" data-word="service" data-state="(\w+)"', text))
        assert drawn == {"mail": "falls", "web": "falls", "names": "falls"}
        assert {name for _, name in signed(notes(ask.get(f"/?out=c{moment_asked}")))} == {
            "mail",
            "web",
            "names",
        }
        assert plain(notes(ask.get(f"/?out=c{moment_asked}"))).count("down already") == 2
    assert "1 falls · 2 down already" in plain(ask.get("/?out=c").text)


def test_a_store_is_its_drives(island):
    """A store that is pulled is pressed with all its drives; a drive put back leaves the others out; all drives are the store."""
    good, ask = island

    def touched(query):
        found = re.findall(
            r'data-id="(loft|attic[^"]*)"[^>]*>(?:<title>[^<]*</title>)?<a class="touch" href="([^"]+)"[^>]*aria-pressed="(\w+)"',
            ask.get(query).text,
        )
        return {name: (address.replace("&amp;", "&"), pressed) for name, address, pressed in found}

    drives = good.standing.known(["loft"])
    pulled = touched("/?out=loft")
    assert pulled["loft"][1] == "true"
    assert "out=" not in pulled["loft"][0]
    assert all(pulled[each][1] == "true" for each in drives if each in pulled)
    some = touched(f"/?out={drives[0]}")
    assert some["loft"][1] == "mixed"
    every = touched("/?" + "&".join(f"out={each}" for each in drives))
    assert every["loft"][1] == "true"
    assert "out=" not in every["loft"][0]
