"""The bridge file: one TOML file describing one bridge, as pydantic models.

Every dimensional quantity is a string with its unit ("48 m"); inside it becomes a float in SI.
Levels and offsets: y to the left of the reference line seen with rising chainage, z up, and z = 0
at the road surface (top of rail for a railway) on the reference line.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from bedstone.bridge.units import quantity

# ------------------------------------------------------------------ quantities (SI inside)
Length = Annotated[float, quantity("m", minimum=0.0)]
PositiveLength = Annotated[float, quantity("m", above=0.0)]
Offset = Annotated[float, quantity("m")]
Area = Annotated[float, quantity("m**2", above=0.0)]
SecondMoment = Annotated[float, quantity("m**4", above=0.0)]
Angle = Annotated[float, quantity("rad")]
Modulus = Annotated[float, quantity("Pa", above=0.0)]
Stress = Annotated[float, quantity("Pa")]
Strength = Annotated[float, quantity("Pa", above=0.0)]
Force = Annotated[float, quantity("N")]
Moment = Annotated[float, quantity("N*m")]
LineLoad = Annotated[float, quantity("N/m")]
AreaLoad = Annotated[float, quantity("Pa")]
WeightDensity = Annotated[float, quantity("N/m**3", minimum=0.0)]
TranslationStiffness = Annotated[float, quantity("N/m", above=0.0)]
RotationStiffness = Annotated[float, quantity("N*m/rad", above=0.0)]
Temperature = Annotated[float, quantity("degC")]
TemperatureDifference = Annotated[float, quantity("K")]
PerKelvin = Annotated[float, quantity("1/K", minimum=0.0)]
Speed = Annotated[float, quantity("m/s", minimum=0.0)]
Pressure = Annotated[float, quantity("Pa", minimum=0.0)]
Strain = Annotated[float, quantity("")]  # "-0.0003" or "-300e-6"; a plain number is allowed
Factor = Annotated[float, Field(allow_inf_nan=False)]
PositiveFactor = Annotated[float, Field(gt=0.0, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0)]
PositiveCount = Annotated[int, Field(ge=1)]

#: The families of standards.
FamilyName = Literal["eurocode", "aashto", "irc"]

Mark = Annotated[str, Field(pattern=r"^[A-Za-z0-9_]{1,12}$")]


class Part(BaseModel):
    """Base of all parts of a bridge file: unknown fields are faults, parts do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)


# ------------------------------------------------------------------ head and alignment
class Head(Part):
    """What the bridge is called and by which family of standards it is judged."""

    name: Annotated[str, Field(min_length=1, max_length=200)]
    reference: str = ""
    standard: FamilyName = "eurocode"
    use: Literal["road", "rail"] = "road"
    note: str = ""


class Alignment(Part):
    """Reference line in plan: straight, or a circular arc of a radius turning left or right."""

    radius: PositiveLength | None = None
    turn: Literal["left", "right"] = "left"


# ------------------------------------------------------------------ supports and what is below
class Springs6(Part):
    """Stiffness at one point; a direction left out is rigid. x along, y across, z up."""

    kx: TranslationStiffness | None = None
    ky: TranslationStiffness | None = None
    kz: TranslationStiffness | None = None
    krx: RotationStiffness | None = None
    kry: RotationStiffness | None = None
    krz: RotationStiffness | None = None


class Rigid(Part):
    """Nothing below the bearing gives way."""

    kind: Literal["rigid"]


class Column(Part):
    """One or several equal columns under a stiff cap, on a foundation.

    Give `diameter`, or `along` x `across` (size in each direction), or A, Iy (bending along the
    bridge), Ix (bending across) and J. Several columns stand `spacing` apart across the bridge and
    work as a frame with the cap. `cap`: from bearing level down to the top of the columns.
    """

    kind: Literal["column"]
    height: PositiveLength
    E: Modulus
    count: Annotated[int, Field(ge=1, le=12)] = 1
    spacing: PositiveLength | None = None
    diameter: PositiveLength | None = None
    along: PositiveLength | None = None
    across: PositiveLength | None = None
    A: Area | None = None
    Ix: SecondMoment | None = None
    Iy: SecondMoment | None = None
    J: SecondMoment | None = None
    poisson: Annotated[float, Field(ge=0.0, lt=0.5)] = 0.2
    density: WeightDensity = 25_000.0
    cap: Length = 0.0
    foundation: Springs6 = Springs6()


class GivenSprings(Part):
    """Stiffness at bearing level on the support's centre: six springs or a full 6 x 6 matrix.

    `matrix`: rows x, y, z, rx, ry, rz in N, m and rad, symmetric and positive definite.
    """

    kind: Literal["springs"]
    springs: Springs6 | None = None
    matrix: list[list[Factor]] | None = None


class Bounds(Part):
    """Lower and upper factors on the stiffness below the bearing."""

    lower: PositiveFactor = 1.0
    upper: PositiveFactor = 1.0


class Support(Part):
    """An abutment or pier line.

    `skew`: angle of the support line from the square to the axis, anticlockwise positive seen from
    above. `base_level`: depth below bearing level of the point about which the overturning of the
    support is counted (default: column height + cap, or bearing level).
    """

    mark: Mark
    chainage: Offset
    skew: Angle = 0.0
    below: Annotated[Rigid | Column | GivenSprings, Field(discriminator="kind")] = Rigid(
        kind="rigid"
    )
    bounds: Bounds = Bounds()
    base_level: Length | None = None


# ------------------------------------------------------------------ materials and sections
class Materials(Part):
    """Materials; the defaults are common values for structural steel and concrete."""

    steel_E: Modulus = 210e9
    steel_poisson: Annotated[float, Field(ge=0.0, lt=0.5)] = 0.3
    steel_density: WeightDensity = 77_000.0
    steel_alpha: PerKelvin | None = None  # None: as the family says
    concrete_E: Modulus = 33e9
    concrete_poisson: Annotated[float, Field(ge=0.0, lt=0.5)] = 0.2
    concrete_density: WeightDensity = 25_000.0
    concrete_alpha: PerKelvin | None = None
    creep_factor: Annotated[float, Field(ge=0.0, le=6.0)] = 2.0  # long term E = E / (1 + factor)


class PlateGirder(Part):
    """Welded I girder: flange widths and thicknesses, web depth between flanges and thickness."""

    kind: Literal["plate girder"]
    top_width: PositiveLength
    top_thickness: PositiveLength
    web_depth: PositiveLength
    web_thickness: PositiveLength
    bottom_width: PositiveLength
    bottom_thickness: PositiveLength


class SteelBox(Part):
    """Steel box (per girder line): two webs, flanges of given width."""

    kind: Literal["steel box"]
    top_width: PositiveLength
    top_thickness: PositiveLength
    web_depth: PositiveLength
    web_thickness: PositiveLength
    web_spacing: PositiveLength
    bottom_width: PositiveLength
    bottom_thickness: PositiveLength


class ConcreteRectangle(Part):
    """Rectangular concrete beam (or rib under a slab)."""

    kind: Literal["concrete rectangle"]
    width: PositiveLength
    depth: PositiveLength


class GivenSection(Part):
    """Section by its properties. Iy: bending in the vertical plane; Iz: sideways.

    `centroid`: depth of the neutral axis below the top of the section; `depth`: overall.
    `shear_y`, `shear_z`: shear areas (None: no shear deformation).
    """

    kind: Literal["given"]
    material: Literal["steel", "concrete"] = "steel"
    A: Area
    Iy: SecondMoment
    Iz: SecondMoment
    J: SecondMoment
    shear_y: Area | None = None
    shear_z: Area | None = None
    depth: PositiveLength
    centroid: Length


Section = Annotated[
    PlateGirder | SteelBox | ConcreteRectangle | GivenSection, Field(discriminator="kind")
]


class Segment(Part):
    """From one chainage to another a section; `end_section` tapers linearly to it."""

    start: Offset
    end: Offset
    section: str
    end_section: str | None = None


class Slab(Part):
    """Concrete deck slab. `haunch`: concrete between girder top and slab soffit (depth only)."""

    thickness: PositiveLength
    haunch: Length = 0.0
    overhang_left: Length = 0.0
    overhang_right: Length = 0.0
    effective_width: PositiveLength | None = None  # per girder; None: the tributary width
    E: Modulus | None = None  # None: materials.concrete_E


class Diaphragms(Part):
    """Cross members between the girders, at supports always and along the span as told.

    Give `spacing` (not more than) or `chainages`. The section bends in the vertical cross plane.
    """

    section: str
    support_section: str | None = None
    spacing: PositiveLength | None = None
    chainages: list[Offset] | None = None


# ------------------------------------------------------------------ superstructure kinds
class Girders(Part):
    """Parallel girder lines with a slab: a grillage, straight or on the alignment's curve.

    `offsets` (y of each line, left to right) or `number` and `spacing` (symmetric about the
    reference line). `type`: steel (girders alone carry), composite, concrete. `surface_to_slab`:
    from the road surface down to the top of the slab. `contact`: from the girder's underside
    down to the level where the bearing turns.
    """

    kind: Literal["girders"]
    type: Literal["steel", "composite", "concrete"] = "composite"
    continuity: Literal["continuous", "simple"] = "continuous"
    number: Annotated[int, Field(ge=1, le=40)] | None = None
    spacing: PositiveLength | None = None
    offsets: list[Offset] | None = None
    start_overhang: Length = 0.0  # girder beyond the first support line
    end_overhang: Length = 0.0
    surface_to_slab: Length = 0.0
    contact: Length = 0.0
    mesh: PositiveLength | None = None  # longest element; None: span / 20
    sections: dict[str, Section]
    segments: Annotated[list[Segment], Field(min_length=1)]
    slab: Slab | None = None
    diaphragms: Diaphragms | None = None


class TrussMembers(Part):
    """Which section each group of members has (names in `sections`)."""

    top_chord: str
    bottom_chord: str
    end_posts: str | None = None  # inclined end members; None: as top_chord
    diagonals: str
    posts: str | None = None
    cross_girders: str
    stringers: str
    lateral: str
    top_struts: str | None = None  # between the top chords; None: as lateral
    portals: str | None = None  # end frames of a through truss; None: as top_struts


class Truss(Part):
    """Two vertical truss planes with cross girders, stringers and lateral bracing.

    `form`: pratt (diagonals fall towards mid-span), n (all diagonals fall the same way in each half
    reversed: rising towards mid-span), warren, warren with posts. `deck`: through (road at the
    bottom chord) or deck (road at the top chord). `heights`: one height (parallel chords) or one
    for each panel point of one span from its first to its last (curved top chord).
    `stringer_offsets`: y of the stringers. `surface_to_chord`: from the road or rail surface down
    to the axis of the loaded chord. `contact`: from the bottom chord axis down to the level where
    the bearing turns (for a deck truss too, unless `seat_chord` is "top").
    """

    kind: Literal["truss"]
    form: Literal["pratt", "n", "warren", "warren with posts"]
    deck: Literal["through", "deck"] = "through"
    continuity: Literal["continuous", "simple"] = "simple"
    joints: Literal["rigid", "pinned"] = "rigid"
    panels: list[Annotated[int, Field(ge=2, le=60)]]  # number of panels in each span
    heights: Annotated[list[PositiveLength], Field(min_length=1)]
    spacing: PositiveLength  # between the two planes
    stringer_offsets: Annotated[list[Offset], Field(min_length=1)]
    surface_to_chord: Length = 0.0
    contact: Length = 0.0
    seat_chord: Literal["bottom", "top"] = "bottom"
    sections: dict[str, Section]
    members: TrussMembers
    slab: Slab | None = None  # on the stringers
    slab_composite: bool = False  # slab shares the stringers' axial strain with the chords
    weight_allowance: Annotated[float, Field(ge=0.0, le=1.0)] = 0.15  # gussets, bolts, paint


class FrameTables(Part):
    """A space frame given in CSV tables beside the file (units in the column heads).

    nodes: ``node,x [m],y [m],z [m]``; sections: ``section,E [GPa],G [GPa],A [m2],Iy [m4],Iz [m4],
    J [m4],Ay [m2],Az [m2],density [kN/m3],alpha [1/K]``; members: ``member,i,j,section`` and
    optionally ``up_x,up_y,up_z,release_i,release_j`` (release: letters of the freed end forces,
    e.g. "my mz"); seats: ``seat,support,node,contact [m]``; deck_lines: ``line,member`` in order.
    """

    kind: Literal["frame"]
    nodes: str
    members: str
    sections: str
    seats: str
    deck_lines: str | None = None
    deck_type: Literal["steel", "composite", "concrete"] = "steel"


class Reactions(Part):
    """No model: effects for each action at each seat from a CSV beside the file.

    effects: ``action,case,seat,N [kN],Hx [kN],Hy [kN],vx [mm],vy [mm],vz [mm],rx [mrad],
    ry [mrad],rz [mrad]``; permanent actions have one case, variable ones as many as wanted.
    seats: ``seat,support,y [m]``.
    """

    kind: Literal["reactions"]
    effects: str
    seats: str
    deck_type: Literal["steel", "composite", "concrete"] = "steel"


Superstructure = Annotated[Girders | Truss | FrameTables | Reactions, Field(discriminator="kind")]


# ------------------------------------------------------------------ stages and permanent loads
class Load(Part):
    """A permanent load. kinds:

    - ``self weight``: of the steel (and concrete) members that carry in this stage
    - ``slab``: weight of the slab and haunch, carried by what carries in this stage
    - ``area``: `value` (kN/m2) between offsets `from_y` and `to_y` (default: whole deck)
    - ``line``: `line_value` (kN/m) along the bridge at offset `y`
    """

    kind: Literal["self weight", "slab", "area", "line"]
    value: AreaLoad | None = None
    line_value: LineLoad | None = None
    from_y: Offset | None = None
    to_y: Offset | None = None
    y: Offset | None = None
    action: Literal["permanent", "surfacing"] = "permanent"
    label: str = ""


class Stage(Part):
    """A stage of construction: what carries (`carries`) and what is added (`loads`).

    `carries`: steel (girders or truss alone), long (concrete with creep), short. For a truss, frame
    or concrete girder: steel = the frame without slab where there is one.
    """

    name: Annotated[str, Field(min_length=1, max_length=60)]
    carries: Literal["steel", "long", "short"]
    loads: list[Load] = []


# ------------------------------------------------------------------ actions
class UserAxle(Part):
    """One axle of a train of the engineer's own; `gap`: distance behind the axle before."""

    load: Annotated[float, quantity("N", above=0.0)]
    gap: Length = 0.0


class UserTrain(Part):
    """A train of the engineer's own (a permit vehicle, an owner's loading).

    `width`: carriageway width it takes; `lanes`: how many stand side by side at most;
    `uniform`: load per square metre on the lane with it; `factors`: multiple presence for 1, 2, ...
    """

    name: str
    axles: Annotated[list[UserAxle], Field(min_length=1)]
    track: PositiveLength = 1.8
    width: PositiveLength = 3.0
    edge: Length = 0.0
    lanes: Annotated[int, Field(ge=1, le=8)] = 1
    factors: list[PositiveFactor] = [1.0]
    dynamic: PositiveFactor = 1.0
    uniform: Annotated[float, quantity("Pa", minimum=0.0)] = 0.0
    follow: PositiveLength | None = None
    like: str | None = None  # traffic group of the family whose factors it takes; None: the first


class Track(Part):
    """A railway track: offset of its centre line, speed, line class factor alpha, eccentricity."""

    offset: Offset = 0.0
    speed: Speed = 33.3
    alpha: PositiveFactor = 1.0
    eccentricity: Length = 0.0


class Traffic(Part):
    """Where traffic runs and which models. `models`: names of the family's models; None: usual."""

    right: Offset | None = None  # y of the right edge of the carriageway (the smaller y)
    left: Offset | None = None
    tracks: list[Track] = []
    models: list[str] | None = None
    speed: Speed = 22.2
    trains: list[UserTrain] = []
    start: Offset | None = None  # loaded chainages; None: whole deck
    end: Offset | None = None


class TemperatureAction(Part):
    """Shade air temperatures and the temperature at which bearings are set."""

    air_min: Temperature
    air_max: Temperature
    setting: Temperature | None = None
    surfacing: Length = 0.05


class Wind(Part):
    """Simplified wind: basic speed or pressure; `depth`: exposed depth without traffic."""

    speed: Speed | None = None
    pressure: Pressure | None = None
    depth: PositiveLength | None = None
    drag: PositiveFactor | None = None


class Settlement(Part):
    """A support that goes down by `value`; each support is an alternative of the action."""

    support: Mark
    value: PositiveLength


class Shrinkage(Part):
    """Free shortening strain of the concrete (positive number = shortening)."""

    strain: Annotated[float, Field(ge=0.0, le=0.002)] = 0.0
    creep_strain: Annotated[float, Field(ge=0.0, le=0.002)] = 0.0


class Lengthening(Part):
    """Prescribed change of length of a group of members (camber, lack of fit): strain +longer."""

    members: str  # group of members (top_chord, bottom_chord, ...) or a member of a frame table
    strain: Factor
    label: str = ""


class Jacking(Part):
    """A seat lifted (+) on purpose by `lift` in the finished bridge."""

    seat: str
    lift: Offset


class Seismic(Part):
    """Equivalent static earthquake: for each family what it asks for (see the page on standards).

    A family without entries gets no earthquake.
    """

    eurocode: dict[str, Factor | str | bool] = {}
    aashto: dict[str, Factor | str | bool] = {}
    irc: dict[str, Factor | str | bool] = {}


class Actions(Part):
    """Everything that acts besides the permanent loads of the stages."""

    traffic: Traffic | None = None
    temperature: TemperatureAction | None = None
    wind: Wind | None = None
    settlement: list[Settlement] = []
    shrinkage: Shrinkage | None = None
    lengthening: list[Lengthening] = []
    jacking: list[Jacking] = []
    seismic: Seismic | None = None
    friction: bool = True


# ------------------------------------------------------------------ arrangement
Function = Literal["fixed", "guided along", "guided across", "free", "elastic", "none"]

#: What a bearing is; decides its friction here and its parts later.
BearingKind = Literal[
    "single roller",
    "roller nest",
    "hardened roller",
    "rocker on nest",
    "line rocker",
    "point rocker",
    "pin",
    "laminated elastomeric",
    "pot",
    "pot on slide",
    "spherical",
    "cylindrical",
    "disc",
    "plane sliding",
    "guide",
    "uplift restraint",
]


class Stops(Part):
    """Movement from the place of setting to the stops, each way, along a bearing's own x' and y'.

    None: no stop that way. `back`, `ahead` along x' (against it, with it); `right`, `left` along
    y'.
    """

    back: Length | None = None
    ahead: Length | None = None
    right: Length | None = None
    left: Length | None = None


class Seat(Part):
    """The bearing of one seat.

    `function`: fixed; guided along (moves along its x', held across); guided across; free; elastic
    (springs `stiffness`); none (no bearing there). `direction`: of its x': axis (tangent of the
    reference line at the support), tangent (of the girder line itself), toward fixed point, square
    (square to the support line), or an angle from the axis. `uplift`: held against lifting.
    `kind`: for friction (roller, sliding, pot, spherical, elastomeric, rocker, pin, ...). `play`
    and `travel` count where the path of movement is followed and where faults are tried, not in
    the envelopes of the schedule.
    """

    function: Function
    direction: Literal["axis", "tangent", "toward fixed point", "square"] | Angle = "axis"
    kind: BearingKind | None = None
    friction: Annotated[float, Field(ge=0.0, le=0.6)] | None = None
    uplift: bool = False
    stiffness: Springs6 | None = None  # in its own axes; a direction left out follows `function`
    hold_rotation: list[Literal["x", "y", "z"]] = []  # rotations held, in its own axes
    play: Length = 0.0  # clearance of guides or pin, each side of the middle, where held
    travel: Stops | None = None  # where movement ends at stops; None: no stops


class Arrangement(Part):
    """Functions of all bearings: `seats` by mark; `supports` for a whole line, left to right by y.

    A function of a whole line is a list over its seats from right (smallest y) to left, or one word
    for all. `set_at`: stage at which the bearings are set (movements and horizontal forces of
    this and earlier stages are not theirs). `fixed_point`: seat or support mark that is the fixed
    point for directions; None: the seat with function fixed.
    """

    name: str = "as drawn"
    set_at: str | None = None
    fixed_point: str | None = None
    supports: dict[str, list[Function] | Function] = {}
    direction: Literal["axis", "tangent", "toward fixed point", "square"] | Angle = "axis"
    kinds: dict[Function, BearingKind] = {}
    seats: dict[str, Seat] = {}


# ------------------------------------------------------------------ comparison
class Pinned(Part):
    """An arrangement picked by hand, to be set beside the file's own: as `Arrangement`.

    What it leaves out is as in the file's arrangement: `supports` and `seats` given here replace
    those of the same mark, `kinds` the kinds of the same function.
    """

    name: Annotated[str, Field(min_length=1, max_length=60)]
    supports: dict[str, list[Function] | Function] = {}
    seats: dict[str, Seat] = {}
    kinds: dict[Function, BearingKind] = {}
    fixed_point: str | None = None


class Rules(Part):
    """Which arrangements are tried: at every support which seats hold along and which across.

    A seat that holds both is fixed, along only guided across, across only guided along. Where
    single spans meet on a pier, each span stands on a line of seats of its own: every separate
    piece of the superstructure has the supports that it stands on, and the numbers hold for each
    piece by itself.

    - `supports_along`: least and largest number of supports that hold a piece along
    - `along`: least and largest number of seats that hold along on such a support
    - `across`: least and largest number of seats that hold across on each support
    - `neighbours`: seats of one support that hold along stand side by side (seats without a bearing
      are passed over)
    - `only_along`: supports that may hold along; None: all
    - `only_across`: lines (from 1 at the right) that may hold across; None: all
    - `keep`: functions of single seats that are not varied. Seats that are on springs or have no
      bearing in the file's own arrangement stay so unless they are named here. A line all of whose
      seats are kept is taken as it is, whatever the numbers ask
    - `exclude`: functions that single seats never have
    - `largest`: number of arrangements above which the question is refused
    """

    supports_along: Annotated[list[Count], Field(min_length=2, max_length=2)] = [1, 1]
    along: Annotated[list[PositiveCount], Field(min_length=2, max_length=2)] = [1, 40]
    across: Annotated[list[Count], Field(min_length=2, max_length=2)] = [1, 1]
    neighbours: bool = True
    only_along: list[str] | None = None
    only_across: list[PositiveCount] | None = None
    keep: dict[str, Function] = {}
    exclude: dict[str, list[Function]] = {}
    largest: Annotated[int, Field(ge=1, le=10_000_000)] = 100_000


class Compare(Part):
    """What is compared with the arrangement of the file.

    `objective`: what is to be small, in the words of `bedstone compare`; `limits`: such as
    "A1.Hx < 800 kN"; `pinned`: arrangements picked by hand.
    """

    objective: str | None = None
    limits: list[str] = []
    rules: Rules = Rules()
    pinned: list[Pinned] = []


class Faults(Part):
    """How large the single faults are that `bedstone what-if` tries; None: not tried.

    The defaults are round figures to ask with, not values of a standard. `drop`, `lift`: a seat too
    low or too high; `setting_error`: bearings set at a temperature that much off (K); `friction`:
    factor on the friction of a bearing; `soft`: factor on the stiffness below a support; `skew`:
    a roller or guide out of its direction (rad); `play`: guides of a seat that are worn by so much
    each side; `gap_left`: movement left to a stop that has closed up.
    """

    drop: PositiveLength | None = 0.010
    lift: PositiveLength | None = 0.010
    setting_error: Annotated[float, quantity("K", above=0.0)] | None = 15.0
    friction: PositiveFactor | None = 2.0
    soft: PositiveFactor | None = 0.5
    skew: Annotated[float, quantity("rad", above=0.0)] | None = math.radians(2.0)
    seized: bool = True
    turned: bool = True
    unseated: bool = True
    stop: bool = True
    play: PositiveLength | None = None
    gap_left: Length = 0.0


class Spread(Part):
    """How a quantity is spread: its distribution and two figures.

    normal: `a` mean, `b` standard deviation; lognormal: `a` median, `b` standard deviation of the
    logarithm; uniform: from `a` to `b`; triangular: from `a` to `b` with the `mode` between;
    fixed: `a`.
    """

    shape: Literal["normal", "lognormal", "uniform", "triangular", "fixed"]
    a: Factor
    b: Factor | None = None
    mode: Factor | None = None


class Uncertainty(Part):
    """Spreads for `bedstone chance`; what is left out does not vary.

    - `friction`: factor on the adverse coefficient of friction of all moving bearings together
    - `stiffness`: factor on the stiffness below every pier, each on its own
    - `coldest`, `warmest`: lowest and highest effective temperature of the bridge, degC
    - `setting`: temperature at which the bearings are set, degC
    - `play`: clearance of guides, mm, each seat on its own
    - `limits`: such as "A1-1.vx < 60 mm" or "A1.Hx < 800 kN"
    """

    samples: Annotated[int, Field(ge=16, le=1_000_000)] = 1024
    seed: Annotated[int, Field(ge=0)] = 1
    confidence: Annotated[float, Field(gt=0.5, lt=1.0)] = 0.95
    friction: Spread | None = None
    stiffness: Spread | None = None
    coldest: Spread | None = None
    warmest: Spread | None = None
    setting: Spread | None = None
    play: Spread | None = None
    limits: list[str] = []


# ------------------------------------------------------------------ bearings
class GivenBearing(Part):
    """A bearing that stands or is proposed, to be checked as it is: its kind and its sizes.

    `sizes`: by the names of the kind; text with a unit where a size has one, else numbers, words.
    """

    seat: str
    kind: BearingKind
    sizes: dict[str, Factor | str | bool] = {}


class Bearings(Part):
    """What the design of the bearings rests on besides the schedule.

    `concrete_below`, `concrete_above`: characteristic cylinder strengths (Pa); without the latter
    the superstructure is steel above the bearing, or concrete as below where it is a concrete deck.
    `plinth_along`, `plinth_across`: concrete below that may spread the load, in the bearing's axes.
    `kinds`: by mark of a seat or of a support; `options`: by the names of the kinds.
    """

    concrete_below: Strength = 30e6
    concrete_above: Strength | None = None
    plinth_along: PositiveLength | None = None
    plinth_across: PositiveLength | None = None
    kinds: dict[str, BearingKind] = {}
    options: dict[str, Factor | str | bool] = {}
    given: list[GivenBearing] = []


# ------------------------------------------------------------------ replacement
class JackPlace(Part):
    """Where a jack stands from the centre of its bearing: along the bridge, across to the left."""

    along: Offset = 0.0
    across: Offset = 0.0


class Jacks(Part):
    """The jacks beside every bearing of a support, or of one seat, which comes before its support.

    `at`: mark of a support or a seat; `places`: of the jacks of each bearing; `stiffness` of one
    jack (None: rigid); `capacity`: rated, of one jack; `stroke`; `closed_height` of a jack with its
    plates; `headroom`: clear height in which it stands.
    """

    at: str
    places: Annotated[list[JackPlace], Field(min_length=1, max_length=8)] = [JackPlace()]
    stiffness: TranslationStiffness | None = None
    capacity: Annotated[float, quantity("N", above=0.0)] | None = None
    stroke: PositiveLength | None = None
    closed_height: PositiveLength | None = None
    headroom: PositiveLength | None = None


class Replacement(Part):
    """How bearings are lifted free to be replaced: for `bedstone replace`.

    Without jacks one rigid jack stands at the centre of each bearing. `lift`: most the
    superstructure may be lifted (None: the usual); `clearance`: opening over the unloaded bearing
    to take it out (None: the usual); `traffic`: kept on while it is lifted.
    """

    lift: PositiveLength | None = None
    clearance: PositiveLength | None = None
    traffic: bool = False
    jacks: list[Jacks] = []


class Confirmed(Part):
    """A value of a standard replaced or confirmed by the engineer, by its name in the pack."""

    value: Factor | list[Factor]
    unit: str = ""
    source: Annotated[str, Field(min_length=3)]


class Bridge(Part):
    """The whole bridge file."""

    bridge: Head
    alignment: Alignment = Alignment()
    support: Annotated[list[Support], Field(min_length=1)]
    materials: Materials = Materials()
    superstructure: Superstructure
    stage: list[Stage] = []
    actions: Actions = Actions()
    arrangement: Arrangement
    bearings: Bearings = Bearings()
    compare: Compare = Compare()
    faults: Faults = Faults()
    uncertainty: Uncertainty | None = None
    replacement: Replacement = Replacement()
    choices: dict[FamilyName, dict[str, Factor | str | bool]] = {}
    values: dict[str, Confirmed] = {}
