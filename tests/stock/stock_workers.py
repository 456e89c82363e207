"""Work for the workers of the tests: quick, and killed, slow or greedy where it is told to.

A worker is another process, so what it is to do stands in the bytes of the bridge file: the words
of its first line.
"""

import os
import signal
import tempfile
import time
from pathlib import Path

from bedstone.stock.tables import gathered
from bedstone.stock.task import Answer, Task, digest, program


def rows_of(task: Task, state: str = "done") -> Answer:
    """Rows that depend on the bytes of the task alone."""
    number = float(len(task.files[0][1])) / 7.0
    head = {"bridge": task.path, "state": state, "name": f"bridge {number:.1f}"}
    seat = {"bridge": task.path, "seat": "A1-1", "N_min_N": number, "uplift_margin": number / 9.0}
    rows = {"bridges": gathered("bridges", [head]), "seats": gathered("seats", [seat])}
    return Answer(rows, digest(rows), program())


def told(task: Task) -> list[str]:
    return task.files[0][1].decode().split("\n")[0].lstrip("# ").split()


def quick(task: Task) -> Answer:
    """Rows, and one letter a call in the file that the first line names: ``count FILE``."""
    words = told(task)
    if words[:1] == ["count"]:
        with Path(words[1]).open("a", encoding="utf-8") as stream:
            stream.write("x")
    return rows_of(task)


def troubled(task: Task) -> Answer:
    """Do what the first line says.

    ``kill FILE`` dies where FILE is not there, and makes it; ``die`` always; ``litter`` leaves a
    file and dies; ``leave`` ends by itself; ``sleep S``; ``grow BYTES``; ``fail``; ``pid FOLDER``
    leaves its number there; ``meet FOLDER N`` too, and waits for N numbers.
    """
    match told(task):
        case ["kill", file] if not Path(file).exists():
            Path(file).write_text("died once", encoding="utf-8")
            os.kill(os.getpid(), signal.SIGKILL)
        case ["die"]:
            os.kill(os.getpid(), signal.SIGKILL)
        case ["litter"]:
            Path(tempfile.mkdtemp(), "half").write_text("of a file", encoding="utf-8")
            os.kill(os.getpid(), signal.SIGKILL)
        case ["leave"]:
            os._exit(7)
        case ["sleep", seconds]:
            time.sleep(float(seconds))
        case ["grow", size]:
            held = bytearray(int(size))
            held[::4096] = b"x" * len(held[::4096])
            time.sleep(30.0)
        case ["fail"]:
            return Answer({}, "", program(), broken="ZeroDivisionError: on purpose")
        case ["meet", folder, number]:
            (Path(folder) / str(os.getpid())).touch()
            while len(list(Path(folder).iterdir())) < int(number):
                time.sleep(0.01)
        case ["pid", folder]:
            (Path(folder) / str(os.getpid())).touch()
            time.sleep(0.05)
    return quick(task)
