"""The product's pages with the yardsticks of the page bench beside them, in one set of addresses."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_GET, require_POST

from jobs.management.bench.bare_view import one_query
from jobs.models import AttemptCount
from rewire import urls

ONE_QUERY, ONE_INSERT = "/bare/query/", "/bare/insert/"


@csrf_exempt
@require_POST
def one_insert(request: HttpRequest) -> HttpResponse:
    return HttpResponse(str(AttemptCount.objects.create(key=uuid.uuid4().hex, window_starts_at=timezone.now())))


urlpatterns = [path(ONE_QUERY[1:], require_GET(one_query)), path(ONE_INSERT[1:], one_insert), *urls.urlpatterns]
