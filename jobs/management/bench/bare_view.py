"""The yardstick of the page bench: a site of one view that makes one query and answers with its result."""

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.views.decorators.http import require_GET

from jobs.models import Firm


@require_GET
def one_query(request: HttpRequest) -> HttpResponse:
    return HttpResponse(str(Firm.objects.first()))


urlpatterns = [path("", one_query)]
