"""The firm's contacts: other trades, and customers; and the days they cannot work."""

from collections.abc import Mapping
from datetime import date

from jobs.actions.permission import Refused, require_office
from jobs.models import Contact, ContactAway, Firm, User


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


def add_contact_away(*, contact: Contact, starts_on: date, ends_on: date, note: str = "", by: User) -> ContactAway:
    """Days, both ends included, on which the planner keeps the contact's visits from running."""
    require_office(by, contact)
    if ends_on < starts_on:
        raise Refused("The last day comes before the first.", field="ends_on")
    if contact.times_away.filter(starts_on__lte=starts_on, ends_on__gte=ends_on).exists():
        raise Refused(f"{contact.name} is already away then.", field="starts_on")
    return ContactAway.objects.create(
        firm_id=contact.firm_id, contact=contact, starts_on=starts_on, ends_on=ends_on, note=note
    )


def remove_contact_away(*, away: ContactAway, by: User) -> None:
    require_office(by, away)
    away.delete()


def _refuse_twin(contact: Contact) -> None:
    twins = Contact.objects.filter(firm_id=contact.firm_id, name=contact.name, trade=contact.trade)
    if twins.exclude(pk=contact.pk).exists():
        raise Refused(
            f"There is a {contact.get_trade_display().lower()} called {contact.name} already. Add a surname or business.",
            field="name",
        )
