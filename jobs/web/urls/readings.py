from django.urls import path

from jobs.web.views import readings, readings_import, readings_sockets, readings_supply

urlpatterns = [
    path("", readings.job_readings, name="job_readings"),
    path("supply/", readings_supply.enter_supply, name="enter_supply"),
    path("power/", readings_supply.let_power_on, name="let_power_on"),
    # files of readings
    path("import/", readings_import.import_readings, name="import_readings"),
    path("import/<int:pk>/", readings_import.preview_readings, name="preview_readings"),
    path("import/<int:pk>/drop/", readings_import.drop_readings, name="drop_readings"),
    path("files/<slug:when>/<slug:content>.<slug:extension>", readings_import.readings_file, name="readings_file"),
    path("<slug:when>/<int:pk>/", readings.enter_readings, name="enter_readings"),
    path("<slug:when>/<int:pk>/sockets/", readings_sockets.enter_sockets, name="enter_sockets"),
]
