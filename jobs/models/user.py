from django.contrib.auth.models import AbstractUser
from django.db import models


class Role(models.TextChoices):
    OFFICE = "office", "Office"
    CREW = "crew", "Crew"


class User(AbstractUser):
    """Someone who signs in: the office with a password, crew with a device sign-in."""

    firm = models.ForeignKey("jobs.Firm", on_delete=models.CASCADE, null=True, blank=True, related_name="users")
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.OFFICE)
    person = models.OneToOneField("jobs.Person", on_delete=models.CASCADE, null=True, blank=True, related_name="user")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(role="office") | models.Q(person__isnull=False), name="crew_user_has_person"
            ),
        ]

    @property
    def is_office(self) -> bool:
        return self.role == Role.OFFICE

    @property
    def is_crew(self) -> bool:
        return self.role == Role.CREW
