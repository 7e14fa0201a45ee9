"""How a firm begins: its catalogue, its places for stock, and the first person of its office."""

from collections.abc import Mapping

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.actions.catalogue import load_catalogue
from jobs.actions.permission import Refused
from jobs.actions.stock import ensure_locations
from jobs.models import Firm, Role, User


@transaction.atomic
def found_firm(*, details: Mapping[str, object], username: str, password: str, office_name: str = "") -> User:
    """A new firm with the shipped catalogue; returns its first office user. Refused for a poor password or taken name."""
    first_name, _, last_name = office_name.partition(" ")
    user = User(username=username, role=Role.OFFICE, first_name=first_name, last_name=last_name)
    if User.objects.filter(username=username).exists():
        raise Refused(f"“{username}” is taken. Choose another name to sign in with.", field="username")
    _check_password(password, user)
    firm = Firm(**details)
    firm.full_clean()
    firm.save()
    load_catalogue(firm=firm)
    ensure_locations(firm=firm)
    user.firm = firm
    user.set_password(password)
    user.save()
    return user


def _check_password(password: str, user: User) -> None:
    try:
        validate_password(password, user)
    except ValidationError as poor:
        raise Refused(" ".join(poor.messages), field="password") from poor
