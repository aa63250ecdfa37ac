"""What falls, comes back and falls again for good is told with both moments."""

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.player import NEVER, played
from tests.strategies import lab_of

from falsework.analyses.aims.result import effect_words
from falsework.analyses.moment import Now, spans, stops
from falsework.analyses.odds.odds import odds
from falsework.analyses.taking_down import May, taking_down
from falsework.analyses.verdicts import Down, Verdict, lose, losses
from falsework.analyses.years import years
from falsework.study import study_lab
from falsework.support.standing import Standing

LAB = """\
falsework: 1
lab: One on the wall, one on the battery
power:
  circuit: {{is: circuit, volts: 230 V, breaker: 16 A}}
  battery: {{is: ups, fed by: circuit, runs: {{300 W: 30 min}}}}
machines:
  a: {{is: node, fed by: circuit, draws: 300 W}}
  b: {{is: node, fed by: battery, draws: 300 W}}
  c: node
services:
  mail: {{on: [a, b], takes over: {over}}}
  web: {{on: c, needs: [mail for 1 min]}}
"""


def test_who_takes_over_on_a_battery_falls_when_it_is_empty():
    """Hand-worked: out for 20 s at once, and for good after the battery's 30 min; the client holds a minute more."""
    loss = lose(Standing(lab_of(LAB.format(over="20 s"))), ["circuit"])
    mail, web = loss.of("mail"), loss.of("web")
    assert (mail.verdict, mail.falls_s, mail.first_s) == (Verdict.FALLS, 1800, 0)
    assert mail.before == Down(falls_s=0, back_s=20)
    assert effect_words(mail) == "falls after 30 min, and blinks before, for 20 s"
    assert (web.verdict, web.falls_s, web.before) == (Verdict.FALLS, 1860, None)
    span = spans(loss)["mail"]
    assert [span.at(at) for at in (0, 20, 1799, 1800)] == [Now.DOWN, Now.WAITS, Now.WAITS, Now.DOWN]
    assert [span.next_s(at) for at in (0, 20, 1800)] == [20, 1800, NEVER]
    told = {stop.at_s: ("mail" in stop.fallen, "mail" in stop.returned) for stop in stops(loss, always=())}
    assert told == {0: (True, False), 20: (False, True), 1800: (True, False), 1860: (False, False)}


def test_who_would_take_over_only_when_the_battery_is_empty_falls_at_once():
    """Hand-worked: nobody serves in between, so nothing is back."""
    mail = lose(Standing(lab_of(LAB.format(over="40 min"))), ["circuit"]).of("mail")
    assert (mail.verdict, mail.falls_s, mail.before) == (Verdict.FALLS, 0, None)


def test_what_falls_later_may_be_taken_down_for_a_while():
    """Half an hour is enough to work in, and the way there is said."""
    standing = Standing(lab_of(LAB.format(over="20 s")))
    found = taking_down(standing, lose(standing, ["circuit"]), ())
    assert (found.may, found.within_s) == (May.BUT, 1800)


def test_an_aim_about_the_first_minutes_sees_the_blink_before_the_fall():
    """What falls after half an hour has only blinked within ten minutes; that is more than an aim may allow."""
    text = LAB.format(over="20 s") + (
        "aims:\n"
        "  stands: {lose: circuit, of: mail, at most: thin, within: 10 min}\n"
        "  blinks: {lose: circuit, of: mail, at most: blinks, within: 10 min}\n"
        "  short: {lose: circuit, of: mail, at most: blinks, within: 10 min, blinks under: 10 s}\n"
        "  long: {lose: circuit, of: mail, at most: blinks, within: 1 h}\n"
    )
    aims = {aim.name: aim.met for aim in study_lab(lab_of(text)).aims}
    assert aims == {"stands": False, "blinks": True, "short": False, "long": False}


@st.composite
def fed(draw):
    """Services over services on machines of which some are on the wall, some on a battery, some on neither."""
    seconds = st.integers(1, 40)
    machines, services = [], []
    for number in range(draw(st.integers(1, 4))):
        hosts = [f"n{len(machines) + at + 1}" for at in range(2)]
        for host in hosts:
            feed = draw(st.sampled_from(["", ", fed by: circuit", ", fed by: battery"]))
            machines.append(f"  {host}: {{is: node{feed}, draws: 10 W}}\n")
        below = (
            draw(st.lists(st.sampled_from([f"s{at}" for at in range(number)]), max_size=2, unique=True))
            if number
            else []
        )
        needs = [f"{each}{f' for {draw(seconds)} s' if draw(st.booleans()) else ''}" for each in below]
        moves = f"takes over: {draw(seconds)} s, " if draw(st.booleans()) else ""
        services.append(
            f"  s{number}: {{on: [{', '.join(hosts)}], {moves}needs: [{', '.join(needs)}], "
            f"restarts in: {draw(st.integers(0, 30))} s}}\n"
        )
    return (
        "falsework: 1\nlab: Fed\npower:\n  circuit: {is: circuit, volts: 230 V, breaker: 16 A}\n"
        "  battery: {is: ups, fed by: circuit, runs: {500 W: 30 min}}\n"
        f"machines:\n{''.join(machines)}services:\n{''.join(services)}"
    )


@given(fed())
@settings(max_examples=40)
def test_the_last_fall_is_the_play_s(text):
    """Played out event by event, what stays down does so from the moment that is told, and first falls when told."""
    standing = Standing(lab_of(text))
    for loss in losses(standing, [["circuit"], *([part] for part in standing.parts)]):
        seen = played(standing.support, loss.lost)
        for effect in loss.effects:
            if effect.verdict >= Verdict.FALLS:
                assert effect.first_s == seen[effect.service][0][0], (loss.lost, effect)
                assert effect.falls_s == seen[effect.service][-1][0], (loss.lost, effect)


def test_drawn_years_and_exact_odds_count_the_same_time_out():
    """A power cut that the battery outlasts costs a take-over, not the cut, in drawn years as in diagrams."""
    text = (
        LAB.replace("30 min", "6 h")
        .replace("lab: One", "outside: {{mains: the wall}}\nlab: One")
        .replace("is: circuit,", "is: circuit, fed by: mains,")
    )
    calm = "takes over: 20 s, stumbles: 0.0001 %, breaks unseen: 0.000001 /year"
    standing = Standing(lab_of(text.replace("takes over: {over}", calm).format()))
    exact, drawn = odds(standing), years(standing, count=8_000, seed=1)
    for each in exact.services:
        found = drawn.service(each.service)
        assert abs(found.mean_min - each.minutes.best) < 5 * found.error_min, each.service
    mail = next(each for each in exact.services if each.service == "mail")
    assert mail.minutes.best < 60
