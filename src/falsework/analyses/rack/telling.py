"""How is a rack told in words?"""

from __future__ import annotations

from collections.abc import Sequence

from falsework.analyses.rack.result import Lift, Mounted, Racks, RackSheet, Way
from falsework.analyses.rack.whole import HANDS_CM, SPARE_DEG, TROLLEY_CM
from falsework.engines.mechanics import AT_RISK, MOST_AT_RISK, TILT_DEG
from falsework.errors import counted, few, listed

HEAD = ("unit", "what", "weighs", "deep", "busy", "noise")
ASSUMING = f"held {HANDS_CM:.0f} cm before the ankles, from a trolley {TROLLEY_CM:.0f} cm high; above 175 cm nothing is allowed"
SINKS_M = 0.1
"""Assumed: what is worth the work of mounting things anew."""
LIFT_HEAD = ("lift", "weighs", "up to", "one may lift", "index alone", "of two")


def headline(found: Racks) -> str:
    """The short answer, without its full stop."""
    if not found.racks:
        return "no rack"
    bad = [each for each in found.racks if each.bad]
    if not bad:
        return f"{listed(each.rack for each in found.racks)} {'bears its load and stands' if len(found.racks) == 1 else 'bear their load and stand'} in both tests"
    return "; ".join(f"{each.rack}: {', '.join(faults(each))}" for each in bad)


def faults(sheet: RackSheet) -> tuple[str, ...]:
    """What is wrong with a rack, each in a few words; empty where nothing is."""
    found = []
    if sheet.too_heavy:
        found.append(f"{_kg(sheet.load_kg)} in it, and it bears {_kg(sheet.bears_kg or 0.0)}")
    if sheet.rolling is not None and sheet.rolling.too_much:
        found.append(
            f"a caster may have to carry {_kg(sheet.rolling.each_kg)}, and bears {_kg(sheet.rolling.bears_kg or 0.0)}"
        )
    if sheet.tip_deg < TILT_DEG:
        found.append(
            f"tips at {sheet.tip_deg:.1f}°, before the {TILT_DEG:.0f}° of the test"
            if sheet.tip_deg > 0
            else "tips over by itself: its centre of gravity lies beyond its base"
        )
    if not sheet.pushed.passes:
        found.append(f"falls over when pushed with {sheet.pushed.force_n:.0f} N")
    if sheet.leaning.way is not None and sheet.leaning.tips:
        found.append(f"tips on {way_says(sheet.leaning.way)}")
    if sheet.left_over:
        found.append(f"no room for {few(sheet.left_over)}")
    return tuple(found)


def name_says(sheet: RackSheet) -> str:
    """A rack and where it stands."""
    return f"{sheet.rack} in {sheet.room}" if sheet.room else sheet.rack


def sheet_says(sheet: RackSheet) -> tuple[str, ...]:
    """What is told of a rack in any case, then what is worth it, sentences without their full stops."""
    said = (
        weight_says(sheet),
        stands_says(sheet),
        sinks_says(sheet),
        pulled_says(sheet),
        moving_says(sheet),
    )
    return tuple(each for each in said if each)


def weight_says(sheet: RackSheet) -> str:
    """What it weighs, bears, and how its casters are loaded."""
    says = f"{sheet.rack} weighs {_kg(sheet.whole.mass_kg)} in all, {_kg(sheet.load_kg)} of it in the rack"
    if sheet.bears_kg is not None:
        says += f", which bears {_kg(sheet.bears_kg)}"
    if sheet.rolling is not None:
        says += f"; each of {sheet.rolling.casters} casters must be able to carry {_kg(sheet.rolling.each_kg)} (three may carry all)"
        if sheet.rolling.bears_kg is not None:
            says += f", and bears {_kg(sheet.rolling.bears_kg)}"
    return says


def stands_says(sheet: RackSheet) -> str:
    """Where its centre of gravity is, when it tips, and the push."""
    holds = "holds" if sheet.pushed.passes else "does not hold"
    return (
        f"Its centre of gravity lies {sheet.whole.height_m * 100:.0f} cm above the floor; it tips at {sheet.sideways_deg:.1f}° "
        f"sideways and {sheet.forwards_deg:.1f}° over its front or back (the test asks {TILT_DEG:.0f}°), and {holds} against a push of "
        f"{sheet.pushed.force_n:.0f} N: {sheet.pushed.tips_nm:.0f} N m against {sheet.pushed.holds_nm:.0f} N m"
    )


def sinks_says(sheet: RackSheet) -> str:
    """How much lower its weight could lie; empty where that is little."""
    if sheet.sinks.by_m < SINKS_M:
        return ""
    return (
        f"With the heaviest lowest and no gaps its centre of gravity would lie {sheet.sinks.by_m * 100:.0f} cm lower; "
        f"{few(sheet.sinks.things, 3)} would come down"
    )


def pulled_says(sheet: RackSheet) -> str:
    """The worst machine to pull out; empty where there is none."""
    if not sheet.pulled:
        return ""
    worst = sheet.pulled[0]
    if worst.tips:
        those = [each.thing for each in sheet.pulled if each.tips]
        return f"With {any_one(those)} pulled out on its rails it tips over by itself"
    weak = [each.thing for each in sheet.pulled if not each.pressed.passes]
    if weak:
        return f"With {any_one(weak)} pulled out, {sheet.pulled[0].pressed.force_n:.0f} N pressed down on the end tip it over"
    return f"With {worst.thing} pulled out on its rails, the worst, it tips at {worst.tip_deg:.1f}°; pull out one at a time"


def any_one(names: Sequence[str]) -> str:
    """A name, or any one of several."""
    return few(names) if len(names) == 1 else f"any one of {few(names)}"


def moving_says(sheet: RackSheet) -> str:
    """What to do before it is moved."""
    if sheet.leaning.way is not None:
        return _on_the_way(sheet, sheet.leaning.way)
    if not sheet.taken_out:
        return f"To move it nothing has to be taken out: it tips at no less than {sheet.tip_deg:.1f}°"
    return (
        f"Before it is moved take out {_in_order(sheet)}: then it tips at {sheet.taken_out[-1].tip_deg:.1f}° "
        f"and not at {sheet.tip_deg:.1f}°"
    )


def _on_the_way(sheet: RackSheet, way: Way) -> str:
    lean = sheet.leaning
    says = f"On {way_says(way)} it leans {lean.forwards_deg:.1f}° rolled along its depth, {lean.sideways_deg:.1f}° rolled sideways, and "
    says += f"has {lean.spare_deg:.1f}° to spare" if not lean.tips else "tips"
    if sheet.taken_out:
        after = sheet.taken_out[-1].spare_deg
        return (
            f"{says}; take out {_in_order(sheet)}, and it has {after:.1f}° to spare"
            if after > 0
            else f"{says}, whatever is taken out"
        )
    return (
        f"{says}; nothing has to be taken out"
        if lean.spare_deg >= SPARE_DEG
        else f"{says}; taking machines out does not help"
    )


def way_says(way: Way) -> str:
    """A way in words."""
    ramp, sill = f"a ramp of {way.ramp_deg:g}°", f"a sill of {way.sill_m * 1000:g} mm"
    if way.ramp_deg and way.sill_m:
        return f"{ramp} with {sill}"
    return sill if way.sill_m else ramp


def _in_order(sheet: RackSheet) -> str:
    names = [each.thing for each in sheet.taken_out]
    return f"{listed(names)}, in this order" if len(names) > 1 else names[0]


def free_says(sheet: RackSheet) -> str:
    """Which units are free, and what was given a place."""
    stretches = [
        f"{first:g}" if first == last else f"{first:g} to {last:g}" for first, last in reversed(sheet.free)
    ]
    total = sum(last - first + 1 for first, last in sheet.free)
    says = (
        f"{counted(int(total), 'unit is', 'units are')} free of {sheet.units:g}: {few(stretches)}"
        if stretches
        else f"all {sheet.units:g} units are taken"
    )
    proposed = [each.thing for each in sheet.mounted if each.proposed]
    if proposed:
        where = "as low as can be" if sheet.lowest else "the heaviest low; not every order was tried"
        says += (
            f"; {few(proposed)} had no place and {'was' if len(proposed) == 1 else 'were'} given one, {where}"
        )
    return says


def mounted_row(each: Mounted) -> tuple[str, str, str, str, str, str]:
    """A row for a table: unit, what, weight, depth, draw, noise."""
    units = f"{each.at:g}" if each.height <= 1 else f"{each.at:g}-{each.at + each.height - 1:g}"
    name = each.thing + (" (behind)" if each.back and not each.upright else "")
    name += " (upright)" if each.upright else " (proposed)" if each.proposed else ""
    return (
        "" if each.upright else units,
        name,
        _kg(each.mass_kg),
        f"{each.depth_m * 1000:.0f} mm",
        "" if each.busy_w is None else f"{each.busy_w:.0f} W",
        "" if each.noise_db is None else f"{each.noise_db:.0f} dB",
    )


def lift_row(each: Lift) -> tuple[str, str, str, str, str, str]:
    """A row for a table: who is lifted, weight, height of the hands, limit, index of one and of two."""
    return (
        each.thing,
        _kg(each.mass_kg),
        f"{each.hands_m * 100:.0f} cm",
        _kg(each.limit_kg) if each.limit_kg else "nothing",
        _index(each.alone),
        _index(each.together),
    )


def lifts_say(sheet: RackSheet) -> str:
    """Which machines should not be lifted by one, and which not even by two."""
    alone = [each.thing for each in sheet.lifts if each.alone > AT_RISK]
    two = [each.thing for each in sheet.lifts if each.together > AT_RISK]
    if not alone:
        return f"One may lift each of them into its place, by the published equation ({ASSUMING})"
    says = f"Two should lift {few(alone)} into place (lifting index of one above {AT_RISK:.0f}, {ASSUMING})"
    worst = [each.thing for each in sheet.lifts if each.together > MOST_AT_RISK]
    if worst:
        return f"{says}, and {few(worst)} only with a lift"
    return f"{says}; {few(two)} {'is' if len(two) == 1 else 'are'} heavy even for two" if two else says


def _kg(mass_kg: float) -> str:
    return f"{mass_kg:.1f} kg" if mass_kg < 10 and mass_kg != int(mass_kg) else f"{mass_kg:.0f} kg"


def _index(value: float) -> str:
    return "never" if value == float("inf") else f"{value:.1f}"
