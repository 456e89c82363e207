"""The same tasks on a cluster of dask.distributed: bytes go with the task, rows come back.

Workers need this program and no disk in common. Each should run one thread
(``dask worker tcp://... --nthreads 1 --memory-limit 2GB --lifetime 1h --lifetime-restart``): the
cluster bounds their memory and renews them. A worker that runs another state of this program is
refused: its numbers would stand under the wrong key.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Generator, Iterable, Iterator
from concurrent import futures
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import islice
from typing import Any

from bedstone.errors import BedstoneError, Fault, InputError
from bedstone.stock.engine import Done, Work
from bedstone.stock.task import Answer, Task, program, work_out

#: Tasks under way for each thread of the cluster: one at work, one at hand.
_AHEAD = 2
#: Seconds to wait for the scheduler, and for a first worker.
_PATIENCE = 30
_ADDRESS = re.compile(r"(tcp|tls)://(\[[0-9A-Fa-f:.%]+\]|[^\s/:\[\]]+):[0-9]{1,5}")
_TLS = "distributed.comm.tls: ca-file, client.cert and client.key in the settings of dask"


@dataclass(frozen=True)
class Cluster:
    """A scheduler by its address, ``tcp://host:port`` or ``tls://host:port``."""

    address: str
    work: Work = work_out
    patience: float = _PATIENCE

    def run(self, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        """Every task once, as it is done.

        Raises `InputError` for an address where no scheduler answers or without workers, and
        `BedstoneError` for workers that run another program.
        """
        distributed = _distributed()
        if not _ADDRESS.fullmatch(self.address):
            raise self._refused(repr(self.address[:60]), "tcp://host:port or tls://host:port")
        try:
            client = distributed.Client(
                self.address,
                timeout=self.patience,
                security=self._security(distributed),
                set_as_default=False,
                direct_to_workers=False,
            )
        except (OSError, TimeoutError, ValueError) as error:
            # "in <TCP (closed) local=... remote=...>: " says nothing that the address does not
            reason = (str(error).splitlines() or ["no answer"])[0].rpartition(">: ")[2][:200]
            raise self._refused(reason, "the address of a scheduler that answers") from error
        with client:
            try:
                client.wait_for_workers(1, timeout=self.patience)
            except TimeoutError as error:
                raise self._refused("a scheduler without workers", "one with workers") from error
            yield from self._tasks(client, distributed, iter(tasks))

    def _security(self, distributed: Any) -> Any:
        """Certificates from the settings of dask; refused where ``tls`` lacks them."""
        security = distributed.Security()
        if self.address.startswith("tls://"):
            try:
                there = security.get_connection_args("client")["ssl_context"] is not None
            except OSError as error:  # no such file, or no certificate in it
                raise self._refused(f"certificates: {error.strerror or error}", _TLS) from error
            if not there:
                raise self._refused("no certificate of its own", _TLS)
        return security

    def _tasks(self, client: Any, distributed: Any, tasks: Iterator[Task]) -> Iterator[Done]:
        under_way: dict[Any, Task] = {}
        done = distributed.as_completed(loop=client.loop)

        def fill() -> None:
            with self._answering():
                threads = sum(client.nthreads().values())
            for task in islice(tasks, max(_AHEAD * threads - len(under_way), 0)):
                with self._answering():
                    key = f"bedstone-{task.key()}"
                    future = client.submit(_on_worker, self.work, task, key=key, retries=0)
                    under_way[future] = task
                    done.add(future)

        try:
            fill()
            while under_way:
                with self._answering():
                    future = next(done)
                    found = self._done(future, under_way.pop(future))
                    future.release()
                yield found
                fill()
        finally:
            with suppress(Exception):  # a scheduler that was lost has nothing left to cancel
                client.cancel(list(under_way), force=True)

    @contextmanager
    def _answering(self) -> Iterator[None]:
        """Say in words that the scheduler answers no more."""
        try:
            yield
        except (OSError, TimeoutError, futures.CancelledError, asyncio.CancelledError) as error:
            raise BedstoneError(
                f"the scheduler at {self.address} was lost; what is done stands in the store: "
                "run again"
            ) from error

    def _done(self, future: Any, task: Task) -> Done:
        if future.status in ("cancelled", "lost"):
            raise futures.CancelledError
        if future.status != "finished":
            error = future.exception()
            if isinstance(error, ModuleNotFoundError):
                raise BedstoneError(f"the workers of {self.address} lack this program: {error}")
            return Done(task, None, f"the cluster gave up: {type(error).__name__}: {error}"[:300])
        answer = future.result()
        assert isinstance(answer, Answer)
        if answer.program != program():
            raise BedstoneError(
                f"a worker of {self.address} runs another state of this program or its libraries; "
                "install the same on all machines"
            )
        return Done(task, None if answer.broken else answer, answer.broken)

    def _refused(self, found: str, allowed: str) -> InputError:
        return InputError([Fault("command line", "--scheduler", found, allowed)])


def _on_worker(work: Work, task: Task) -> Answer:
    """A task on a worker of the cluster, its BLAS held to one thread from then on."""
    from threadpoolctl import threadpool_limits

    # never undone: several tasks of one process would undo it for each other
    threadpool_limits(limits=1, user_api="blas")
    return work(task)


def _distributed() -> Any:
    try:
        import distributed  # type: ignore[import-not-found, import-untyped, unused-ignore]
    except ImportError:
        allowed = "dask.distributed installed (extra cluster), or no --scheduler"
        raise InputError([Fault("command line", "--scheduler", "no dask", allowed)]) from None
    return distributed
