"""The firm's contacts: other trades, and customers."""

from collections.abc import Mapping

from jobs.actions.permission import Refused, require_office
from jobs.models import Contact, Firm, User


def add_contact(*, firm: Firm, details: Mapping[str, object], by: User) -> Contact:
    """`details` are fields of Contact."""
    require_office(by, firm)
    contact = Contact(firm=firm, **details)
    _refuse_twin(contact)
    contact.save()
    return contact


def edit_contact(*, contact: Contact, details: Mapping[str, object], by: User) -> Contact:
    require_office(by, contact)
    for field, value in details.items():
        setattr(contact, field, value)
    _refuse_twin(contact)
    contact.save()
    return contact


def _refuse_twin(contact: Contact) -> None:
    twins = Contact.objects.filter(firm_id=contact.firm_id, name=contact.name, trade=contact.trade)
    if twins.exclude(pk=contact.pk).exists():
        raise Refused(
            f"There is a {contact.get_trade_display().lower()} called {contact.name} already. Add a surname or business.",
            field="name",
        )
