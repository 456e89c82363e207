"""EN 1993-1-8, 6.2.2: anchor bolts of a bearing in shear and tension; dowels in shear."""

from __future__ import annotations

from bedstone.errors import Fault, InputError
from bedstone.standards.clause import state
from bedstone.standards.fasteners import Fastener
from bedstone.standards.record import Line, Quantity
from bedstone.standards.values import Values


def shear_resistance(values: Values, stress_area: float, fy: float, fu: float) -> float:
    """F2,vb = alpha_b fub As/gamma_M2 (N), alpha_b = 0.44 - 0.0003 fyb (6.2.2 (7)).

    Raises `InputError` for a yield strength outside 235 to 640 MPa, where the clause is silent.
    """
    a, b = values.row("anchors.shear")
    low, high = values.row("anchors.shear.limits")
    if not low * (1 - 1e-9) <= fy <= high * (1 + 1e-9):
        raise InputError(
            [
                Fault(
                    "bearing",
                    "anchor grade",
                    f"yield strength {fy / 1e6:g} MPa",
                    f"{low / 1e6:g} to {high / 1e6:g} MPa (EN 1993-1-8, 6.2.2 (7))",
                )
            ]
        )
    alpha = a - b * fy / 1e6
    return alpha * fu * stress_area / values.number("anchors.gamma_M2")


def anchor(values: Values, shear: float, tension: float, bolt: Fastener) -> Line:
    """One anchor bolt under `shear` and `tension` (N); the stress area counts.

    The steel alone: the concrete around the anchor is a matter of EN 1992-4 and of the pier.
    """
    v_rd = shear_resistance(values, bolt.stress_area, bolt.fy, bolt.fu)
    t_rd = (
        values.number("anchors.tension")
        * bolt.fu
        * bolt.stress_area
        / values.number("anchors.gamma_M2")
    )
    both = shear / v_rd + tension / (values.number("anchors.interaction") * t_rd)
    use = max(shear / v_rd, tension / t_rd, both)
    return state(
        values,
        (
            "anchors.shear",
            "anchors.shear.limits",
            "anchors.tension",
            "anchors.interaction",
            "anchors.gamma_M2",
        ),
        title="Anchor bolt",
        formula="max(Fv/F2,vb, Ft/Ft,Rd, Fv/F2,vb + Ft/(1.4 Ft,Rd)) <= 1",
        inputs=(
            Quantity("Fv", shear, "N"),
            Quantity("Ft", tension, "N"),
            Quantity("F2,vb", v_rd, "N"),
            Quantity("Ft,Rd", t_rd, "N"),
        ),
        result=Quantity("use", use, ""),
        limit=Quantity("limit", 1.0, ""),
        utilisation=use,
        note="steel only; anchorage in the concrete is designed with the pier (EN 1992-4)",
    )


def dowel(values: Values, shear: float, bar: Fastener) -> Line:
    """A round dowel in single shear: 0.6 A fu/gamma_M2 as of a pin (Table 3.10)."""
    limit = (
        values.number("anchors.dowel.shear") * bar.fu * bar.area / values.number("anchors.gamma_M2")
    )
    return state(
        values,
        ("anchors.dowel.shear", "anchors.gamma_M2"),
        title="Dowel in shear",
        formula="Fv <= 0.6 A fu/gamma_M2",
        inputs=(Quantity("A", bar.area, "m**2"), Quantity("fu", bar.fu, "Pa")),
        result=Quantity("Fv", shear, "N"),
        limit=Quantity("Fv,Rd", limit, "N"),
        utilisation=shear / limit,
    )
