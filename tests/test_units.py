import math
import re

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from falsework import units
from falsework.errors import QuestionError
from falsework.units import DAY_S, HOUR_S, MONTH_S, YEAR_S, Dimension, Quantity, UnitError
from falsework.units.scales import EXAMPLES, UNITS

BASES = {
    Dimension.DATA: "byte",
    Dimension.SPEED: "bit/s",
    Dimension.TIME: "s",
    Dimension.POWER: "W",
    Dimension.APPARENT: "V*A",
    Dimension.VOLTAGE: "V",
    Dimension.CURRENT: "A",
    Dimension.ENERGY: "W*hour",
    Dimension.CHARGE: "A*hour",
    Dimension.MASS: "kg",
    Dimension.LENGTH: "m",
    Dimension.RATE: "1/year",
    Dimension.SHARE: "dimensionless",
    Dimension.BIT_ERRORS: "1/bit",
    Dimension.GROWTH: "byte/s",
}
# Our spelling in the words of the judging library, where they differ.
JUDGED_AS = {"U": None, "VA": "V*A", "kVA": "kV*A", "BTU/h": "BTU_IT/hour", "t": "metric_ton"}
JUDGE = pint.UnitRegistry()
JUDGE.define("BTU_IT = 1055.05585262 J")


def judged(unit):
    """The judge's expression for one of our units."""
    if unit in JUDGED_AS:
        return JUDGED_AS[unit]
    text = unit.replace("per ", "/").replace("% ", "%")
    text = re.sub(r"(\w?i?)b/s", r"\1bit/s", text)
    text = re.sub(r"(\w*)bps", r"\1bit/s", text)
    text = re.sub(r"/h\b", "/hour", text)
    text = re.sub(r"/d\b", "/day", text).replace("%", "0.01")
    text = re.sub(r"/y\b", "/year", text)
    if text in ("h", "d", "y"):
        text = {"h": "hour", "d": "day", "y": "year"}[text]
    return f"1{text}" if text.startswith("/") else text


@pytest.mark.parametrize(
    "unit", [name for name, scale in UNITS.items() if scale.dimension in BASES], ids=lambda unit: f"[{unit}]"
)
def test_factors_agree_with_the_judge(unit):
    """Every factor of the table is what a general units library says it is."""
    scale = UNITS[unit]
    expected = JUDGE.parse_expression(judged(unit))
    quantity = expected if isinstance(expected, JUDGE.Quantity) else JUDGE.Quantity(expected)
    assert scale.factor == pytest.approx(quantity.to(BASES[scale.dimension]).magnitude, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("24 GiB", Dimension.DATA, 24 * 2**30),
        ("2TB", Dimension.DATA, 2e12),
        ("1 Gb/s", Dimension.SPEED, 1e9),
        ("160 MB/s", Dimension.SPEED, 1.28e9),
        ("18 min", Dimension.TIME, 1080),
        ("150 ms", Dimension.TIME, 0.15),
        ("1 week", Dimension.TIME, 7 * DAY_S),
        ("12 months", Dimension.TIME, YEAR_S),
        ("1 h 30 min", Dimension.TIME, 5400),
        ("1h30min", Dimension.TIME, 5400),
        ("2 years 3 months 4 s", Dimension.TIME, 2 * YEAR_S + 3 * MONTH_S + 4),
        ("4 %/year", Dimension.RATE, 0.04),
        ("4%/year", Dimension.RATE, 0.04),
        ("4 % / year", Dimension.RATE, 0.04),
        ("4 % per year", Dimension.RATE, 0.04),
        ("3 /year", Dimension.RATE, 3),
        ("3 per year", Dimension.RATE, 3),
        ("0.02 /h", Dimension.RATE, 0.02 * 8766),
        ("2e-6 /h", Dimension.RATE, 2e-6 * 8766),
        ("80 %", Dimension.SHARE, 0.8),
        ("1e-14 /bit", Dimension.BIT_ERRORS, 1e-14),
        ("1 GiB/day", Dimension.GROWTH, 2**30 / DAY_S),
        ("2 MB/s", Dimension.GROWTH, 2e6),
        ("700 mm", Dimension.LENGTH, 0.7),
        ("-3 dB", Dimension.LEVEL, -3),
        ("58 dB(A)", Dimension.LEVEL, 58),
        ("-5 °C", Dimension.TEMPERATURE, -5),
        ("2 U", Dimension.RACK, 2),
        ("1234.5", Dimension.NUMBER, 1234.5),
        (" 5\t W ", Dimension.POWER, 5),
    ],
)
def test_values_are_read_in_base_units(text, dimension, value):
    """Each way of writing a value gives the number of base units worked out by hand."""
    assert units.parse(text, dimension) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "low", "high"),
    [
        ("18..65 W", Dimension.POWER, 18, 65),
        ("18 .. 65W", Dimension.POWER, 18, 65),
        ("2..5 %/year", Dimension.RATE, 0.02, 0.05),
        ("1e-15..1e-14 /bit", Dimension.BIT_ERRORS, 1e-15, 1e-14),
        ("-5..5 °C", Dimension.TEMPERATURE, -5, 5),
        (".5..1.5 h", Dimension.TIME, 0.5 * HOUR_S, 1.5 * HOUR_S),
        ("3 h", Dimension.TIME, 3 * HOUR_S, 3 * HOUR_S),
    ],
)
def test_ranges_are_read_with_their_unit_once(text, dimension, low, high):
    """Two dots between two numbers are a range; a plain value is a range of one."""
    found = units.parse_range(text, dimension)
    assert (found.low, found.high) == pytest.approx((low, high))
    assert found.is_exact == (low == high)


def test_a_bare_number_takes_the_unit_of_its_key():
    """Where the key says the unit it may be left out, and only there."""
    assert units.parse_range("18..65", Dimension.POWER, bare="W") == Quantity(low=18, high=65)
    assert units.parse("2 kW", Dimension.POWER, bare="W") == 2000


@pytest.mark.parametrize(
    ("text", "dimension", "what", "mend"),
    [
        ("16", Dimension.DATA, "'16' has no unit", "Write for example 24 GiB."),
        ("0", Dimension.TIME, "'0' has no unit", "Write for example 18 min."),
        ("", Dimension.TIME, "nothing is written here", "Write for example 18 min."),
        ("lots", Dimension.DATA, "'lots' is not an amount of data", "Write for example 24 GiB."),
        (
            "16 A",
            Dimension.DATA,
            "'16 A' is a current, and an amount of data is wanted here",
            "Write for example 24 GiB.",
        ),
        (
            "4 %",
            Dimension.RATE,
            "'4 %' is a share, and a rate of happening is wanted here",
            "Write for example 4 %/year.",
        ),
        (
            "1 gb/s",
            Dimension.SPEED,
            "'gb/s' in '1 gb/s' is not a unit for a speed of data",
            "Did you mean Gb/s?",
        ),
        (
            "5 furlongs",
            Dimension.LENGTH,
            "'furlongs' in '5 furlongs' is not a unit for a length",
            "Write for example 45 cm.",
        ),
        ("5 Gb", Dimension.DATA, "'Gb' in '5 Gb' is not a unit for an amount of data", "Did you mean GB?"),
        (
            "5 KB",
            Dimension.DATA,
            "'KB' in '5 KB' could mean more than one thing",
            "Write kB (1000 bytes) or KiB (1024 bytes).",
        ),
        (
            "5 m",
            Dimension.TIME,
            "'m' in '5 m' could mean more than one thing",
            "Write min for minutes or months for months.",
        ),
        ("nan W", Dimension.POWER, "'nan W' is not a finite number", "Write for example 65 W."),
        (".inf", Dimension.POWER, "'.inf' is not a finite number", "Write for example 65 W."),
        ("-inf h", Dimension.TIME, "'-inf h' is not a finite number", "Write for example 18 min."),
        ("1e999 W", Dimension.POWER, "'1e999 W' is too large a number", "Write for example 65 W."),
        ("1..1e999 W", Dimension.POWER, "'1..1e999 W' is too large a number", "Write for example 65 W."),
        ("-3 W", Dimension.POWER, "'-3 W' is less than nothing", "Write for example 65 W."),
        ("-1 h 5 min", Dimension.TIME, "'-1 h 5 min' is less than nothing", "Write for example 18 min."),
        ("65..18 W", Dimension.POWER, "'65..18 W' runs backwards", "Write 18..65 W."),
        ("18-65 W", Dimension.POWER, "'18-65 W' is not a power", "Write 18..65 W for a range."),
        ("18 W to 65 W", Dimension.POWER, "'18 W to 65 W' is not a power", "Write 18..65 W for a range."),
        (
            "18 W..65 W",
            Dimension.POWER,
            "'18 W..65 W' has its unit in the middle",
            "Write the unit once, after both bounds, such as 2..5 h.",
        ),
        (
            "1,5 TB",
            Dimension.DATA,
            "'1,5 TB' has a comma in its number",
            "Write a point, and no commas between thousands.",
        ),
        ("10 000 W", Dimension.POWER, "'10 000 W' has a gap in its number", "Write 10000 W."),
        (
            "30 min 1 h",
            Dimension.TIME,
            "'30 min 1 h' is not a time",
            "Write the largest unit first: 1 h 30 min.",
        ),
        (
            "12 coins",
            Dimension.NUMBER,
            "'12 coins' has a unit or a word after it, and a plain number is wanted here",
            "Write for example 12.",
        ),
        (
            "1" * 10_000,
            Dimension.DATA,
            "'1111111111111111111111111111111111111...' is too long to be an amount of data",
            "Write for example 24 GiB.",
        ),
    ],
)
def test_what_cannot_be_understood_is_refused(text, dimension, what, mend):
    """Each slip has its whole message: the value, what it is, how to write it."""
    with pytest.raises(UnitError) as caught:
        units.parse_range(text, dimension)
    assert (caught.value.what, caught.value.mend) == (what, mend)
    assert str(caught.value) == f"{what}. {mend}"


def test_a_range_is_refused_where_one_value_is_wanted():
    """`parse` takes no range."""
    with pytest.raises(UnitError, match=r"^'1\.\.2 h' is a range, and one value is wanted here\. Write for"):
        units.parse("1..2 h", Dimension.TIME)


def outcome(text, dimension):
    """The range that a text stands for, or the error that refuses it."""
    try:
        return units.parse_range(text, dimension)
    except UnitError as error:
        return error


NEARLY = st.text("0123456789.eE+- \tnaifWhs%/yeGBp,_'\u0661\u2212", max_size=24)


@given(st.text(max_size=40) | NEARLY, st.sampled_from(Dimension))
def test_any_text_is_read_or_refused(text, dimension):
    """No text brings anything but a finite range or the one error, which fits on a line."""
    found = outcome(text, dimension)
    if isinstance(found, UnitError):
        assert found.what
        assert found.mend
        assert "\n" not in str(found)
    else:
        assert -math.inf < found.low <= found.high < math.inf


@pytest.mark.parametrize(
    ("value", "dimension", "said"),
    [
        (0, Dimension.TIME, "0 s"),
        (0.15, Dimension.TIME, "150 ms"),
        (0.9996, Dimension.TIME, "1 s"),
        (1.5, Dimension.TIME, "1.5 s"),
        (40, Dimension.TIME, "40 s"),
        (59.6, Dimension.TIME, "1 min"),
        (1320, Dimension.TIME, "22 min"),
        (5400, Dimension.TIME, "1 h 30 min"),
        (3599, Dimension.TIME, "1 h"),
        (86399, Dimension.TIME, "1 day"),
        (1.5 * DAY_S, Dimension.TIME, "1 day 12 h"),
        (40 * DAY_S, Dimension.TIME, "40 days"),
        (YEAR_S, Dimension.TIME, "12 months"),
        (2.5 * YEAR_S, Dimension.TIME, "2.5 years"),
        (math.inf, Dimension.TIME, "never"),
        (math.inf, Dimension.POWER, "no limit"),
        (2e12, Dimension.DATA, "2.0 TB"),
        (1.85e12, Dimension.DATA, "1.85 TB"),
        (24 * 2**30, Dimension.DATA, "24 GiB"),
        (512e9, Dimension.DATA, "512 GB"),
        (999.6, Dimension.DATA, "1.0 kB"),
        (610, Dimension.POWER, "610 W"),
        (12345, Dimension.POWER, "12.3 kW"),
        (1.28e9, Dimension.SPEED, "1.28 Gb/s"),
        (0.04, Dimension.RATE, "4 %/year"),
        (3, Dimension.RATE, "3 /year"),
        (1e-14, Dimension.BIT_ERRORS, "1e-14 /bit"),
        (2**30 / DAY_S, Dimension.GROWTH, "1 GiB/day"),
        (0.7, Dimension.LENGTH, "700 mm"),
        (-3, Dimension.LEVEL, "-3 dB"),
        (1240.5, Dimension.NUMBER, "1240.5"),
    ],
)
def test_values_are_said_as_people_say_them(value, dimension, said):
    """Short, in the unit one would choose."""
    assert units.format(value, dimension) == said


@pytest.mark.parametrize(
    ("low", "high", "dimension", "said"),
    [
        (0.02, 0.05, Dimension.RATE, "2..5 %/year"),
        (18, 65, Dimension.POWER, "18..65 W"),
        (90, 7200, Dimension.TIME, "1 min 30 s to 2 h"),
        (5, 5, Dimension.POWER, "5 W"),
    ],
)
def test_ranges_are_said_with_their_unit_once(low, high, dimension, said):
    """As one would write them in a lab file, where both bounds share a unit."""
    assert units.format_range(Quantity(low=low, high=high), dimension) == said


def test_not_a_number_is_not_said():
    """NaN is a defect of ours, not a quantity."""
    with pytest.raises(ValueError, match="NaN is not a quantity"):
        units.format(math.nan, Dimension.POWER)


@given(st.floats(0, 1e17, allow_subnormal=False), st.sampled_from(Dimension))
def test_what_is_said_is_read_back(value, dimension):
    """Saying and reading loses no more than the figures left out, and saying it again changes nothing."""
    assume(value == 0 or value > 1e-12)
    said = units.format(value, dimension)
    again = units.parse(said, dimension)
    # Three figures, or the two units of a time: at worst half of the smaller one, as in "9 days 23 h".
    assert again == pytest.approx(value, rel=0.05 if dimension is Dimension.TIME else 0.006)
    assert units.format(again, dimension) == said


@given(st.integers(0, 4095), st.sampled_from(["KiB", "MiB", "GiB", "TiB"]))
def test_whole_binary_amounts_are_said_exactly(count, unit):
    """Memory sizes come back to the byte."""
    value = units.parse(f"{count} {unit}", Dimension.DATA)
    if unit == "KiB" and count % 1024:
        return
    assert units.parse(units.format(value, Dimension.DATA), Dimension.DATA) == value


@pytest.mark.parametrize("dimension", Dimension)
def test_examples_and_units_are_what_they_say(dimension):
    """Each dimension reads its example, its pattern takes it, and the units it lists are its own."""
    assert units.parse(units.example(dimension), dimension) > 0
    assert re.search(units.pattern(dimension), units.example(dimension))
    assert set(units.units_of(dimension)) <= {n for n, s in UNITS.items() if s.dimension is dimension}
    assert set(EXAMPLES) == set(Dimension)


PATTERNS = {dimension: re.compile(units.pattern(dimension, ranges=True), re.ASCII) for dimension in Dimension}


@given(st.sampled_from(Dimension).flatmap(lambda d: st.tuples(st.just(d), st.from_regex(PATTERNS[d]))))
def test_what_the_pattern_takes_is_read(drawn):
    """The schema promises only what the reader reads, but for what a pattern cannot compare."""
    dimension, text = drawn
    assume(len(text) < 100)
    found = outcome(text, dimension)
    if isinstance(found, UnitError):
        assert re.search("runs backwards|largest unit first|too large", str(found))


@given(NEARLY, st.sampled_from(Dimension))
def test_what_is_read_matches_the_pattern(text, dimension):
    """The schema refuses nothing that the reader reads, written with single spaces."""
    if isinstance(outcome(text, dimension), Quantity):
        assert PATTERNS[dimension].search(" ".join(text.split()))


def test_what_is_asked_reads_like_any_value():
    """What is typed into a question is what it is in a lab file."""
    assert units.asked("18 min", Dimension.TIME, by="--for") == 1080.0


@pytest.mark.parametrize("text", ["soon", "", "3 GHz", "inf s", "1 h 5"])
def test_a_slip_in_what_is_asked_names_the_option(text):
    """It says which option had it, and mends it as in a lab file."""
    with pytest.raises(UnitError) as slip:
        units.parse(text, Dimension.TIME)
    with pytest.raises(QuestionError) as told:
        units.asked(text, Dimension.TIME, by="--for")
    assert (told.value.what, told.value.mend) == (f"--for: {slip.value.what}", slip.value.mend)
