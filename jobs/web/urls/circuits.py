from django.urls import path

from jobs.web.views import circuits, circuits_board

urlpatterns = [
    path("", circuits.circuit_schedule, name="circuit_schedule"),
    path("supply/", circuits.describe_supply, name="describe_supply"),
    path("<int:pk>/", circuits.circuit_design, name="circuit_design"),
    path("<int:pk>/describe/", circuits.describe_circuit, name="describe_circuit"),
    path("<int:pk>/use/", circuits.use_what_if, name="use_what_if"),
    path("board/", circuits_board.circuit_board, name="circuit_board"),
    path("chart/", circuits_board.circuit_chart, name="circuit_chart"),
    path("labels/", circuits_board.circuit_labels, name="circuit_labels"),
]
