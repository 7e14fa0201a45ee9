"""The people around a job: other trades, customers, and the secret links they are given."""

import uuid

from django.db import models
from django.db.models import Q

from jobs.models.catalogue import TRADES
from jobs.models.firm import FirmOwned


class Contact(FirmOwned):
    class Channel(models.TextChoices):
        MAIL = "mail", "By e-mail"
        COPY = "copy", "Copied into a phone message by hand"
        TEXT = "text", "By text message"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    name = models.CharField(max_length=80)
    business = models.CharField(max_length=100, blank=True)
    trade = models.CharField(max_length=20, choices=TRADES)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    channel = models.CharField(max_length=4, choices=Channel.choices, default=Channel.MAIL)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["trade", "name"]
        constraints = [models.UniqueConstraint(fields=["firm", "name", "trade"], name="contact_once")]

    def __str__(self) -> str:
        return f"{self.name} ({self.business})" if self.business else self.name


class ContactAway(FirmOwned):
    """Days on which a contact cannot work, both ends included."""

    contact = models.ForeignKey(Contact, on_delete=models.CASCADE, related_name="times_away")
    starts_on = models.DateField()
    ends_on = models.DateField()
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["starts_on"]
        verbose_name_plural = "times contacts are away"
        constraints = [
            models.CheckConstraint(
                condition=Q(starts_on__lte=models.F("ends_on")),
                name="contact_away_in_order",
                violation_error_message="The last day comes before the first.",
            ),
        ]


class SecretLink(FirmOwned):
    """A page or calendar somebody may read without signing in. Only the token's hash is stored."""

    class Purpose(models.TextChoices):
        TRADE_PAGE = "trade_page", "Trade's page"
        PERSON_FEED = "person_feed", "Person's calendar"
        JOB_FEED = "job_feed", "Job's calendar"
        TRADE_FEED = "trade_feed", "Trade's calendar"
        FIRM_FEED = "firm_feed", "Whole firm's calendar"
        CUSTOMER_PAGE = "customer_page", "Customer's page"
        CUSTOMER_FEED = "customer_feed", "Customer's calendar"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    purpose = models.CharField(max_length=14, choices=Purpose.choices)
    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, null=True, blank=True, related_name="links")
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, null=True, blank=True, related_name="links")
    contact = models.ForeignKey(Contact, on_delete=models.CASCADE, null=True, blank=True, related_name="links")
    version = models.PositiveIntegerField(default=1)
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    shows_days_away = models.BooleanField(default=False, help_text="College and absences beside the work")
    shows_order = models.BooleanField(default=False, help_text="Which work waits for which, for programs that draw it")
    alarm_minutes = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Before each event; empty = none")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(purpose="person_feed", person__isnull=False, job__isnull=True, contact__isnull=True)
                | Q(
                    purpose__in=["job_feed", "customer_page", "customer_feed"],
                    person__isnull=True, job__isnull=False, contact__isnull=True,
                )
                | Q(purpose__in=["trade_page", "trade_feed"], person__isnull=True, job__isnull=True, contact__isnull=False)
                | Q(purpose="firm_feed", person__isnull=True, job__isnull=True, contact__isnull=True),
                name="link_fits_purpose",
            ),
            models.UniqueConstraint(fields=["firm"], condition=Q(purpose="firm_feed"), name="link_firm_once"),
            models.UniqueConstraint(fields=["purpose", "person"], name="link_person_once"),
            models.UniqueConstraint(fields=["purpose", "job"], name="link_job_once"),
            models.UniqueConstraint(fields=["purpose", "contact"], name="link_contact_once"),
        ]
