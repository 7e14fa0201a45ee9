from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class JobsConfig(AppConfig):
    default_auto_field = "django.db.models.BigAutoField"
    name = "jobs"

    def ready(self) -> None:
        from jobs import checks  # noqa: F401  registers the system checks
        from jobs.models.change_marks import build_marks
        from jobs.models.guards import build_guards
        from jobs.models.walls import build_walls, drop_walls
        from jobs.web import session_limits  # noqa: F401  hears of every sign-in

        pre_migrate.connect(drop_walls, sender=self)
        post_migrate.connect(build_walls, sender=self)
        post_migrate.connect(build_marks, sender=self)
        post_migrate.connect(build_guards, sender=self)
