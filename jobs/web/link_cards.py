"""A secret link as the office sees it: address, QR code, when it was last opened."""

from dataclasses import dataclass
from datetime import datetime

import segno
from django.http import HttpRequest

from jobs.models import Contact, Job, Person, SecretLink
from jobs.queries.links import FEEDS, address_path, find_link_for

Purpose = SecretLink.Purpose
SUBJECT_FIELDS = {
    Purpose.PERSON_FEED: "person",
    Purpose.JOB_FEED: "job",
    Purpose.TRADE_FEED: "contact",
    Purpose.TRADE_PAGE: "contact",
    Purpose.CUSTOMER_PAGE: "job",
    Purpose.CUSTOMER_FEED: "job",
}


@dataclass(frozen=True)
class LinkCard:
    """`link` is None while there is none or it is switched off; then it can be made."""

    purpose: str
    subject: Contact | Job | Person
    link: SecretLink | None
    address: str
    qr: str

    @property
    def title(self) -> str:
        return Purpose(self.purpose).label

    @property
    def is_calendar(self) -> bool:
        return self.purpose in FEEDS

    @property
    def webcal(self) -> str:
        return "webcal:" + self.address.partition(":")[2]


def link_card(request: HttpRequest, purpose: str, subject: Contact | Job | Person, now: datetime) -> LinkCard:
    link = find_link_for(purpose, now=now, **{SUBJECT_FIELDS[purpose]: subject})
    if link is None:
        return LinkCard(purpose, subject, None, "", "")
    address = request.build_absolute_uri(address_path(link))
    return LinkCard(purpose, subject, link, address, segno.make(address, micro=False).svg_data_uri(border=2))
