from django.urls import path

from jobs.web.views import readings, readings_import

urlpatterns = [
    path("", readings.job_readings, name="job_readings"),
    # files of readings
    path("import/", readings_import.import_readings, name="import_readings"),
    path("import/<int:pk>/", readings_import.preview_readings, name="preview_readings"),
    path("import/<int:pk>/drop/", readings_import.drop_readings, name="drop_readings"),
    path("files/<slug:when>/<slug:content>.<slug:extension>", readings_import.readings_file, name="readings_file"),
    path("<slug:when>/<int:pk>/", readings.enter_readings, name="enter_readings"),
]
