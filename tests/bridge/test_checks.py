import pytest

from bedstone.bridge import parse_bridge
from bedstone.bridge.templates import template
from bedstone.errors import InputError

UNIT = [[float(i == j) for j in range(6)] for i in range(6)]


def matrix(*changes: tuple[int, int, float]) -> str:
    rows = [list(row) for row in UNIT]
    for i, j, value in changes:
        rows[i][j] = value
    return f'below = {{ kind = "springs", matrix = {rows} }}'


LINES = (
    "number = 4                     # girder lines, symmetric about the reference line\n"
    'spacing = "2.8 m"'
)
TRAIN = "# [[actions.traffic.trains]]"
OWN_TRAIN = "[[actions.traffic.trains]]\nname = 'a'\naxles = [{ load = '1 kN' }]\n"
RIB = """section = "pier"
end_section = "rib"
[superstructure.sections.rib]
kind = "concrete rectangle"
width = "0.4 m"
depth = "1 m"
"""

# Which field is told when the text on the left of the template becomes the one on its right.
GIRDERS = [
    ('mark = "A2"', 'mark = "A1"', "support A1: mark"),
    ('chainage = "64 m"', 'chainage = "32 m"', "support A2: chainage"),
    ('chainage = "32 m"', 'chainage = "-3 m"', "support P1: chainage"),
    ('# skew = "15 deg"', 'skew = "75 deg"', "support A1: skew"),
    ('# skew = "15 deg"', 'skew = "-80 deg"', "support A1: skew"),
    ('diameter = "1.1 m"', 'diameter = "1.1 m"\nalong = "1 m"', "support P1: below.diameter"),
    ('diameter = "1.1 m"', "", "support P1: below.diameter"),
    ('diameter = "1.1 m"', 'along = "1 m"', "support P1: below.across"),
    ('diameter = "1.1 m"', 'A = "1 m2"\nIx = "0.1 m4"\nJ = "0.2 m4"', "support P1: below.Iy"),
    ('spacing = "3.2 m"', "", "support P1: below.spacing"),
    ('spacing = "3.2 m"', 'spacing = "1 m"', "support P1: below.spacing"),
    ('below = { kind = "rigid" }', 'below = { kind = "springs" }', "support A1: below.springs"),
    ('below = { kind = "rigid" }', matrix((0, 1, 0.5)), "support A1: below.matrix"),
    (
        'below = { kind = "rigid" }',
        matrix((0, 1, 1.5), (1, 0, 1.5)),
        "support A1: below.matrix",
    ),
    (
        'below = { kind = "rigid" }',
        matrix((0, 4, 1.0), (4, 0, 1.0)),  # singular
        "support A1: below.matrix",
    ),
    ('below = { kind = "rigid" }', matrix((2, 2, 0.0)), "support A1: below.matrix[3]"),
    (
        'below = { kind = "rigid" }',
        f'below = {{ kind = "springs", matrix = {UNIT[:5]} }}',
        "support A1: below.matrix",
    ),
    (
        'below = { kind = "rigid" }',
        f'below = {{ kind = "springs", springs = {{ kx = "1 MN/m" }}, matrix = {UNIT} }}',
        "support A1: below.springs",
    ),
    (
        'chainage = "0 m"\n',
        'chainage = "0 m"\nbounds = { lower = 2, upper = 1 }\n',
        "support A1: bounds.lower",
    ),
    (
        'below = { kind = "rigid" }',
        'below = { kind = "rigid" }\nbounds = { upper = 2 }',
        "support A1: bounds.upper",
    ),
    ('E = "33 GPa"', 'E = "33 MPa"', "support P1: below.E"),
    ('E = "33 GPa"', 'E = "501 GPa"', "support P1: below.E"),
    ("# [choices.eurocode]", "[materials]\nsteel_E = '210 MPa'", "materials.steel_E"),
    ("# [choices.eurocode]", "[materials]\nsteel_E = '501 GPa'", "materials.steel_E"),
    ("# [choices.eurocode]", "[materials]\nconcrete_E = '33 MPa'", "materials.concrete_E"),
    ("# [choices.eurocode]", "[materials]\nconcrete_E = '101 GPa'", "materials.concrete_E"),
    ("# [alignment]", '[alignment]\nradius = "5.3 m"', "alignment.radius"),
    # 65 m with the ends beyond the supports: half a turn has a radius of 65 m / pi = 20.69 m
    ("# [alignment]", '[alignment]\nradius = "20.6 m"', "alignment.radius"),
    ("number = 4 ", "# ", "superstructure.number"),
    ('spacing = "2.8 m"', "", "superstructure.spacing"),
    ("number = 4 ", 'offsets = ["1 m"]\nnumber = 4 #', "superstructure.number"),
    (
        LINES,
        "offsets = []",
        "superstructure.offsets",
    ),
    (
        LINES,
        'offsets = ["1 m", "-1 m", "1 m", "0 m"]',
        "superstructure.offsets",
    ),
    ('end = "24 m"', 'end = "23 m"', "superstructure.segments[2].start"),
    ('end = "24 m"', 'end = "25 m"', "superstructure.segments[2].start"),
    ('start = "-0.5 m"', 'start = "0 m"', "superstructure.segments[1].start"),
    ('end = "64.5 m"', 'end = "64 m"', "superstructure.segments[3].end"),
    ('end = "40 m"', 'end = "24 m"', "superstructure.segments[2].end"),
    ('section = "pier"', 'section = "peir"', "superstructure.segments[2].section"),
    (
        'section = "pier"',
        'section = "pier"\nend_section = "x"',
        "superstructure.segments[2].end_section",
    ),
    (
        'section = "pier"',
        RIB,
        "superstructure.segments[2].end_section",
    ),
    ('section = "brace"', 'section = "none"', "superstructure.diaphragms.section"),
    ('spacing = "8 m"', 'spacing = "8 um"', "superstructure.diaphragms.spacing"),
    (
        'spacing = "8 m"',
        'spacing = "8 m"\nchainages = ["8 m"]#',
        "superstructure.diaphragms.chainages",
    ),
    ('spacing = "8 m"', 'chainages = ["8 m", "99 m"]', "superstructure.diaphragms.chainages[2]"),
    ('contact = "0.15 m"', 'mesh = "1 mm"', "superstructure.mesh"),
    (
        'web_thickness = "16 mm"',
        'web_thickness = "1.6 m"',
        "superstructure.sections.pier.web_thickness",
    ),
    ('name = "slab cast"', 'name = "finished"', "stage finished: name"),
    ('kind = "slab"', 'kind = "slab", value = "1 kPa"', "stage slab cast: loads[1].value"),
    ('value = "2.6 kN/m2"', "", "stage finished: loads[1].value"),
    ('from_y = "-4.75 m"', 'from_y = "4.75 m"', "stage finished: loads[1].to_y"),
    ('y = "5.1 m"', "", "stage finished: loads[2].y"),
    ('line_value = "6.5 kN/m"', 'value = "6.5 kPa"', "stage finished: loads[2].line_value"),
    ('left = "4.75 m"', 'left = "-5 m"', "actions.traffic.left"),
    ('left = "4.75 m"', "", "actions.traffic.left"),
    ('left = "4.75 m"', 'left = "5.6 m"', "actions.traffic.left"),  # the slab ends at 5.4 m
    ('right = "-4.75 m"', 'right = "-5.5 m"', "actions.traffic.right"),
    ('left = "4.75 m"', 'left = "4.75 m"\nstart = "9 m"\nend = "8 m"', "actions.traffic.end"),
    ('use = "road"', 'use = "rail"', "actions.traffic.tracks"),
    (TRAIN, OWN_TRAIN + "lanes = 3\nfactors = [1, 0.9]", "actions.traffic.trains[1].factors"),
    (TRAIN, OWN_TRAIN + "track = '4 m'", "actions.traffic.trains[1].track"),
    ('air_max = "37 degC"', 'air_max = "-18 degC"', "actions.temperature.air_max"),
    ('speed = "26 m/s"', 'speed = "26 m/s"\npressure = "1 kPa"', "actions.wind.pressure"),
    ('support = "P1"', 'support = "P2"', "actions.settlement[1].support"),
    (
        "[arrangement.kinds]",
        "[[actions.jacking]]\nseat = 'P1-9'\nlift = '5 mm'\n[arrangement.kinds]",
        "actions.jacking[1].seat",
    ),
    ('set_at = "slab cast"', 'set_at = "slab"', "arrangement.set_at"),
    ('set_at = "slab cast"', 'fixed_point = "P2"', "arrangement.fixed_point"),
    ('A1 = ["free"', 'A9 = ["free"', "arrangement.supports.A9"),
    ('A1 = ["free", ', "A1 = [", "arrangement.supports.A1"),
    ('A1 = ["free", "guided along", "free", "free"]', "", "arrangement.seats.A1-1"),
    ('A1 = ["free"', 'A1 = ["elastic"', "arrangement.seats.A1-1.stiffness"),
    (
        "# [arrangement.seats.A1-1]",
        "[arrangement.seats.A1-7]\nfunction='free'",
        "arrangement.seats.A1-7",
    ),
    ("# [choices.eurocode]", "[bearings]\nplinth_along = '1 m'", "bearings.plinth_across"),
    ("# [choices.eurocode]", "[bearings]\nplinth_across = '1 m'", "bearings.plinth_along"),
    ("# [choices.eurocode]", "[bearings.kinds]\nA1-9 = 'pot'", "bearings.kinds.A1-9"),
    ("# [choices.eurocode]", "[[bearings.given]]\nseat='P'\nkind='pot'", "bearings.given[1].seat"),
    (
        "# [choices.eurocode]",
        "[bearings]\ngiven = [{seat='A1-1', kind='pot'}, {seat='A1-1', kind='disc'}]",
        "bearings.given[2].seat",
    ),
    ("# [choices.eurocode]", "[[replacement.jacks]]\nat = 'P7'", "replacement.jacks[1].at"),
    (
        "# [choices.eurocode]",
        "[replacement]\njacks = [{at='P1'}, {at='A1-1'}, {at='P1'}]",
        "replacement.jacks[3].at",
    ),
]

TRUSS = [
    ("panels = [8]", "panels = [8, 8]", "superstructure.panels"),
    ('heights = ["8.4 m"]', 'heights = ["8 m", "9 m"]', "superstructure.heights"),
    ('"-0.9 m", "0.9 m"]', '"-0.9 m", "2.9 m"]', "superstructure.stringer_offsets[2]"),
    ('"-0.9 m", "0.9 m"]', '"0.9 m", "0.9 m"]', "superstructure.stringer_offsets"),
    ('posts = "post"', 'posts = "past"', "superstructure.members.posts"),
    ('lateral = "bracing"', 'lateral = "brace"', "superstructure.members.lateral"),
    ('centroid = "100 mm"', 'centroid = "201 mm"', "superstructure.sections.bracing.centroid"),
    (
        'web_spacing = "400 mm"',
        'web_spacing = "500 mm"',
        "superstructure.sections.chord.web_spacing",
    ),
    ('contact = "0.65 m"', "slab_composite = true", "superstructure.slab"),
    ('kind = "self weight"', 'kind = "slab"', "stage steel erected: loads[1].kind"),
    (
        "[arrangement]",
        "[[actions.lengthening]]\nmembers='x'\nstrain=1e-4\n[arrangement]",
        "actions.lengthening[1].members",
    ),
    ('A2 = ["guided along", "free"]', 'A2 = ["free"]', "arrangement.supports.A2"),
]


@pytest.mark.parametrize(
    ("kind", "old", "new", "where"),
    [("girders", *case) for case in GIRDERS] + [("truss", *case) for case in TRUSS],
)
def test_each_check_tells_its_own_field(kind: str, old: str, new: str, where: str) -> None:
    text = template(kind)
    assert old in text
    with pytest.raises(InputError) as caught:
        parse_bridge(text.replace(old, new, 1))
    assert where in [fault.where for fault in caught.value.faults]


# What lies on the safe side of each bound is no fault.
GOOD = [
    ("girders", '# skew = "15 deg"', 'skew = "74 deg"'),
    ("girders", "# [alignment]", '[alignment]\nradius = "60 m"'),
    ("girders", "# [alignment]", '[alignment]\nradius = "20.7 m"'),
    ("girders", "# [choices.eurocode]", "[materials]\nsteel_E = '50 GPa'"),
    ("girders", "# [choices.eurocode]", "[materials]\nconcrete_E = '100 GPa'"),
    ("girders", 'E = "33 GPa"', 'E = "1 GPa"'),
    (
        "girders",
        'below = { kind = "rigid" }',
        'below = { kind = "rigid" }\nbounds = { lower = 1, upper = 1 }',
    ),
    ("girders", 'below = { kind = "rigid" }', matrix((0, 4, 0.9), (4, 0, 0.9))),
    ("girders", 'start = "-0.5 m"', 'start = "-9 m"'),  # a section may be told beyond the end
    ("girders", 'section = "pier"', 'section = "pier"\nend_section = "span"'),
    ("girders", 'spacing = "8 m"', 'chainages = ["8 m", "16 m"]'),
    ("girders", 'A1 = ["free", "guided along", "free", "free"]', 'A1 = "free"'),
    ("girders", 'set_at = "slab cast"', 'fixed_point = "P1-2"'),
    ("girders", 'set_at = "slab cast"', 'fixed_point = "P1"'),
    ("girders", 'direction = "axis"', 'direction = "12 deg"'),
    ("truss", 'heights = ["8.4 m"]', f"heights = {['8 m'] * 9}"),
]


@pytest.mark.parametrize(("kind", "old", "new"), GOOD)
def test_what_is_allowed_passes(kind: str, old: str, new: str) -> None:
    text = template(kind)
    assert old in text
    parse_bridge(text.replace(old, new, 1))


@pytest.mark.parametrize(
    ("old", "new", "found", "allowed"),
    [
        ('A1 = ["free", ', "A1 = [", "3 functions", "4 functions"),
        ("# [alignment]", '[alignment]\nradius = "5 m"', "5 m", "half the deck's width"),
        ("# [alignment]", '[alignment]\nradius = "10 m"', "turning 372 deg", "20.6901 m"),
        ('E = "33 GPa"', 'E = "33 MPa"', "0.033 GPa", "plausible for a column, 1 to 500 GPa"),
        (
            'below = { kind = "rigid" }',
            'below = { kind = "rigid" }\nbounds = { upper = 2 }',
            "2",
            "1, as below is rigid: nothing there gives way",
        ),
    ],
)
def test_one_cause_is_told_once(old: str, new: str, found: str, allowed: str) -> None:
    text = template("girders")
    assert old in text
    text = text.replace(old, new, 1)
    with pytest.raises(InputError) as caught:
        parse_bridge(text)
    assert len(caught.value.faults) == 1
    assert found in caught.value.faults[0].found
    assert allowed in caught.value.faults[0].allowed
