"""Worker processes on this machine, one thread each."""

from __future__ import annotations

import multiprocessing
from concurrent.futures import ProcessPoolExecutor

from wetpath.errors import WorkersError
from wetpath.links.cluster.task import begin_worker


class Pool:
    """Processes started afresh, so that they take over no thread and no lock of this one."""

    def __init__(self, workers: int) -> None:
        self.workers = workers
        self.executor = self._started()

    def places(self) -> int:
        """All of them."""
        return self.workers

    def renew(self) -> None:
        """Start others: when one process ends, all of a pool are gone."""
        self.executor.shutdown(wait=True, cancel_futures=True)
        self.executor = self._started()

    def close(self) -> None:
        """Let them end."""
        self.executor.shutdown(wait=True, cancel_futures=True)

    def _started(self) -> ProcessPoolExecutor:
        try:
            return ProcessPoolExecutor(self.workers, multiprocessing.get_context("spawn"), initializer=begin_worker)
        except (OSError, ImportError, NotImplementedError) as error:      # a system without what processes share
            raise WorkersError(f"Worker processes cannot be started on this machine ({error}).") from None
