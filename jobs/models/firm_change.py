"""Marks that something of a firm changed, written by the database itself (`jobs.models.change_marks`)."""

from django.db import models


class FirmChange(models.Model):
    """A mark left by what changed a firm's rows: together a firm's marks say where it stands.

    The firm is named by its number alone: a mark outlives it, and no two writers wait for each other.
    """

    firm_number = models.BigIntegerField()

    class Meta:
        indexes = [models.Index(fields=["firm_number", "id"], name="change_of_firm")]

    def __str__(self) -> str:
        return f"{self.firm_number}: {self.pk}"
