import json

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, typed
from tests.faces.test_plain import valid

pytestmark = pytest.mark.slow

LAB = """
falsework: 1
lab: Two batteries
outside: {mains: the wall}
power:
  c1..2: {is: circuit, fed by: mains}
  left:  {is: ups, fed by: c1, runs: {100 W: 20 min, 200 W: 8 min}, signals at: 4 min, tells: [h1, nas], over: sw}
  right: {is: ups, fed by: c2, runs: {20 W: 30 min}}
machines:
  h1:  {is: node, fed by: left, draws: 100 W, stops in: 1 min, power back: on}
  nas: {is: node, fed by: left, draws: 100 W, stops in: 2 min, power back: as it was}
  pi:  {is: node, fed by: left, draws: 0 W}
  sw:  {is: switch, fed by: right, draws: 20 W}
wire: {cables: [h1 -- sw, nas -- sw]}
services: {mail: {on: h1, stops in: 2 min, needs: [keep]}, keep: {on: nas, stops in: 30 s}}
"""


@pytest.fixture
def lab(tmp_path):
    """The lab as a file."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB, encoding="utf-8")
    return path


def test_the_short_answer_first_then_what_is_behind_it(lab):
    """Too short at constant load, long enough as it falls; the longest way, the message, what is left on."""
    said = typed("shutdown", str(lab))
    assert said.status == 1
    lines = said.out.splitlines()
    assert lines[0] == "left: 30 s too short; nas would be cut hard"
    assert " ".join(lines[1].split()) == "mend signal after 3 min at the latest"
    assert "200 W, taken as constant: empty after 8 min; as the load falls after" in said.out
    assert "nothing is cut hard then, if the figures are right" in said.out
    assert "mail.1, then keep.1, then nas" in said.out
    assert "message  from left to h1 and nas over sw (power for 30 min)" in said.out
    assert "nobody tells pi: cut off when the battery is empty" in said.out
    assert "right never signals; it is empty after 30 min." in said.out
    assert lines[-2:] == [
        "Times count from the cut of mains, all at once.",
        "Defer to local electrical codes, makers' instructions and licensed practice.",
    ]


def test_what_a_return_half_way_leaves_off(lab):
    """One machine until its battery is empty, with a mend; another whenever the power returns, with another mend."""
    out = typed("shutdown", str(lab)).out
    assert "leaves h1 off until a hand comes" in out
    assert "then cuts: 6 min" in out
    assert "nas stays off whenever the power returns: as it was, after an orderly stop, is off" in out
    rows = {line.split()[0]: line for line in out[out.index("machine") :].splitlines() if line.strip()}
    assert rows["nas"].split("  ")[-1] == "a hand: it is not set to come on"
    assert "  at any time  " in rows["nas"]
    assert rows["h1"].endswith("  a hand")
    assert "4 min to" in rows["h1"]


def test_the_mend_for_a_return_half_way_mends_it(tmp_path):
    """With the figure that it gives nothing is cut off and h1 comes back; a minute sooner would do too, half of it not."""
    path = tmp_path / "lab.yaml"
    whole = LAB.replace("200 W: 8 min", "200 W: 15 min")
    for then, cut, off in (("6 min", [], []), ("5 min", [], []), ("3 min", ["nas"], [])):
        path.write_text(whole.replace("over: sw", f"over: sw, then cuts: {then}"), encoding="utf-8")
        (battery,) = json.loads(typed("shutdown", str(path), "--json").out)["batteries"]
        assert [name for name in battery["cut_off"] if name == "nas"] == cut
        assert battery["returns"]["off"] == off


def test_a_moment_is_told_once():
    """What stops at one moment is on one line, in the order of the moments."""
    out = typed("shutdown", MENDED).out
    table = out[out.index("after  what") : out.index("machine")].splitlines()[1:]
    moments = [line.split("  ")[0].strip() or line.strip().split("  ")[0] for line in table if line.strip()]
    assert len(moments) == len(set(moments))


def test_one_source_may_be_cut_alone(lab):
    """The switch goes on with the wall, the battery of the machines runs; cutting the other way round tells nobody."""
    alone = typed("shutdown", str(lab), "--cut", "c1")
    assert "over sw (power for ever)" in alone.out
    assert "Times count from the cut of c1, all at once." in alone.out
    assert typed("shutdown", str(lab), "--cut", "c2").out.startswith(
        "Two batteries: no battery that signals carries"
    )
    assert typed("shutdown", str(lab), "--cut", "c1", "--cut", "c2").status == 1


@pytest.mark.parametrize(
    ("old", "new", "words", "says"),
    [
        ("", "", ["--cut", "mans"], "'mans' is no source that power comes from. Did you mean 'mains'?"),
        ("over: sw", "heard by: h9", [], "h9"),
        ("over: sw", "then cuts: ten", [], "then cuts"),
        ("signals at: 4 min, tells: [h1, nas], over: sw", "then cuts: 4 min", [], "never signals"),
        ("over: sw", "then cut: 4 min", [], "then cuts"),
    ],
)
def test_wrong_input(lab, old, new, words, says):
    """A source that is none, a machine that is none, no time, a key without effect, a slip of the pen: status 2."""
    lab.write_text(LAB.replace(old, new) if old else LAB, encoding="utf-8")
    said = typed("shutdown", str(lab), *words)
    assert said.status == 2
    assert says in said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize("words", [(), ("--cut", "c1"), ("--cut", "c2"), ("--out", "A")])
@pytest.mark.parametrize("name", [DRAFT, MENDED])
def test_every_answer_fits_its_schema(name, words):
    """Whatever is cut or out."""
    said = typed("shutdown", name, *words, "--json")
    answer = valid(json.loads(said.out))
    assert answer["status"] == said.status


def test_the_answer_of_the_lab_fits_its_schema(lab):
    """With everything that may be null, and everything that may be empty."""
    answer = valid(json.loads(typed("shutdown", str(lab), "--json").out))
    (battery,) = answer["batteries"]
    assert battery["returns"]["set_off"] == ["nas"]
    assert answer["silent"] == [{"ups": "right", "empty_s": 1800.0}]
    assert battery["path"] == ["mail.1", "keep.1", "nas"]
