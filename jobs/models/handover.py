"""What is handed over: a job's pack for the people whose house it is, and a firm's whole data as an archive."""

import uuid

from django.core.files.storage import Storage, storages
from django.db import models

from jobs.models.firm import FirmOwned


def pdf_path(pdf: "HandoverPdf", name: str) -> str:
    return f"handover/{pdf.firm_id}/{pdf.uid}.pdf"


def archive_path(archive: "FirmArchive", name: str) -> str:
    return f"{archive.firm_id}/{archive.uid}.zip"


def archive_storage() -> Storage:
    return storages["archives"]


class Handover(FirmOwned):
    """What the office adds to a job's handover pack, and whether the customer sees it."""

    job = models.OneToOneField("jobs.Job", on_delete=models.CASCADE, related_name="handover")
    warranties = models.TextField(
        blank=True, max_length=4000, help_text="What is covered, for how long, from when, and where the papers are"
    )
    words = models.TextField("anything else", blank=True, max_length=4000, help_text="Stands at the top of the pack")
    is_shown_to_customer = models.BooleanField("the customer sees it", default=False)

    def __str__(self) -> str:
        return f"handover of {self.job}"


class HandoverPdf(FirmOwned):
    """A pack as it was printed to a PDF. `sums`: a sum of each section, by which a later change is seen."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="handover_pdfs")
    reason = models.CharField(max_length=300, blank=True, help_text="Why it was made again; blank when somebody asked")
    asked_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    asked_at = models.DateTimeField()
    begun_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)
    sums = models.JSONField(default=dict, blank=True)
    file = models.FileField(upload_to=pdf_path, max_length=200, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"handover pack of {self.job}, {self.asked_at:%Y-%m-%d}"


class FirmArchive(FirmOwned):
    """The firm's whole data as somebody of the office asked for it; the file goes when it expires."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    asked_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    asked_at = models.DateTimeField()
    begun_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)
    expires_at = models.DateTimeField(null=True, blank=True)
    file = models.FileField(upload_to=archive_path, storage=archive_storage, max_length=200, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"archive of {self.firm}, {self.asked_at:%Y-%m-%d}"
