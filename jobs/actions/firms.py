"""How a firm begins, with its catalogue, its places for stock and the first person of its office; and what it changes."""

from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.actions.calendar_entries import read_anew
from jobs.actions.catalogue import load_catalogue
from jobs.actions.catalogue_versions import keep_version, start_history
from jobs.actions.permission import Refused, require_office
from jobs.actions.sign_ins import check_password
from jobs.actions.stock import ensure_locations
from jobs.models import Firm, Role, User


@transaction.atomic
def found_firm(*, details: Mapping[str, object], username: str, password: str, office_name: str = "") -> User:
    """A new firm with the shipped catalogue; returns its first office user. Refused for a poor password or taken name."""
    first_name, _, last_name = office_name.partition(" ")
    user = User(username=username, role=Role.OFFICE, first_name=first_name, last_name=last_name)
    if User.objects.filter(username=username).exists():
        raise Refused(f"“{username}” is taken. Choose another name to sign in with.", field="username")
    check_password(password, user)
    firm = Firm(**details)
    firm.full_clean()
    firm.save()
    load_catalogue(firm=firm)
    ensure_locations(firm=firm)
    user.firm = firm
    user.set_password(password)
    user.save()
    return user


@transaction.atomic
def edit_firm(*, firm: Firm, details: Mapping[str, object], by: User) -> Firm:
    """`details` are fields of Firm. Refused for a day that does not go forward, or a figure out of bounds."""
    require_office(by, firm)
    start_history(firm=firm, by=by)
    for field, value in details.items():
        setattr(firm, field, value)
    try:
        firm.full_clean()
    except ValidationError as wrong:
        field, words = next(iter(wrong.message_dict.items()))
        raise Refused(words[0], field=field) from wrong
    firm.save(update_fields=[*details])
    read_anew(firm.pk)
    keep_version(firm=firm, by=by, what="Changed the firm's figures for take-offs")
    return firm
