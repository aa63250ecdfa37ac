"""Is what collectors get OpenMetrics text, whatever things are called, and does it say what the record says?

The parser follows the grammar of OpenMetrics 1.0 (section "ABNF") rule by rule, and the rules of its prose on names,
types, units and order.
"""

import math
import re

import pytest
from tests.analyses.history.seen import probe, seen
from tests.strategies import lab_of

from falsework.analyses.history import lefts, past, recovery
from falsework.faces.openmetrics import exposition
from falsework.record.live import Live, LiveProbe
from falsework.record.seen import Told
from falsework.support.standing import Standing

NAME = r"[A-Za-z_:][A-Za-z0-9_:]*"
LABEL = r"[A-Za-z_][A-Za-z0-9_]*"
# escaped-char = normal-char / BS ("n" / DQUOTE / BS) / BS normal-char; normal-char is no newline, quote or backslash
ESCAPED = r'(?:[^\n"\\]|\\.)*'
REAL = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|[0-9]*\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
NUMBER = rf"(?:{REAL}|[+-]?(?i:inf|infinity)|(?i:nan))"
PAIR = rf'({LABEL})="({ESCAPED})"'
SAMPLE = re.compile(rf"({NAME})(\{{(?:{PAIR}(?:,{PAIR})*)?\}})? ({NUMBER})(?: ({REAL}))?")
TYPES = ["counter", "gauge", "histogram", "gaugehistogram", "stateset", "info", "summary", "unknown"]
SUFFIXES = {"counter": ("_total", "_created"), "info": ("_info",), "gauge": ("",)}


def unescaped(text):
    """What was written, before it was escaped."""
    return re.sub(r"\\(.)", lambda found: {"n": "\n"}.get(found[1], found[1]), text, flags=re.DOTALL)


def parsed(text):
    """Families by name: type, unit, and samples by their labels; breaks on whatever the standard forbids."""
    assert text.endswith("# EOF\n")
    families, current, rest = {}, None, text.removesuffix("# EOF\n")
    assert not rest or rest.endswith("\n")
    for row in rest.split("\n")[:-1]:
        if row.startswith("# "):
            _, word, name, *more = row.split(" ", 3)
            assert re.fullmatch(NAME, name)
            if name != current:
                assert name not in families, "a family must not be told in pieces"
                families[name], current = {"samples": {}}, name
            family = families[name]
            assert not family["samples"], "what it is comes before its samples"
            assert word not in family, "once only"
            family[word] = more[0] if more else ""
            if word == "TYPE":
                assert more[0] in TYPES
            elif word == "UNIT":
                assert more[0]
                assert name.endswith(f"_{more[0]}")
            else:
                assert word == "HELP"
                assert re.fullmatch(ESCAPED, more[0], re.DOTALL)
            continue
        found = SAMPLE.fullmatch(row)
        assert found, row
        family = families[current]
        assert found[1] in [current + suffix for suffix in SUFFIXES[family["TYPE"]]]
        pairs = re.findall(PAIR, found[2] or "", re.DOTALL)
        assert len({name for name, _ in pairs}) == len(pairs)
        labels = tuple(sorted((name, unescaped(value)) for name, value in pairs))
        assert labels not in family["samples"]
        value = float(found[7])
        assert family["TYPE"] != "counter" or value >= 0
        assert family["TYPE"] != "info" or value == 1
        family["samples"][labels] = value
    return families


ODD = 'a"b\\c, d={}'
LAB = """
lab: 'rock "two"'
outside: {mains: the wall}
machines: {desk-1..2: {is: node, fed by: mains}, 'odd "one" \\': {is: node, fed by: mains}}
services:
  door: {on: [desk-1, desk-2], floats: 10.0.0.2 in 4 s, proved: 2026-05-02}
  mail: {on: [desk-1, desk-2], takes over: 40 s}
aims: {quick: {lose: node, of: door, blinks under: 20 s}}
"""


@pytest.fixture(scope="module")
def told():
    """The families of a lab with hostile names, two drills and a run that goes on."""
    standing = Standing(lab_of(LAB), out=['odd "one" \\'])
    runs = past(
        standing,
        [
            seen(probe("door", (10.0, 14.5)), probe("mail", (10.0, 301.0)), number=1, day=3, back_s=300.0),
            seen(
                probe("door", (10.0, 13.5)),
                probe("mail", (20.0, math.inf), name=f"{ODD}\nx\ud800"),
                number=2,
                lost=(),
                until_s=30.0,
            ),
        ],
    )
    live = Live(
        at_s=30.0,
        probes=tuple(
            LiveProbe(told=each, since_s=1.0, asked_s=1.0, usual_s=math.nan)
            for each in (Told.YES, Told.SILENT)
        ),
        until_s=30.0,
    )
    aims = {"quick": True, "slow\n": False, "odd": None}
    return parsed(exposition(standing, runs, recovery(standing, runs), lefts(standing), live, aims))


def value(told, name, **labels):
    """One sample."""
    return told[f"falsework_{name}"]["samples"][tuple(sorted(labels.items()))]


def test_it_is_openmetrics_with_names_of_ours(told):
    """Every family has a type and words, and a name that begins with ours."""
    assert all(name.startswith("falsework_") and {"TYPE", "HELP"} <= set(told[name]) for name in told)
    assert all("UNIT" in told[name] for name in told if name.endswith("_seconds"))


def test_hostile_names_come_through(told):
    """Quotes, backslashes and new lines are what they were; half a sign is replaced."""
    probe_ = f"{ODD}\nx?"
    assert value(told, "probe_answered", probe=probe_, sees="mail") == 0
    assert value(told, "part_out", part='odd "one" \\') == 1
    assert value(told, "lab", lab='rock "two"') == 1
    assert value(told, "aim_met", aim="slow\n") == 0


def test_no_name_steers_a_terminal():
    """With `--openmetrics -` it is printed: control signs and signs that turn text are spelt out, and stay apart."""
    standing = Standing(lab_of(LAB))
    aims = {"a\x1b[2J\u202e": True, "a\x9b\rb": False}
    text = exposition(standing, (), recovery(standing, ()), lefts(standing), None, aims)
    assert all(sign == "\n" or sign.isprintable() for sign in text)
    told = parsed(text)
    assert value(told, "aim_met", aim=r"a\x1b[2J\u202e") == 1
    assert value(told, "aim_met", aim=r"a\x9b\rb") == 0


def test_it_says_what_the_record_says(told):
    """Aims, margins, recovery, outages, and how far it goes."""
    assert value(told, "aim_met", aim="quick") == 1
    assert math.isnan(value(told, "aim_met", aim="odd"))
    assert value(told, "service_margin", service="door") == 2
    assert value(told, "recovery_aim_seconds", of="door", comes_back="interrupted") == 20
    assert value(told, "recovery_worst_seconds", of="door", comes_back="interrupted") == 4.5
    assert value(told, "recovery_worst_seconds", of="mail", comes_back="interrupted") == math.inf
    assert value(told, "recovery_proved_timestamp_seconds", of="door", comes_back="interrupted") == 1777766400
    assert ("of", "mail") not in dict.fromkeys(
        pair for labels in told["falsework_recovery_proved_timestamp_seconds"]["samples"] for pair in labels
    )
    assert value(told, "runs") == 2
    assert value(told, "drills", outcome="otherwise") == 1
    assert value(told, "probe_out_seconds", probe="door box", sees="door") == pytest.approx(8.0)
    assert value(told, "probe_answered", probe="door box", sees="door") == 1
    assert value(told, "stopwatch_running") == 1
    assert value(told, "run_known_timestamp_seconds", run="2") > 1.7e9


def test_only_what_never_falls_is_a_counter():
    """As a run goes on and the lab file changes: an outage ends before it was last known to last, a drill is judged anew."""
    before = (seen(probe("door", (10.0, math.inf)), until_s=20.0),)
    after = (seen(probe("door", (10.0, 19.5)), until_s=20.0), seen(number=2, lost=()))
    texts = [
        parsed(exposition(standing, runs, recovery(standing, runs), lefts(standing), None))
        for source, observed in ((LAB, before), (LAB.replace("in 4 s", "in 9 s"), after))
        for standing in (Standing(lab_of(source)),)
        for runs in (past(standing, observed),)
    ]
    fallen = {
        name
        for name, family in texts[0].items()
        for labels, count in family["samples"].items()
        if texts[1][name]["samples"].get(labels, -math.inf) < count
    }
    assert {"falsework_drills", "falsework_probe_out_seconds"} <= fallen
    assert [name for name, family in texts[1].items() if family["TYPE"] == "counter"] == ["falsework_runs"]
    assert "falsework_runs" not in fallen


def test_without_a_record_it_is_still_whole():
    """No runs, no aims judged, nothing out: the margins are told all the same."""
    standing = Standing(lab_of(LAB))
    told = parsed(exposition(standing, (), recovery(standing, ()), lefts(standing), None))
    assert value(told, "runs") == 0
    assert value(told, "stopwatch_running") == 0
    assert "falsework_aim_met" not in told
    assert "falsework_probe_answered" not in told


@pytest.mark.parametrize(
    "text",
    ["# EOF", "falsework_x 1\n", "# TYPE a gauge\na{b=\"c} 1\n# EOF\n", "# TYPE a counter\na 1\n# EOF\n",
     "# TYPE a gauge\n# UNIT a seconds\n# EOF\n", "# TYPE a gauge\na 1\na 1\n# EOF\n"],
)  # fmt: skip
def test_the_parser_refuses_what_the_standard_forbids(text):
    """So that it can find a mistake: no end, an open quote, no _total, a unit that is not in the name, twice the same."""
    with pytest.raises((AssertionError, KeyError)):
        parsed(text)
