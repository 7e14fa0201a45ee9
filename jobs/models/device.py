"""How a crew member's phone is let in: a sign-in made in the office, then a device that can be revoked."""

from django.db import models

from jobs.models.firm import FirmOwned


class SignInCode(FirmOwned):
    """A one-time link and an 8-character code for one person; only their hashes are kept."""

    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, related_name="sign_in_codes")
    token_hash = models.CharField(max_length=64, unique=True)
    code_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey("jobs.User", on_delete=models.CASCADE, related_name="+")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)


class Device(FirmOwned):
    """A phone that was let in; its session ends when it is revoked or expires."""

    user = models.ForeignKey("jobs.User", on_delete=models.CASCADE, related_name="devices")
    name = models.CharField(max_length=120)
    session_key_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    last_seen_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-last_seen_at"]


class AttemptCount(models.Model):
    """How often something was tried within a window of time, counted in the database so that all processes agree."""

    key = models.CharField(max_length=64, unique=True, help_text="Hash of what is limited and who tries")
    window_starts_at = models.DateTimeField()
    attempts = models.PositiveIntegerField(default=0)
