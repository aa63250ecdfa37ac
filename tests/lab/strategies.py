"""Random lab files as people write them: block and flow style, comments, blank lines, quotes, padding."""

from hypothesis import strategies as st

WORDS = [
    "kind",
    "fed by",
    "desk-1",
    "desk-[1-4]",
    "c1",
    "watts",
    "ünder",
    "say: so",
    "#1",
    "a, b",
    "{x}",
    "日本",
    "-",
]
TEXTS = [
    "node",
    "24 GiB",
    "1e-14 /bit",
    "Mon-Fri 19:00-22:00",
    "fd00::1/64",
    "*.a",
    "a -- b",
    "yes",
    "it's",
    "null",
    "~",
    "x # y",
    "k: v",
    "[1, 2",
    "é 😀",
    'say "so"',
    "tab\there",
    "two\nlines",
    " padded ",
    "",
    "-",
    "?",
    "100 %",
    "@home",
    "trailing:",
]
texts = st.sampled_from(TEXTS) | st.text(
    st.characters(exclude_categories=["Cs"]) | st.sampled_from("'\"\\#:-?{}[],&*!|>%@` \n\t"), max_size=12
)
keys = st.sampled_from(WORDS) | st.from_regex(r"[a-z][a-z0-9 .-]{0,8}[a-z0-9]", fullmatch=True)
values = st.recursive(
    texts,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3),
    max_leaves=8,
)
data = st.dictionaries(keys, values, min_size=1, max_size=4)
COMMENTS = ["", "", "", "  # why", "   # it's [odd: {"]


def quoted(text):
    """Text in double quotes, every odd sign escaped."""
    signs = []
    for sign in text:
        if sign in '"\\':
            signs.append(f"\\{sign}")
        elif sign.isprintable() and sign not in "\ufeff":
            signs.append(sign)
        else:
            signs.append(f"\\U{ord(sign):08x}")
    return '"' + "".join(signs) + '"'


@st.composite
def scalars(draw, text, *, flow):
    """One way to write a text."""
    plain = text.isprintable() and all(sign not in "#'\"\\[]{},&*!|>%@`:?~" for sign in text)
    plain = plain and text == text.strip() and text[:1] not in ("", "-") and "..." not in text
    if plain and draw(st.booleans()):
        return text
    if text.isprintable() and "\ufeff" not in text and draw(st.booleans()):
        return "'" + text.replace("'", "''") + "'"
    return quoted(text)


@st.composite
def flows(draw, value):
    """One way to write a value on one line, or over several between brackets."""
    if isinstance(value, str):
        return draw(scalars(value, flow=True))
    tight = draw(st.sampled_from(["", " "]))
    if isinstance(value, dict):
        inner = [f"{draw(scalars(k, flow=True))}: {draw(flows(v))}" for k, v in value.items()]
        signs = "{}"
    else:
        inner = [draw(flows(item)) for item in value]
        signs = "[]"
    comma = draw(st.sampled_from(["", ","])) if inner else ""
    return signs[0] + tight + ", ".join(inner) + comma + tight + signs[1]


@st.composite
def entries(draw, value, indent):
    """What follows a colon or a dash: on the same line, or on lines of its own below."""
    comment = draw(st.sampled_from(COMMENTS))
    if isinstance(value, str) or not value or draw(st.booleans()):
        return f" {draw(st.sampled_from(['', '', '   ']))}{draw(flows(value))}{comment}\n"
    deeper = indent + draw(st.sampled_from([1, 2, 4]))
    return f"{comment}\n{draw(blocks(value, deeper))}"


@st.composite
def blocks(draw, value, indent=0):
    """One way to write keys or a list, an entry to a line."""
    margin = " " * indent
    lines = []
    pairs = value.items() if isinstance(value, dict) else ((None, item) for item in value)
    for key, inner in pairs:
        lines.append(draw(st.sampled_from(["", "", "", "\n", f"{margin}# note: [x\n", "# far left\n"])))
        head = "-" if key is None else f"{draw(scalars(key, flow=False))}:"
        lines.append(f"{margin}{head}{draw(entries(inner, indent))}")
    return "".join(lines)


@st.composite
def labs(draw):
    """A lab file's text and what it says."""
    said = draw(data)
    text = draw(blocks(said))
    if draw(st.booleans()):
        text = text.replace("\n", "\r\n")
    if draw(st.booleans()):
        text = text.rstrip("\r\n")
    return draw(st.sampled_from(["", "# head\n", "---\n"])) + text, said


def paths(value, above=()):
    """Every path into a value, itself included."""
    yield above
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from paths(inner, (*above, key))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield from paths(inner, (*above, place))


def at(value, path):
    """What a path leads to."""
    for step in path:
        value = value[step]
    return value
