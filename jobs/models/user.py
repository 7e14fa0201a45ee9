from collections.abc import Iterator

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

    signed_out_at = models.DateTimeField(null=True, blank=True, help_text="Every session from before then is over")

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

    def get_session_auth_hash(self) -> str:
        """Changes with the password and with signing out everywhere; sessions that carry another one are over."""
        return super().get_session_auth_hash() + self._sessions_since

    def get_session_auth_fallback_hash(self) -> Iterator[str]:
        return (former + self._sessions_since for former in super().get_session_auth_fallback_hash())

    @property
    def _sessions_since(self) -> str:
        return self.signed_out_at.isoformat() if self.signed_out_at else ""
