"""Dates in other people's own calendars: what was sent to them, and what they answered by mail."""

import uuid
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import Q

from jobs.core.slots import Stretch, day_words
from jobs.core.stages import Half
from jobs.models.firm import FirmOwned
from jobs.models.programme import HALVES


class Invitation(FirmOwned):
    """One event in a contact's calendar: an unbroken run of a visit. Its identity is never changed or used again."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    contact = models.ForeignKey("jobs.Contact", on_delete=models.CASCADE, related_name="invitations")
    visit = models.ForeignKey("jobs.Visit", on_delete=models.CASCADE, related_name="invitations")
    run = models.PositiveSmallIntegerField(help_text="Which unbroken run of the visit, from 1")
    organizer = models.EmailField(help_text="Where calendar programs send the answer; the same for life")
    sequence = models.PositiveIntegerField(default=0, help_text="Of the newest message; it never falls")
    is_gone = models.BooleanField(default=False)

    class Meta:
        ordering = ["visit_id", "run", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["contact", "visit", "run"], condition=Q(is_gone=False), name="invitation_run_once"
            ),
        ]


class InvitationMessage(FirmOwned):
    """What a contact's calendar was told: the event as it was then, and whether the mail has left. Never edited else."""

    class Method(models.TextChoices):
        REQUEST = "REQUEST", "Asked"
        CANCEL = "CANCEL", "Called off"

    notice = models.ForeignKey("jobs.Notice", on_delete=models.CASCADE, related_name="invitation_messages")
    invitation = models.ForeignKey(Invitation, on_delete=models.CASCADE, related_name="messages")
    told = models.ForeignKey(
        "jobs.ToldDate", on_delete=models.CASCADE, related_name="invitation_messages", help_text="The date an answer is to"
    )
    number = models.PositiveSmallIntegerField(help_text="Its place among the notice's messages; the first goes with the words")
    method = models.CharField(max_length=7, choices=Method.choices)
    sequence = models.PositiveIntegerField()
    is_all_day = models.BooleanField(default=False)
    starts_at = models.DateTimeField(help_text="Midnight of the first day when all-day")
    ends_at = models.DateTimeField(help_text="Exclusive; midnight after the last day when all-day")
    is_tentative = models.BooleanField(default=False)
    summary = models.CharField(max_length=200)
    description = models.TextField(blank=True)
    place = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_to = models.EmailField(blank=True)

    class Meta:
        ordering = ["invitation_id", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["invitation", "sequence"], name="invitation_sequence_once"),
            models.UniqueConstraint(fields=["notice", "number"], name="invitation_message_number_once"),
            models.CheckConstraint(condition=Q(starts_at__lt=models.F("ends_at")), name="invitation_message_in_order"),
        ]

    @property
    def when(self) -> str:
        stretch = Stretch(self.starts_at, self.ends_at, self.is_all_day)
        return stretch.words(ZoneInfo(self.firm.zone))


class SuggestedDay(FirmOwned):
    """A day a contact could come instead of the one they were told."""

    told = models.ForeignKey("jobs.ToldDate", on_delete=models.CASCADE, related_name="suggested_days")
    visit = models.ForeignKey("jobs.Visit", on_delete=models.CASCADE, related_name="suggested_days")
    on = models.DateField()
    half = models.CharField(max_length=2, choices=HALVES)

    class Meta:
        ordering = ["told_id", "on", "half"]
        constraints = [models.UniqueConstraint(fields=["told", "on", "half"], name="suggested_day_once")]

    def __str__(self) -> str:
        return f"{day_words(self.on)}, from {'midday' if self.half == Half.AFTERNOON else 'the morning'}"


class MailAnswer(FirmOwned):
    """A mail that came back from a contact, and what became of it. Added, never edited."""

    class Outcome(models.TextChoices):
        APPLIED = "applied", "Taken as their answer"
        PART = "part", "Taken; the other days of the visit are not answered yet"
        STALE = "stale", "To a date that no longer stands"
        OLDER = "older", "Older than an answer we have"
        REFUSED = "refused", "Not taken"
        LETTER = "letter", "Words to read"

    message_id = models.CharField(max_length=255)
    contact = models.ForeignKey("jobs.Contact", on_delete=models.CASCADE, related_name="mail_answers")
    invitation = models.ForeignKey(
        Invitation, on_delete=models.CASCADE, null=True, blank=True, related_name="mail_answers"
    )
    sequence = models.PositiveIntegerField(null=True, blank=True, help_text="Of the message it answers")
    stamped_at = models.DateTimeField(null=True, blank=True, help_text="When their calendar wrote it")
    answer = models.CharField(max_length=20, blank=True, help_text="As their calendar said it, or “suggested”")
    words = models.TextField(blank=True)
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    reason = models.CharField(max_length=300, blank=True)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["-received_at", "-id"]
        constraints = [models.UniqueConstraint(fields=["firm", "message_id"], name="mail_answer_once")]
