"""Who may do what. Every action asks here first, and raises `Refused` when it cannot do what was asked."""

from django.core.exceptions import PermissionDenied

from jobs.models import Firm, FirmOwned, User


class Refused(Exception):
    """Something a person asked for cannot be done; the message says what is wrong and what to do."""

    def __init__(self, message: str, *, field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.field = field


def require_office(by: User, *owned: FirmOwned | Firm | None) -> None:
    """`by` works in the office of the firm that owns every row given."""
    require_member(by, *owned)
    if not by.is_office:
        raise PermissionDenied("Only the office may do this.")


def require_member(by: User, *owned: FirmOwned | Firm | None) -> None:
    """`by` belongs to the firm that owns every row given, in the office or on the crew."""
    if not by.is_active or by.firm_id is None:
        raise PermissionDenied("Sign in to do this.")
    if any(_firm_id(row) != by.firm_id for row in owned if row is not None):
        raise PermissionDenied("That belongs to another firm.")


def _firm_id(row: FirmOwned | Firm) -> int:
    return row.pk if isinstance(row, Firm) else row.firm_id
