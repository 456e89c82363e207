"""Makes the logs of this folder: `python examples/site/logs/make.py [FOLDER]`.

A year, hour by hour, of both movable bearings of examples/truss.toml. All of it is MADE UP: nothing
was measured on any bridge. `LOGS` says which bearing does what; formulas and usual numbers stand in
bedstone.site.synthetic.
"""

import sys
from pathlib import Path

from bedstone.articulation.prepared import prepare
from bedstone.bridge import read_bridge
from bedstone.site.setting import settings
from bedstone.site.synthetic import DAY, START, Made, as_csv, make, times, usual, weather

HERE = Path(__file__).resolve().parent
BRIDGE = HERE.parents[1] / "truss.toml"
DAYS, SEED = 365.0, 2024

#: File and what the bearings A2-1 and A2-2 do.
LOGS = {
    "free": ("free", "free"),
    "sluggish": ("sluggish", "free"),
    "frozen": ("frozen", "free"),
    "ratcheting": ("ratcheting", "free"),
    "wrong-preset": ("wrong preset", "free"),
    "pier-moved": ("pier moved", "pier moved"),
}
SEATS = ("A2-1", "A2-2")


def logs() -> dict[str, tuple[Made, ...]]:
    """Every log by the name of its file, with its truth."""
    expected = {item.seat: item for item in settings(prepare(read_bridge(BRIDGE)), "eurocode")}
    time = times(START, DAYS)
    of = weather(START - DAY, int(time[-1]), SEED)
    return {
        name: tuple(
            make(
                seat,
                usual(mode, expected[seat].growth.own[0], datum=expected[seat].datum),
                time,
                of,
                SEED + number,
            )
            for number, (seat, mode) in enumerate(zip(SEATS, modes, strict=True), 1)
        )
        for name, modes in LOGS.items()
    }


def title(name: str) -> str:
    """The first words of a file."""
    did = ", ".join(f"{seat} {mode}" for seat, mode in zip(SEATS, LOGS[name], strict=True))
    return f"Log for the example truss: {did}"


def main(folder: Path) -> None:
    for name, made in logs().items():
        (folder / f"{name}.csv.gz").write_bytes(as_csv(title(name), made))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
