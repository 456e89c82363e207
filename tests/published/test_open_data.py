"""The way of a log, from file to line, with measured data whose line is certified.

Source: NIST Statistical Reference Datasets, linear regression: Norris (ozone monitors, 36 readings,
one line) and Pontius (deflection of a load cell, 40 readings, a parabola), National Institute of
Standards and Technology, data in the public domain. Data and certified values as several open
programs carry them for their own tests, SciPy's linear regression (Norris) and the GNU Scientific
Library (both) among them; the pages of the institute were not open to us.

No open log of a bearing's movement with its temperature was found in any package of a registry:
see docs/logs.md. These data have nothing to do with bridges; they hold the arithmetic.
"""

import duckdb
import numpy as np
import pytest
from scipy.stats import t as student

from bedstone.site.log_files import LogForm, load_log, series_of
from bedstone.site.monitoring.fit import prepare, visits
from bedstone.site.monitoring.normal import solve

SOURCE = "NIST Statistical Reference Datasets, linear regression"
KNOWN = "quoted second hand"

NORRIS_X = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4,
    0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3,
    0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
]  # fmt: skip
NORRIS_Y = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3,
    0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3,
    0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
]  # fmt: skip
#: Certified: slope, constant, their standard errors, standard deviation of the residuals.
NORRIS = {
    "slope": 1.00211681802045, "slope error": 0.429796848199937e-03,
    "constant": -0.262323073774029, "constant error": 0.232818234301152,
    "residual": 0.884796396144373,
}  # fmt: skip
#: So that the readings are temperatures that steel can have: x / 20 in degC, y in mm.
SCALE = 20.0

PONTIUS_X = np.tile(np.arange(150_000.0, 3_000_001.0, 150_000.0), 2)
PONTIUS_Y = np.array([
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146,
    1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
    0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150,
    1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
])  # fmt: skip
PONTIUS = (0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14)
PONTIUS_ERRORS = (0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16)
PONTIUS_RESIDUAL = 0.205177424076185e-03


@pytest.fixture(scope="module")
def norris(tmp_path_factory):
    """The fit of a log that says what Norris says, read from a file."""
    path = tmp_path_factory.mktemp("logs") / "norris.csv"
    rows = "".join(
        f"2025-01-{1 + i // 24:02d}T{i % 24:02d}:00Z,A2-1,{y!r},{x / SCALE!r}\n"
        for i, (x, y) in enumerate(zip(NORRIS_X, NORRIS_Y, strict=True))
    )
    path.write_text("time,seat,movement [mm],temperature [degC]\n" + rows)
    with duckdb.connect() as connection:
        assert load_log(connection, path, wanted=LogForm(("A2-1",))).rows == 36
        (series,) = series_of(connection, "incoming")
    return visits(prepare(series.time, series.movement, series.temperature), 0.0)


def error(interval):
    """Standard error behind an interval of 95 % with 34 degrees of freedom."""
    return interval.half / student.ppf(0.975, 34)


def test_norris_through_a_log(published, norris):
    """To nine digits: the movement comes in as mm and is kept in m."""
    slope, constant = norris.slope, norris.offset(0.0)
    found = {
        "slope": slope.value * 1e3 / SCALE, "slope error": error(slope) * 1e3 / SCALE,
        "constant": constant.value * 1e3, "constant error": error(constant) * 1e3,
        "residual": norris.scatter * 1e3,
    }  # fmt: skip
    for what, figure in NORRIS.items():
        published(f"Norris, {what}", figure, found[what], rel=1e-9)


def test_pontius_by_sums_of_products(published):
    """Sums of products lose half of the digits; seven are left of the smallest term."""
    columns = np.stack([np.ones(40), PONTIUS_X, PONTIUS_X**2], axis=1)
    square = float(PONTIUS_Y @ PONTIUS_Y)
    solved = solve(columns.T @ columns, columns.T @ PONTIUS_Y, square, 40.0)
    errors = np.sqrt(np.diag(solved.inverse) * solved.rss / 37.0)
    for power, (figure, certified) in enumerate(zip(PONTIUS, PONTIUS_ERRORS, strict=True)):
        published(f"Pontius, term {power}", figure, solved.beta[power], rel=1e-7)
        published(f"Pontius, error of term {power}", certified, errors[power], rel=1e-6)
    published("Pontius, residual", PONTIUS_RESIDUAL, np.sqrt(solved.rss / 37.0), rel=1e-6)
