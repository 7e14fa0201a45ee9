"""A secret link as the office sees it: address, QR code, when it was last opened."""

from dataclasses import dataclass
from datetime import datetime

import segno
from django.http import HttpRequest

from jobs.models import Contact, Firm, Job, Person, SecretLink
from jobs.queries.feeds import AWAY_SHOWN, NAMED
from jobs.queries.links import FEEDS, address_path, find_link_for
from jobs.web.forms.links import LinkOptionsForm

Purpose = SecretLink.Purpose
Subject = Contact | Firm | Job | Person
SUBJECT_FIELDS = {
    Purpose.PERSON_FEED: "person",
    Purpose.JOB_FEED: "job",
    Purpose.TRADE_FEED: "contact",
    Purpose.TRADE_PAGE: "contact",
    Purpose.CUSTOMER_PAGE: "job",
    Purpose.CUSTOMER_FEED: "job",
    Purpose.FIRM_FEED: "firm",
}


@dataclass(frozen=True)
class LinkCard:
    """`link` is None while there is none or it is switched off; then it can be made."""

    purpose: str
    subject: Subject
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
    def options(self) -> LinkOptionsForm:
        link, purpose = self.link, self.purpose
        return LinkOptionsForm(
            initial={
                "shows_days_away": link.shows_days_away, "shows_order": link.shows_order,
                "alarm_minutes": link.alarm_minutes or "",
            },
            auto_id=f"{purpose}-%s", shows_people=purpose in AWAY_SHOWN, shows_work=purpose in NAMED,
        )

    @property
    def webcal(self) -> str:
        return "webcal:" + self.address.partition(":")[2]


def link_card(request: HttpRequest, purpose: str, subject: Subject, now: datetime) -> LinkCard:
    link = find_link_for(purpose, now=now, **{SUBJECT_FIELDS[purpose]: subject})
    if link is None:
        return LinkCard(purpose, subject, None, "", "")
    address = request.build_absolute_uri(address_path(link))
    return LinkCard(purpose, subject, link, address, segno.make(address, micro=False).svg_data_uri(border=2))
