"""What the store says to its user by an exception."""

from __future__ import annotations

from wetpath.errors import InputError, WetpathError


class NotAllowed(WetpathError):
    """The role of a user does not allow what was asked."""


class NotKnown(InputError):
    """A project, document, revision or user that is not in the store."""


class LoginRefused(InputError):
    """A name and a password that do not belong together, or an account that is closed."""


class TooManyAttempts(LoginRefused):
    """Too many failed logins of a name or from an address; ``wait_s`` tells when to try again."""

    def __init__(self, wait_s: int) -> None:
        self.wait_s = wait_s
        super().__init__("is refused after too many failed logins", field="login", do=f"try again in {wait_s} s")


class DatabaseError(WetpathError):
    """A database that cannot be opened, was written by another version of the program, or was tampered with."""

    exit_code = 2
