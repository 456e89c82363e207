"""EN 1990, section 6 and annex A2: combinations of actions for road and rail bridges."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from bedstone.errors import BedstoneError
from bedstone.standards.combination import (
    TRAFFIC,
    Combination,
    LimitState,
    Term,
    distinct,
    short,
)
from bedstone.standards.eurocode.factors import National, gamma, gamma_pair, psi
from bedstone.standards.family import ACTIONS
from bedstone.standards.values import Values

#: Key of the combination factors (psi) of each traffic group.
_PSI: dict[str, str] = {
    "gr1a": "tandem",  # its combination and frequent values are groups of their own
    "gr1b": "gr1b",
    "gr2": "gr2",
    "gr4": "gr4",
    **dict.fromkeys(("gr11", "gr12", "gr13", "gr14", "gr15"), "rail_one_track"),
    **dict.fromkeys(("gr16", "gr17"), "rail_sw2"),
    **dict.fromkeys(("gr21", "gr22", "gr23", "gr24", "gr26", "gr27"), "rail_two_tracks"),
}
_REDUCED = ("gr1a reduced", "gr1a frequent")
_ROAD = frozenset(("gr1a", "gr1b", "gr2", "gr4", *_REDUCED))
#: Road groups with which wind is not combined (EN 1990, A2.2.2).
_NO_WIND = frozenset(("gr1b", "gr2", "gr4"))
#: Rank of psi_0, psi_1, psi_2 in a row of combination factors.
_COMBINATION, _FREQUENT, _QUASI_PERMANENT = range(3)


@dataclass(frozen=True)
class _Share:
    """A variable action with the factor psi it enters a combination with."""

    action: str
    factor: float


@dataclass(frozen=True)
class _Case:
    """Variable actions of one combination; the first one leads. None: permanent actions alone."""

    shares: tuple[_Share, ...]

    @property
    def leading(self) -> str:
        return self.shares[0].action if self.shares else ""

    @property
    def name(self) -> str:
        """`gr1a + 0.6 wind`."""
        if not self.shares:
            return "permanent actions"
        return " + ".join(
            (f"{share.factor:g} " if share.factor != 1.0 else "") + _called(share.action)
            for share in self.shares
        )


def _called(action: str) -> str:
    return "wind" if action == "wind with traffic" else short(action)


@dataclass(frozen=True)
class _Factors:
    """All factors of one run and the actions present."""

    values: Values
    national: National
    present: frozenset[str]

    @property
    def groups(self) -> tuple[str, ...]:
        """Traffic groups that may lead, by name."""
        names = (short(action) for action in self.present if _is_traffic(action))
        return tuple(sorted(name for name in names if name not in _REDUCED))

    @property
    def is_road(self) -> bool:
        """Whether the rules of roads hold (they also do without any traffic)."""
        return all(short(action) in _ROAD for action in self.present if _is_traffic(action))

    def psi(self, action: str, rank: int) -> float:
        """psi_0, psi_1 or psi_2 of a variable action."""
        if action in ("wind", "wind with traffic"):
            key = "wind_road" if self.is_road else "wind_rail"
        elif action == "thermal":
            key = "thermal"
        else:
            key = _PSI[short(action)]
        return psi(self.values, self.national, key)[rank]

    def share(self, action: str, rank: int) -> tuple[_Share, ...]:
        """The action at its combination, frequent or quasi-permanent value, if there is anything.

        gr1a has groups of its own for the first two, because its parts have different factors.
        """
        if action == f"{TRAFFIC}gr1a" and rank != _QUASI_PERMANENT:
            action = f"{TRAFFIC}{_REDUCED[rank]}"
            factor = 1.0
        else:
            factor = self.psi(action, rank)
        return (_Share(action, factor),) if action in self.present and factor > 0.0 else ()

    def partial(self, action: str) -> float:
        """gamma_Q of a variable action, ultimate limit state, persistent situation."""
        if _is_traffic(action):
            group = short(action)
            if group in _ROAD:
                key = "road"
            else:
                key = "rail_sw2" if _PSI[group] == "rail_sw2" else "rail"
        else:
            key = "wind" if action == "wind with traffic" else action
        return gamma(self.values, self.national, key)


def _is_traffic(action: str) -> bool:
    return action.startswith(TRAFFIC)


def _characteristic_cases(factors: _Factors) -> Iterator[_Case]:
    """Leading action in full, others at their combination value (6.10, 6.14b; annex A2.2).

    Roads: wind and temperature are not combined, nor wind with gr1b, gr2 or crowds (A2.2.2).
    Railways: both accompany together. Wind in full leaves no traffic on the bridge.
    """
    thermal = factors.share("thermal", _COMBINATION)
    gust = factors.share("wind with traffic", _COMBINATION)
    for group in factors.groups:
        lead = (_Share(f"{TRAFFIC}{group}", 1.0),)
        if not factors.is_road:
            yield _Case(lead + gust + thermal)
            continue
        windy = gust if group not in _NO_WIND else ()
        if windy:
            yield _Case(lead + windy)
        if thermal or not windy:
            yield _Case(lead + thermal)
    if "thermal" in factors.present:
        lead = (_Share("thermal", 1.0),)
        yield _Case(lead)
        for group in factors.groups:
            traffic = factors.share(f"{TRAFFIC}{group}", _COMBINATION)
            if traffic:
                yield _Case(lead + traffic + (() if factors.is_road else gust))
    if "wind" in factors.present:
        yield _Case((_Share("wind", 1.0),) + (() if factors.is_road else thermal))


def _frequent_cases(factors: _Factors) -> Iterator[_Case]:
    """Leading action at its frequent value, others quasi-permanent (6.15b)."""
    thermal = factors.share("thermal", _QUASI_PERMANENT)
    for group in factors.groups:
        lead = factors.share(f"{TRAFFIC}{group}", _FREQUENT)
        if lead:
            yield _Case(lead + thermal)
    lead = factors.share("thermal", _FREQUENT)
    if lead:
        yield _Case(lead)
    lead = factors.share("wind", _FREQUENT)
    if lead:
        yield _Case(lead + (() if factors.is_road else thermal))


def _quasi_permanent_cases(factors: _Factors) -> Iterator[_Case]:
    """All variable actions at their quasi-permanent value (6.16b)."""
    groups = [factors.share(f"{TRAFFIC}{group}", _QUASI_PERMANENT) for group in factors.groups]
    thermal = factors.share("thermal", _QUASI_PERMANENT)
    for traffic in (*groups, ()):
        if traffic + thermal:
            yield _Case(traffic + thermal)


def _permanent_terms(factors: _Factors, kind: str) -> Iterator[Term]:
    """Permanent actions: `kind` is ``1`` (all in full), ``B`` (strength) or ``A`` (equilibrium).

    Settlement and shrinkage may still be to come, so they never relieve.
    """
    for action in ("permanent", "surfacing", "settlement", "shrinkage", "jacking"):
        if action not in factors.present:
            continue
        if action in ("settlement", "shrinkage"):
            adverse = 1.0 if kind == "1" else gamma(factors.values, factors.national, action)
            yield Term(action, adverse, 0.0)
            continue
        if kind == "1":
            yield Term(action, 1.0, 1.0)
            continue
        key = f"{action}_equ" if kind == "A" and action != "jacking" else action
        yield Term(action, *gamma_pair(factors.values, factors.national, key))


def _friction(factors: _Factors, factor: float) -> tuple[Term, ...]:
    """Friction comes with every movement, so it stands beside all variable actions."""
    return (Term("friction", factor, 0.0),) if "friction" in factors.present else ()


def _ultimate(
    factors: _Factors, case: _Case, kind: str, thermal_movement: float | None
) -> Combination:
    """One combination (6.10): set B for strength, set A for equilibrium (uplift of bearings)."""
    permanent = tuple(_permanent_terms(factors, kind))
    friction = _friction(factors, gamma(factors.values, factors.national, "friction"))

    def terms(thermal: float | None) -> tuple[Term, ...]:
        variable = tuple(
            Term(
                share.action,
                share.factor
                * (
                    thermal
                    if thermal is not None and share.action == "thermal"
                    else factors.partial(share.action)
                ),
                0.0,
            )
            for share in case.shares
        )
        return permanent + variable + friction

    # Set A decides about loss of equilibrium alone: its forces design nothing (6.4.1(1)).
    strength = kind == "B"
    return Combination(
        name=f"ULS {'6.10' if strength else 'equilibrium'} {case.name}",
        limit_state="ULS persistent" if strength else "ULS equilibrium",
        clause=f"EN 1990, 6.4.3.2 (6.10), Table A2.4({kind})",
        terms=terms(None),
        leading=case.leading,
        movement_terms=None if thermal_movement is None else terms(thermal_movement),
    )


def _unfactored(
    factors: _Factors, state: LimitState, label: str, clause: str, case: _Case
) -> Combination:
    """A combination in which every partial factor is 1."""
    terms = (
        *_permanent_terms(factors, "1"),
        *(Term(share.action, share.factor, 0.0) for share in case.shares),
        *_friction(factors, 1.0),
    )
    return Combination(f"{label} {case.name}", state, clause, terms, case.leading)


def _seismic_cases(factors: _Factors, severe_traffic: bool) -> Iterator[_Case]:
    """The earthquake with quasi-permanent temperature and, with severe traffic, psi_21 traffic."""
    if "seismic" not in factors.present:
        return
    earthquake = (_Share("seismic", 1.0),)
    thermal = factors.share("thermal", _QUASI_PERMANENT)
    yield _Case(earthquake + thermal)
    if severe_traffic:
        use = "road" if factors.is_road else "rail"
        share = factors.values.number(f"seismic.traffic.{use}")
        for group in ("gr1a", "gr11", "gr21"):
            if group in factors.groups:
                yield _Case((*earthquake, _Share(f"{TRAFFIC}{group}", share), *thermal))


def combinations(
    values: Values,
    present: Collection[str],
    national: National = "recommended",
    severe_traffic: bool = False,
    thermal_movement: float | None = None,
) -> tuple[Combination, ...]:
    """All combinations of the actions `present`; absent actions and duplicates are dropped.

    `severe_traffic`: traffic shakes with the bridge (psi_21). `thermal_movement`: partial factor
    of temperature for movements alone, where it is not gamma of the forces (EN 1993-2 annex A).
    The accidental combinations hold no accidental action: they are for the state after the event
    (6.11b with A_d = 0), e.g. with a bearing lost. Raises `BedstoneError` for an unknown action.
    """
    _require_known(present)
    factors = _Factors(values, national, frozenset(present))
    found = [
        Combination(
            "Permanent",
            "permanent",
            "EN 1990, 4.1",
            tuple(_permanent_terms(factors, "1")),
        )
    ]
    alone = [_Case(())]  # a bridge with nothing variable on it still has its ultimate limit state
    characteristic = list(_characteristic_cases(factors)) or alone
    found += [
        _unfactored(
            factors, "SLS characteristic", "SLS characteristic", "EN 1990, 6.5.3 (6.14b)", case
        )
        for case in characteristic
    ]
    found += [
        _unfactored(factors, "SLS frequent", "SLS frequent", "EN 1990, 6.5.3 (6.15b)", case)
        for case in _frequent_cases(factors)
    ]
    found += [
        _unfactored(
            factors, "SLS quasi-permanent", "SLS quasi-permanent", "EN 1990, 6.5.3 (6.16b)", case
        )
        for case in list(_quasi_permanent_cases(factors)) or alone
    ]
    found += [
        _ultimate(factors, case, kind, thermal_movement)
        for kind in ("B", "A")
        for case in characteristic
    ]
    found += [
        _unfactored(
            factors, "ULS accidental", "ULS 6.11 after the event", "EN 1990, 6.4.3.3 (6.11b)", case
        )
        for case in _frequent_cases(factors)
    ]
    found += [
        _unfactored(factors, "ULS seismic", "ULS 6.12", "EN 1990, 6.4.3.4 (6.12b)", case)
        for case in _seismic_cases(factors, severe_traffic)
    ]
    return distinct(found, present)


def _require_known(present: Collection[str]) -> None:
    known = {*ACTIONS, *(f"{TRAFFIC}{group}" for group in (*_PSI, *_REDUCED))}
    unknown = sorted(set(present) - known)
    if unknown:
        raise BedstoneError(f"EN 1990 combines no action named {', '.join(unknown)}")
