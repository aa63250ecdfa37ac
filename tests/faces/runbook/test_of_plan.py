import datetime
from dataclasses import replace

from tests.faces.handmade_raising import fragile, plan, schedule, shed, steps
from tests.faces.runbook.papers import pages
from tests.faces.runbook.test_markdown import shown

from falsework.analyses.raising.result import Fragile
from falsework.faces.report.raising import raising_print
from falsework.faces.runbook.appendix import appendix
from falsework.faces.runbook.cautions import cautions
from falsework.faces.runbook.document import Box, Picture, Runbook
from falsework.faces.runbook.markdown import markdown
from falsework.faces.runbook.of_plan import of_plan
from falsework.faces.runbook.pdf import pdf
from falsework.lab.read import read_text
from falsework.model.build import build

DAY = datetime.date(2026, 12, 4)


def made(**more) -> Runbook:
    """The runbook of the plan made by hand."""
    return of_plan(shed().lab, more.pop("plan", plan()), more.pop("fragile", fragile()), date=DAY, **more)


def boxes(of: Runbook) -> tuple[Box, ...]:
    """All of its boxes."""
    return tuple(box for chapter in of.chapters for box in chapter.boxes)


def test_a_box_for_every_step_in_their_order():
    """No step is left out or moved, and each keeps its words, its command and its check."""
    found = boxes(made())
    assert [box.number for box in found] == [str(step.number) for step in steps()]
    for box, step in zip(found, steps(), strict=True):
        assert box.says.lower() == step.says.lower()
        assert (box.command, box.check, box.back, box.no_return) == (
            *(step.command, step.check, step.back, step.no_return),
        )
        assert box.cautions == step.cautions


def test_what_a_cut_over_tells():
    """State, its way and its size, what is out meanwhile, who owned and who owns it, and the point of no return."""
    found = {box.number: box for box in boxes(made())}
    assert found["5"].outage == ("names, for about 5 min",)
    assert found["6"].moves == (
        "zones: 1 GiB from laptop to names, 9 s at 1 Gb/s (laptop's wire), nobody writes meanwhile; "
        "size or speed is assumed",
    )
    assert found["7"].owners == ("zones: names, no longer laptop", "as before: installer with laptop")
    assert found["7"].no_return
    assert {box.group for box in found.values()} == {"", "Cut-over from laptop", "Building on"}


def test_what_is_fragile_comes_from_the_step_itself():
    """A box names the single points of its own moment; its edge is hatched where the end has fewer."""
    found = {box.number: box for box in boxes(made())}
    assert found["2"].fragile == ()
    assert found["3"].fragile == ("laptop alone stops names, installer", "sw-1 alone stops names, installer")
    assert found["3"].shaky
    assert not found["10"].shaky
    assert found["10"].fragile == ("desk-1 alone stops installer", "no more than in the end")


def test_what_does_not_stand_is_said():
    """A thing that a step leans on and that the exact graph says is down is told in its box."""
    wrong = [replace(each, missing=("names",)) if each.step == 4 else each for each in fragile()]
    found = {box.number: box for box in boxes(made(fragile=tuple(wrong)))}
    assert found["4"].fragile[0] == "names does not stand, although it should"


def test_times_with_and_without_a_calendar():
    """With a calendar a box has its hours and its person; without one it has none, and the table says after what."""
    found = {box.number: box for box in boxes(made(schedule=schedule()))}
    assert found["4"].when == "Mon 7 Dec 2026 19:00 to 20:00"
    assert found["4"].hands == "20 min of work, me"
    assert found["6"].hands == "goes on by itself"
    assert {box.when for box in boxes(made())} == {""}
    assert "what is delivered on Mon 7 Dec 2026; do not begin before" in found["4"].needs
    assert found["1"].between == "30 min to 4 h (assumed)"


def test_the_paper_is_enough_when_nothing_answers():
    """Addresses, ports, outlets, weights, keys' places and people stand in the PDF and in the Markdown alike."""
    of = made(schedule=schedule())
    for text in (" ".join(pages(pdf(of))), shown(markdown(of)).replace(" | ", " ")):
        for said in (
            *("10.1.0.5; 10.1.0.6", "10.1.0.9 (floats)", "10.1.0.40", "10.1.0.0/24", "desk-1.a", "red"),
            *("16 A", "21 kg", "root key", "drawer", "Mon-Fri 19:00-22:00", "restored 2026-03-01"),
            *("licensed practice", "No way back after this:", "install --from laptop"),
        ):
            assert said in text, said


def test_a_bare_lab_has_no_empty_tables():
    """What a lab does not have is not listed, nor warned of."""
    lab = build(read_text("falsework: 1\nlab: bare\nmachines: {one: {is: node}}\n", "bare.yaml"))
    assert appendix(lab) == ()
    assert [each.title for each in cautions(lab)] == ["This paper knows the lab file, not the room"]


def test_nothing_fragile_is_known():
    """Without fragile moments the boxes say nothing of them."""
    assert all(box.fragile == () and not box.shaky for box in boxes(made(fragile=())))


def test_a_plan_without_steps():
    """What stands already needs no box, and the paper says so."""
    of = made(
        plan=replace(plan(), steps=(), stand_ins=(), already=("c1", "strip"), moments=plan().moments[:1]),
        fragile=(Fragile(step=0, serving=(), missing=(), singles=(), margin=0),),
    )
    assert boxes(of) == ()
    assert of.lead[0] == "Everything stands already: there is nothing to raise."
    assert pdf(of)


def test_the_curve_is_on_paper():
    """A picture is drawn in the PDF, its words readable; Markdown has its caption alone."""
    drawn = raising_print(plan(), fragile(), schedule())
    of = made(pictures=(Picture(svg=drawn, says="What hangs on one part."),))
    text = " ".join(pages(pdf(of)))
    assert "longest fragile stretch, 2 days 10 h" in text
    assert "What hangs on one part." in markdown(of)
    assert "<svg" not in markdown(of)
