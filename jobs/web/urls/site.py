from django.urls import path

from jobs.web.views import calculators, joists, phone_app, photos, readings_site, site, sync, van

urlpatterns = [
    path("", site.today, name="today"),
    path("jobs/<int:pk>/", site.site_job, name="site_job"),
    path("jobs/<int:pk>/cuts/", site.site_cuts, name="site_cuts"),
    path("jobs/<int:pk>/readings/<slug:when>/", readings_site.site_readings, name="site_readings"),
    path("jobs/<int:pk>/readings/<slug:when>/record/", site.record_readings, name="record_readings"),
    path("van/", van.site_van, name="site_van"),
    path("van/record/", site.record_on_van, name="record_on_van"),
    path("rooms/<int:pk>/", site.site_room, name="site_room"),
    path("jobs/<int:pk>/record/", site.record_on_job, name="record_on_job"),
    path("rooms/<int:pk>/record/", site.record_in_room, name="record_in_room"),
    path("rooms/<int:pk>/sheet/", site.room_sheet, name="room_sheet"),
    path("lines/<int:pk>/", site.mark_line, name="mark_line"),
    path("manifest.webmanifest", phone_app.manifest, name="manifest"),
    path("worker.js", phone_app.worker, name="worker"),
    path("offline/", phone_app.offline, name="offline"),
    path("photos/<int:pk>/", photos.photo, name="photo"),
    path("photos/<int:pk>/small/", photos.thumbnail, name="thumbnail"),
    path("joists/", joists.joists, name="joists"),
    path("calculators/", calculators.calculators, name="calculators"),
    path("calculators/rules/", calculators.site_rules, name="site_rules"),
    path("hello", sync.hello, name="hello"),
    path("sync", sync.sync, name="sync"),
    path("photo", sync.sync_photo, name="sync_photo"),
]
