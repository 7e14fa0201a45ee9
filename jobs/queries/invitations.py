"""What a contact's calendar shows of a visit, and what it should show."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from django.conf import settings

from jobs.core.events import CalendarEvent
from jobs.core.invitations import Invitation as CoreInvitation
from jobs.core.invitations import Method, Party, Shown, Step, steps
from jobs.core.slots import Slot, Stretch, stretches
from jobs.core.telling import GO_AHEAD_FOLLOWS
from jobs.models import Firm, Invitation, InvitationMessage, MailAnswer, Notice, ToldDate, Visit
from jobs.queries.attendance import MOST_PLACE_CHARACTERS, MOST_SUMMARY_CHARACTERS
from jobs.queries.firm_calendar import load_calendar, local_today
from jobs.queries.hold_points import load_awaiting
from jobs.queries.reply_addresses import can_be_invited
from jobs.queries.told import told_slot

SETTLED_AGAINST = (ToldDate.Answer.DECLINED, ToldDate.Answer.SUGGESTED)
LATEST_ANSWERS = 50
Key = tuple[int, int]
"""(contact, visit)."""


def load_standing(told_dates: Iterable[ToldDate]) -> dict[Key, list[Invitation]]:
    """The invitations that stand for these dates, in order of runs."""
    standing: dict[Key, list[Invitation]] = defaultdict(list)
    wanted = {(told.notice.contact_id, told.visit_id) for told in told_dates}
    rows = Invitation.objects.filter(visit_id__in={visit for _, visit in wanted}, is_gone=False).order_by("run")
    for row in rows:
        if (row.contact_id, row.visit_id) in wanted:
            standing[row.contact_id, row.visit_id].append(row)
    return standing


def list_steps(
    told_dates: Iterable[ToldDate], firm: Firm, now: datetime, *, gate_is_open: bool = False
) -> list[tuple[ToldDate, Step]]:
    """What contacts' calendars must hear so that they show these dates; nothing where they show them already.

    `gate_is_open`: the go-ahead to cover up goes out at the same time. A fixed number of queries.
    """
    told_dates = [told for told in told_dates if can_be_invited(told.notice.contact)]
    if not told_dates:
        return []
    known = _load_known(told_dates)
    calendar, zone = load_calendar(firm, local_today(firm, now)), ZoneInfo(firm.zone)
    awaiting = set() if gate_is_open else load_awaiting(told.visit for told in told_dates)
    found = []
    for told in told_dates:
        slot = None if told.answer in SETTLED_AGAINST else told_slot(told)
        runs = stretches(slot, calendar, zone) if slot else []
        wanted = [_wanted(told, run, slot, awaits_go_ahead=told.visit_id in awaiting) for run in runs]
        found += [(told, step) for step in steps(known.get((told.notice.contact_id, told.visit_id), []), wanted)]
    return found


def _load_known(told_dates: Iterable[ToldDate]) -> dict[Key, list[Shown | None]]:
    """What was last shown of each run; None for a run that was called off."""
    standing = load_standing(told_dates)
    rows = [row for of_visit in standing.values() for row in of_visit]
    messages = InvitationMessage.objects.filter(invitation__in=rows).order_by("sequence")
    newest = {message.invitation_id: message for message in messages}
    return {key: _by_run({row.run: _shown(newest[row.pk]) for row in of_key}) for key, of_key in standing.items()}


def _by_run(shown: dict[int, Shown]) -> list[Shown | None]:
    return [shown.get(run) for run in range(1, max(shown) + 1)]


def _wanted(told: ToldDate, run: Stretch, slot: Slot, *, awaits_go_ahead: bool) -> Shown:
    visit, is_agreed = told.visit, told.visit.state == Visit.State.ACCEPTED
    asked = "Agreed." if is_agreed else "Please say whether you can make it."
    lines = [slot.words, asked, GO_AHEAD_FOLLOWS if awaits_go_ahead else ""]
    return Shown(
        stretch=run,
        is_tentative=awaits_go_ahead or not is_agreed,
        summary=f"{visit}, {visit.job.name}"[:MOST_SUMMARY_CHARACTERS],
        description="\n".join(line for line in lines if line),
        place=visit.job.address_line[:MOST_PLACE_CHARACTERS],
    )


def list_sent(visit: Visit) -> list[InvitationMessage]:
    """What calendars were told of a visit, the newest first."""
    related = ("invitation__contact", "told", "firm")
    messages = InvitationMessage.objects.filter(invitation__visit=visit).select_related(*related)
    return list(messages.order_by("-made_at", "-pk"))


def list_mail_answers(**only: object) -> list[MailAnswer]:
    """What came back by mail about a visit or from a contact, the newest first."""
    if "visit" in only:
        only["invitation__visit"] = only.pop("visit")
    answers = MailAnswer.objects.filter(**only).select_related("contact", "invitation__visit__kind", "invitation__visit__job")
    return list(answers.order_by("-received_at", "-pk")[:LATEST_ANSWERS])


def core_invitation(message: InvitationMessage, address: str) -> CoreInvitation:
    """The message as it is written into a calendar; `message.invitation.contact` and `message.firm` are at hand."""
    contact, firm = message.invitation.contact, message.firm
    return CoreInvitation(
        method=Method(message.method),
        event=_event(message, ZoneInfo(firm.zone)),
        organizer=Party(firm.name, message.invitation.organizer),
        attendee=Party(contact.name, address),
        is_agreed=message.told.answer == message.told.Answer.ACCEPTED,
        wants_reply=bool(settings.REPLY_ADDRESS),
    )


def find_counter(told: ToldDate) -> MailAnswer | None:
    """The mail in which a contact's calendar proposed another time than this date, if that is their last word."""
    counters = MailAnswer.objects.filter(
        invitation__visit=told.visit_id, answer=ToldDate.Answer.SUGGESTED, outcome=MailAnswer.Outcome.APPLIED,
        received_at=told.answered_at,
    )
    return counters.order_by("pk").last()


def core_turned_down(answer: MailAnswer, notice: Notice, address: str) -> CoreInvitation:
    """The answer to a time that a calendar proposed: the event as it was when they answered it."""
    sent = answer.invitation.messages.filter(sequence__lte=answer.sequence).select_related("invitation__contact", "firm", "told")
    asked = core_invitation(sent.last(), address)
    event = replace(asked.event, sequence=answer.sequence, revised_at=notice.made_at)
    return replace(asked, method=Method.DECLINECOUNTER, event=event, comment="\n".join(notice.lines))


def _event(message: InvitationMessage, zone: ZoneInfo) -> CalendarEvent:
    starts, ends = message.starts_at, message.ends_at
    if message.is_all_day:
        starts, ends = starts.astimezone(zone).date(), ends.astimezone(zone).date()
    return CalendarEvent(
        uid=str(message.invitation.uid),
        sequence=message.sequence,
        revised_at=message.made_at,
        starts=starts,
        ends=ends,
        summary=message.summary,
        description=message.description,
        place=message.place,
        zone=zone.key,
        is_tentative=message.is_tentative,
    )


def _shown(message: InvitationMessage) -> Shown:
    return Shown(
        stretch=Stretch(message.starts_at, message.ends_at, message.is_all_day),
        is_tentative=message.is_tentative,
        summary=message.summary,
        description=message.description,
        place=message.place,
    )
