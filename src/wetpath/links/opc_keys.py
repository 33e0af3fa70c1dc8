"""Signed and encrypted sessions of OPC UA: a key and certificate of our own, and the one certificate that is believed.

A folder holds ``own.pem`` (private key), ``own.der`` (certificate) and ``server.der``. The first two are made when both
are missing; the server's comes from whoever runs it. Another certificate than that one is never believed.
"""

from __future__ import annotations

import os
import socket
from pathlib import Path

from asyncua import Client, ua
from asyncua.crypto import security_policies as policies
from asyncua.crypto.cert_gen import (
    dump_private_key_as_pem,
    generate_private_key,
    generate_self_signed_app_certificate,
)
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, load_pem_private_key
from cryptography.x509.oid import ExtendedKeyUsageOID

from wetpath.errors import InputError

#: What a server is asked for, the strongest first; older policies are not used.
POLICIES: tuple[type[policies.SecurityPolicy], ...] = (
    policies.SecurityPolicyAes256Sha256RsaPss, policies.SecurityPolicyAes128Sha256RsaOaep,
    policies.SecurityPolicyBasic256Sha256)
OWN_URI = "urn:wetpath:watch"
#: Days for which a certificate made here holds: ten years.
DAYS = 3650


class Keys:
    """The keys of a folder; raises `InputError` for what is missing or does not fit."""

    def __init__(self, folder: Path) -> None:
        self.key, self.own, self.server = (folder / name for name in ("own.pem", "own.der", "server.der"))
        if not self.key.exists() and not self.own.exists():
            _make(self.key, self.own)
        certificate = _certificate(self.own)
        try:
            fits = load_pem_private_key(self.key.read_bytes(), None).public_key() == certificate.public_key()
        except (OSError, ValueError, TypeError):
            raise _wrong(self.key, "is no private key that can be read", "put it there as PEM, without a password, or "
                         "remove own.pem and own.der to have new ones made") from None
        if not fits:
            raise _wrong(self.key, "is not the key of own.der", "put the two of one pair there")
        if not self.server.exists():
            raise _wrong(self.server, "is missing", "ask whoever runs the server for its certificate (DER) and put it "
                         f"there; {self.own} is what the server has to trust")
        self.believed = _certificate(self.server).public_bytes(Encoding.DER)
        try:
            names = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
            self.uri = names.get_values_for_type(x509.UniformResourceIdentifier)[0]
        except (x509.ExtensionNotFound, IndexError):
            raise _wrong(self.own, "names no application (URI)", "have it made anew with one, as OPC UA asks") from None

    async def put_on(self, client: Client) -> None:
        """Sign and encrypt what a client sends, by the strongest policy that the server offers."""
        client.application_uri = self.uri
        offered = [one for one in await client.connect_and_get_server_endpoints()
                   if one.SecurityMode == ua.MessageSecurityMode.SignAndEncrypt]
        if not any((one.ServerCertificate or b"").startswith(self.believed) for one in offered):
            raise ua.UaError(f"the server shows another certificate than {self.server}, or none that encrypts")
        known = [policy for policy in POLICIES if policy.URI in {one.SecurityPolicyUri for one in offered}]
        if not known:
            raise ua.UaError("the server offers no policy of encryption that is used here: "
                             + ", ".join(policy.URI.rpartition("#")[2] for policy in POLICIES))
        await client.set_security(known[0], self.own, self.key, server_certificate=str(self.server))


def _make(key: Path, own: Path) -> None:
    made, host = generate_private_key(), socket.gethostname()
    certificate = generate_self_signed_app_certificate(
        made, f"Wetpath at {host}", {}, [x509.UniformResourceIdentifier(OWN_URI), x509.DNSName(host)],
        [ExtendedKeyUsageOID.CLIENT_AUTH], days=DAYS)
    try:
        key.parent.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(key, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(dump_private_key_as_pem(made))
        own.write_bytes(certificate.public_bytes(Encoding.DER))
    except OSError as error:
        raise _wrong(key.parent, f"cannot be written ({error.strerror})", "name another folder") from None


def _certificate(path: Path) -> x509.Certificate:
    try:
        return x509.load_der_x509_certificate(path.read_bytes())
    except (OSError, ValueError):
        raise _wrong(path, "is no certificate that can be read", "put it there as DER") from None


def _wrong(path: Path, text: str, do: str) -> InputError:
    return InputError(text, field="--keys", value=f'"{path}"', do=do)
