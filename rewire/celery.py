"""Celery application: `celery -A rewire worker`, with REDIS_URL set."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "rewire.settings")
app = Celery("rewire")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
