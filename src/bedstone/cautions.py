"""The caution that goes with every result: in the documents, the reports and the pages."""

from typing import Final

__all__ = ["FULL", "MADE_UP", "SHORT"]

SHORT: Final = (
    "Results are an aid for qualified engineers and must be checked independently before use."
)

FULL: Final = (
    "Bedstone is an aid for qualified engineers; it does not replace their judgement. "
    "Every result must be checked independently before anything is designed, ordered, built "
    "or operated on it. The codes in force at the site, their national choices and the "
    "decisions of the licensed engineer of record govern over anything printed here. "
    'Values marked "memory" were not read from a printed standard and must be confirmed '
    "against the printed clause. The software comes without warranty of any kind."
)

#: What every file of a stock that was made up says of itself.
MADE_UP: Final = "MADE UP: no such bridge stands anywhere, and nothing here was measured."
