"""Marks that something of a firm changed, written by the database itself (`jobs.models.change_marks`)."""

from django.db import models


class FirmChange(models.Model):
    """A mark left by what changed a firm's rows of one table: together its marks say where that table stands.

    The firm is named by its number alone: a mark outlives it, and no two writers wait for each other.
    """

    firm_number = models.BigIntegerField()
    table_name = models.CharField(max_length=63, db_default="")

    class Meta:
        indexes = [models.Index(fields=["firm_number", "table_name", "id"], name="change_of_firm_table")]

    def __str__(self) -> str:
        return f"{self.firm_number}, {self.table_name}: {self.pk}"
