from django.urls import path

from jobs.web.views import floor_sketch, survey, survey_import

urlpatterns = [
    path("", survey.survey, name="survey"),
    path("areas/add/", survey.add_area, name="add_area"),
    path("areas/<int:pk>/", survey.survey_area, name="survey_area"),
    path("areas/<int:pk>/remove/", survey.remove_area, name="remove_area"),
    path("rooms/add/", survey.add_room, name="add_room"),
    path("rooms/<int:pk>/", survey.survey_room, name="survey_room"),
    path("rooms/<int:pk>/remove/", survey.remove_room, name="remove_room"),
    path("rooms/<int:pk>/points/", survey.add_points, name="add_points"),
    path("points/<int:pk>/", survey.change_points, name="change_points"),
    path("points/<int:pk>/remove/", survey.remove_points, name="remove_points"),
    path("circuits/add/", survey.add_circuit, name="add_circuit"),
    path("circuits/<int:pk>/", survey.survey_circuit, name="survey_circuit"),
    path("circuits/<int:pk>/remove/", survey.remove_circuit, name="remove_circuit"),
    # where its cables go
    path("sketch/", floor_sketch.floor_sketch, name="floor_sketch"),
    path("circuits/<int:pk>/length/", floor_sketch.correct_length, name="correct_length"),
    path("circuits/<int:pk>/length/take-back/", floor_sketch.take_back_length, name="take_back_length"),
    # survey files
    path("import/", survey_import.survey_import, name="survey_import"),
    path("import/<int:pk>/", survey_import.survey_preview, name="survey_preview"),
    path("import/<int:pk>/drop/", survey_import.drop_survey_upload, name="drop_survey_upload"),
    path("files/<slug:content>.<slug:extension>", survey_import.survey_file, name="survey_file"),
]
