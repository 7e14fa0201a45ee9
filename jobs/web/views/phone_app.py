"""What makes the site pages an app on a phone: manifest, worker, the page for no signal."""

from functools import cache
from hashlib import sha256
from pathlib import Path

from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_GET

SHELL = (
    "jobs/rewire.css", "jobs/site.css", "jobs/outbox.js", "jobs/stopwatch.js", "jobs/records.js", "jobs/van.js",
    "jobs/site.js", "jobs/sketch.js", "jobs/expected.js", "jobs/readings.js", "jobs/stores.css", "jobs/icon.svg",
)
"""Static files without which a kept page would not work."""
ICONS = (("192", "any"), ("512", "any"), ("maskable-512", "maskable"))


@require_GET
def manifest(request: HttpRequest) -> HttpResponse:
    icons = [
        {"src": static(f"jobs/icons/icon-{name}.png"), "sizes": "x".join([name.split("-")[-1]] * 2),
         "type": "image/png", "purpose": purpose}
        for name, purpose in ICONS
    ]
    body = {
        "id": reverse("today"), "name": "rewire on site", "short_name": "rewire", "lang": "en-GB",
        "start_url": reverse("today"), "scope": "/", "display": "standalone",
        "background_color": "#faf7f1", "theme_color": "#ffffff", "icons": icons,
    }
    return JsonResponse(body, content_type="application/manifest+json")


@cache_control(no_cache=True)
@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker; its address decides that it looks after the site pages only."""
    page = {"files": [static(name) for name in SHELL], "version": shell_version()}
    return render(request, "site/worker.js", page, content_type="text/javascript")


@require_GET
def offline(request: HttpRequest) -> HttpResponse:
    return render(request, "site/offline.html")


@cache
def shell_version() -> str:
    """Changes with any file of the shell, so that phones fetch all of them anew together."""
    contents = (Path(finders.find(name)).read_bytes() for name in SHELL)
    return sha256(b"".join(sha256(content).digest() for content in contents)).hexdigest()[:16]
