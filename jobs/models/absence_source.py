from django.db import models

from jobs.models.firm import FirmOwned
from jobs.models.person import Absence, Person


class AbsenceSource(FirmOwned):
    """A person's own holiday or college calendar. Only busy times are kept of it, and none counts before `accepted_at`.

    `busy` lists [day, part of the day] as last read, up to `read_until`.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="absence_sources")
    name = models.CharField(max_length=60, help_text="What you call it, e.g. College timetable")
    kind = models.CharField(max_length=10, choices=Absence.Kind.choices, default=Absence.Kind.HOLIDAY)
    address = models.CharField(max_length=500, blank=True, help_text="Read again every day; empty for an uploaded file")
    busy = models.JSONField(default=list)
    read_at = models.DateTimeField()
    read_until = models.DateField()
    fault = models.CharField(max_length=300, blank=True, help_text="Why the last try to read it again failed")
    failed_at = models.DateTimeField(null=True, blank=True)
    accepted_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name
