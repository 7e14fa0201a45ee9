"""What people were told, and the calendar entries that follow from it."""

import uuid

from django.db import models
from django.db.models import Q

from jobs.models.firm import FirmOwned
from jobs.models.programme import HALVES


class Notice(FirmOwned):
    """One message to one person or trade. Added, never edited."""

    class Kind(models.TextChoices):
        NEW = "new", "New dates"
        CHANGED = "changed", "Changed dates"
        CANCELLED = "cancelled", "Cancelled"
        GO_AHEAD = "go_ahead", "Go-ahead"
        AGREED = "agreed", "Agreed"
        DECLINED = "declined", "Suggestion turned down"
        REMINDER = "reminder", "Reminder"
        CHASER = "chaser", "Asked again"

    plan = models.ForeignKey("jobs.Plan", on_delete=models.PROTECT, null=True, blank=True, related_name="notices")
    contact = models.ForeignKey("jobs.Contact", on_delete=models.CASCADE, null=True, blank=True, related_name="notices")
    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, null=True, blank=True, related_name="notices")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    subject = models.CharField(max_length=200)
    lines = models.JSONField(default=list, help_text="What was said, a sentence each")
    days = models.JSONField(default=dict, blank=True, help_text="What a crew member was told: words by day, blank for none")
    turns_down = models.ForeignKey(
        "jobs.MailAnswer", on_delete=models.CASCADE, null=True, blank=True, related_name="+",
        help_text="The proposal of a contact's calendar that it answers",
    )
    message_id = models.CharField(max_length=200, unique=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(contact__isnull=False, person__isnull=True) | Q(contact__isnull=True, person__isnull=False),
                name="notice_one_recipient",
            ),
            models.UniqueConstraint(fields=["plan", "contact"], name="notice_contact_once"),
            models.UniqueConstraint(fields=["plan", "person"], name="notice_person_once"),
        ]


class Delivery(FirmOwned):
    """A notice that left: when, how, to which address or number; by whom when somebody passed it on by hand."""

    class Channel(models.TextChoices):
        MAIL = "mail", "mailed"
        COPY = "copy", "passed on"
        TEXT = "text", "texted"

    notice = models.OneToOneField(Notice, on_delete=models.CASCADE, related_name="delivery")
    channel = models.CharField(max_length=10, choices=Channel.choices, default=Channel.MAIL)
    address = models.CharField(max_length=254, blank=True)
    passed_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    sent_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(channel="copy", passed_by__isnull=False) | ~Q(channel="copy") & Q(passed_by__isnull=True),
                name="delivery_by_hand_has_a_hand",
            ),
        ]


class HeldBack(FirmOwned):
    """A contact or one of the crew is not told what a plan changes for them when it is issued, and why. Never edited."""

    plan = models.ForeignKey("jobs.Plan", on_delete=models.CASCADE, related_name="held_back")
    contact = models.ForeignKey("jobs.Contact", on_delete=models.CASCADE, null=True, blank=True, related_name="held_back")
    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, null=True, blank=True, related_name="held_back")
    reason = models.CharField(max_length=300)
    held_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, related_name="+")
    held_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "held back"
        constraints = [
            models.UniqueConstraint(fields=["plan", "contact"], name="held_back_once"),
            models.UniqueConstraint(fields=["plan", "person"], name="held_back_person_once"),
            models.CheckConstraint(condition=~Q(reason=""), name="held_back_with_a_reason"),
            models.CheckConstraint(
                condition=Q(contact__isnull=False, person__isnull=True) | Q(contact__isnull=True, person__isnull=False),
                name="held_back_one_recipient",
            ),
        ]

    @property
    def recipient(self) -> models.Model:
        return self.contact or self.person


class ToldDate(FirmOwned):
    """The date of a visit as a contact was told, and what they answered; the newest row per visit and contact stands."""

    class Answer(models.TextChoices):
        NONE = "", "No answer yet"
        ACCEPTED = "accepted", "Can make it"
        DECLINED = "declined", "Cannot make it"
        SUGGESTED = "suggested", "Suggests other days"

    notice = models.ForeignKey(Notice, on_delete=models.CASCADE, related_name="told_dates")
    visit = models.ForeignKey("jobs.Visit", on_delete=models.CASCADE, related_name="told_dates")
    starts_on = models.DateField(null=True, blank=True, help_text="Blank: told that it will not take place")
    starts_half = models.CharField(max_length=2, choices=HALVES, blank=True)
    ends_on = models.DateField(null=True, blank=True)
    ends_half = models.CharField(max_length=2, choices=HALVES, blank=True)
    told_at = models.DateTimeField()
    answer = models.CharField(max_length=9, choices=Answer.choices, default=Answer.NONE, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["told_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(starts_on__isnull=True, ends_on__isnull=True)
                | Q(starts_on__lte=models.F("ends_on")),
                name="told_date_whole_or_blank",
            ),
        ]


class Prompt(FirmOwned):
    """A told date somebody was reminded of, or asked about again; its number keeps each from being written twice."""

    class Kind(models.TextChoices):
        REMINDER = "reminder", "Reminder"
        CHASER = "chaser", "Asked again"

    notice = models.ForeignKey(Notice, on_delete=models.CASCADE, related_name="prompts")
    told = models.ForeignKey(ToldDate, on_delete=models.CASCADE, related_name="prompts")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    number = models.PositiveSmallIntegerField(help_text="From 1")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["told", "kind", "number"], name="prompt_once")]


class CalendarEntry(FirmOwned):
    """One calendar event, with the identity and sequence it keeps for life."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    key = models.CharField(max_length=120, help_text="person:ID:DATE:JOB, visit:ID:RUN or deadline:JOB:KIND")
    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, null=True, blank=True, related_name="calendar_entries")
    visit = models.ForeignKey("jobs.Visit", on_delete=models.CASCADE, null=True, blank=True, related_name="calendar_entries")
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="calendar_entries")
    deadline = models.CharField(max_length=20, blank=True, help_text="Kind of deadline of the job")
    sequence = models.PositiveIntegerField(default=0)
    revised_at = models.DateTimeField()
    is_all_day = models.BooleanField(default=False)
    starts_at = models.DateTimeField(help_text="Midnight of the first day when all-day")
    ends_at = models.DateTimeField(help_text="Exclusive; midnight after the last day when all-day")
    is_tentative = models.BooleanField(default=False)
    is_gone = models.BooleanField(default=False)
    summary = models.CharField(max_length=200)
    description = models.TextField(blank=True)
    place = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["starts_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "key"], name="calendar_entry_once"),
            models.CheckConstraint(condition=Q(starts_at__lt=models.F("ends_at")), name="calendar_entry_in_order"),
            models.CheckConstraint(
                condition=Q(person__isnull=False, visit__isnull=True, deadline="")
                | Q(person__isnull=True, visit__isnull=False, deadline="")
                | Q(person__isnull=True, visit__isnull=True) & ~Q(deadline=""),
                name="calendar_entry_one_cause",
            ),
        ]
