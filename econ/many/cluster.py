"""A Dask cluster reached by the address of its scheduler.

Connecting means trust: client, scheduler and workers send each other Python objects, so whoever can join the
scheduler can run code here, and we there. Even the check of versions unpickles what a worker sends. So an
unencrypted connection to another machine needs the person's word, and TLS files are passed through.
"""

from __future__ import annotations

import contextlib
import ipaddress
import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from econ.errors import FileRefused, InputFault
from econ.harmless import one_line
from econ.many.table_rows import need
from econ.workbook.places import kind_of

CONNECT_SECONDS = 4
SCHEMES = ("tcp", "tls")
EXPECTED = "Give the address of a running scheduler, such as tls://10.0.0.5:8786"


@dataclass(frozen=True, slots=True)
class Access:
    """How a cluster is reached: the files of TLS, and the person's word for a connection without it."""

    ca: Path | None = None
    certificate: Path | None = None
    key: Path | None = None
    is_trusted: bool = False

    @property
    def files(self) -> dict[str, Path]:
        """The TLS files given, by the option that names them."""
        named = {"--tls-ca": self.ca, "--tls-cert": self.certificate, "--tls-key": self.key}
        return {option: path for option, path in named.items() if path is not None}


OPEN = Access()
"""No TLS files, no word of trust: good for a scheduler on this machine."""


@contextlib.contextmanager
def connected(address: str, access: Access, version: Callable[[], str]) -> Iterator[None]:
    """A connection to the scheduler at `address`, closed in the end.

    Raises InputFault for an address that cannot be one, does not answer in CONNECT_SECONDS, asks for trust that
    was not given, or has workers of another version; FileRefused where it breaks off on the way.
    """
    check_address(address, access)
    distributed = need("distributed", f"--cluster {address}")
    logging.getLogger("distributed").setLevel(
        logging.CRITICAL
    )  # what it says of a lost scheduler we say in a line
    try:
        client = distributed.Client(address, timeout=CONNECT_SECONDS, security=_security(distributed, access))
    except (OSError, ValueError, TypeError) as odd:
        said = one_line(odd, 120)
        raise InputFault("--cluster", f"no answer at {one_line(address, 80)!r} ({said})", EXPECTED) from odd
    try:
        _same_version(client, version)
        yield
    except (OSError, RuntimeError, distributed.CancelledError) as odd:
        raise FileRefused(
            f"the cluster at {one_line(address, 80)} broke off ({type(odd).__name__}); finished plants are kept,"
            " start again to go on"
        ) from odd
    finally:
        with contextlib.suppress(Exception):
            client.close(timeout=CONNECT_SECONDS)


def check_address(address: str, access: Access) -> None:
    """Refuse an address that no scheduler has, TLS files that are not there, and trust not given."""
    shown = one_line(address, 80)
    try:
        found = urlsplit(address)
        host, port = found.hostname, found.port
    except ValueError:
        raise InputFault("--cluster", f"the address {shown!r}", EXPECTED) from None
    if found.scheme not in SCHEMES:
        raise InputFault("--cluster", f"the scheme {found.scheme!r} in {shown!r}", f"Use tcp or tls. {EXPECTED}")
    if not host or not port:
        raise InputFault("--cluster", f"no host or no port in {shown!r}", EXPECTED)
    for option, path in access.files.items():
        if kind_of(path) != "file":
            raise InputFault(option, f"no file {one_line(path, 80)!r}", "Name a file of TLS settings")
    if found.scheme == "tcp" and not _is_here(host) and not access.is_trusted:
        raise InputFault(
            "--cluster", f"{shown!r}, which is neither encrypted nor this machine",
            "Use tls://, or --trust-cluster: whoever can join that scheduler can run code on this machine",
        )  # fmt: skip


def _is_here(host: str) -> bool:
    """Whether a host is this machine by its very name: nothing is looked up."""
    with contextlib.suppress(ValueError):
        return ipaddress.ip_address(host).is_loopback
    return host == "localhost"


def _security(distributed: Any, access: Access) -> Any:
    """TLS settings as the engine takes them; None where none were given, so that its own configuration counts."""
    if not access.files:
        return None
    return distributed.Security(
        tls_ca_file=str(access.ca) if access.ca else None,
        tls_client_cert=str(access.certificate) if access.certificate else None,
        tls_client_key=str(access.key) if access.key else None,
        require_encryption=True,
    )


def _same_version(client: Any, version: Callable[[], str]) -> None:
    """Refuse workers that would find other figures than this machine."""
    own = version()
    others = {one_line(found, 60) for found in client.run(version).values()} - {own}
    if others:
        found = f"workers with kilncase {', '.join(sorted(others))}"
        raise InputFault("--cluster", found, f"Install the version of this machine, {own}, on every worker")
