"""Workers of a Dask cluster, by the address of its scheduler."""

from __future__ import annotations

import logging
import time
from typing import TYPE_CHECKING

from wetpath.errors import InputError, WorkersError

if TYPE_CHECKING:
    from distributed import Client
    from distributed.security import Security

#: Seconds in which a scheduler has to answer and to have a worker.
PATIENCE = 10.0
#: Seconds without any worker after which a run is given up; its parts are kept.
WITHOUT_WORKERS = 120.0


class DaskCluster:
    """A cluster that others started; the scheduler hands parts of a worker that ends to another by itself."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.client = _connected(address)
        self.executor = self.client.get_executor(pure=False)
        self.last_seen = time.monotonic()
        try:
            self.client.wait_for_workers(1, timeout=PATIENCE)
        except TimeoutError:
            self.close()
            raise InputError("has no workers", field="--cluster", value=f'"{address}"',
                             do=f"start workers: dask worker {address} --nthreads 1") from None

    def places(self) -> int:
        """Threads of all workers, now; workers may come and go."""
        try:
            places = sum(self.client.nthreads().values())
        except (OSError, RuntimeError):
            raise WorkersError(f"The cluster at {self.address} cannot be reached any more.") from None
        if places:
            self.last_seen = time.monotonic()
        elif time.monotonic() - self.last_seen > WITHOUT_WORKERS:
            raise WorkersError(f"The cluster at {self.address} has had no workers for {WITHOUT_WORKERS:.0f} s.")
        return max(places, 1)

    def renew(self) -> None:
        """Nothing to do: the scheduler does it."""

    def close(self) -> None:
        """Leave the cluster as it is, without parts of ours."""
        self.executor.shutdown(wait=False)
        self.client.close()


def _connected(address: str) -> Client:
    try:
        from distributed import Client
        from distributed.security import Security
    except ImportError:
        raise InputError("needs the extra \"cluster\", which is not installed", field="--cluster",
                         value=f'"{address}"', do='install it: pip install "wetpath[cluster]"') from None
    logging.getLogger("distributed.client").setLevel(logging.CRITICAL)     # what goes wrong is told in our own words
    security = Security()
    _check_security(address, security)
    try:
        return Client(address, security=security, timeout=PATIENCE, set_as_default=False)
    except OSError as error:
        raise InputError("does not answer", field="--cluster", value=f'"{address}"', why=str(error).splitlines()[0],
                         do="look whether the scheduler runs there and its port can be reached from here") from None


def _check_security(address: str, security: Security) -> None:
    """Refuse what the library would only find out half connected."""
    encrypted = address.startswith(("tls:", "wss:"))
    try:
        certified = security.get_connection_args("client").get("ssl_context") is not None
    except (OSError, ValueError) as error:
        raise InputError("cannot be reached: the certificates of Dask's configuration cannot be read",
                         field="--cluster", value=f'"{address}"', why=str(error),
                         do="look at the files named under distributed.comm.tls") from None
    if encrypted and not certified:
        raise InputError("asks for certificates, and Dask's configuration names none", field="--cluster",
                         value=f'"{address}"', do="set distributed.comm.tls in Dask's configuration, see docs/scale.md")
    if security.require_encryption and not encrypted:
        raise InputError("is not encrypted, and Dask's configuration asks for that", field="--cluster",
                         value=f'"{address}"', do="give the address of the scheduler that begins with tls://")
