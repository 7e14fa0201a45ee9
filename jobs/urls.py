from django.urls import include, path

urlpatterns = [
    path("", include("jobs.web.urls.week")),
    path("jobs/catalogue/", include("jobs.web.urls.catalogue")),
    path("jobs/", include("jobs.web.urls.jobs")),
    path("jobs/<int:job_pk>/survey/", include("jobs.web.urls.survey")),
    path("jobs/<int:job_pk>/readings/", include("jobs.web.urls.readings")),
    path("stores/", include("jobs.web.urls.stores")),
    path("trades/", include("jobs.web.urls.trades")),
    path("crew/", include("jobs.web.urls.crew")),
    path("firm/", include("jobs.web.urls.firm")),
    path("site/", include("jobs.web.urls.site")),
    path("", include("jobs.web.urls.outside")),
    path("", include("jobs.web.urls.sign_in")),
]
