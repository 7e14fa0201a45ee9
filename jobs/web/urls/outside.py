from django.urls import path

from jobs.web.views import feeds, outside

urlpatterns = [
    path("calendar/<str:token>.ics", feeds.calendar_feed, name="calendar_feed"),
    path("t/<str:token>/", outside.trade_page, name="trade_page"),
    path("t/<str:token>/answer/", outside.answer_visit, name="answer_visit"),
    path("robots.txt", outside.robots, name="robots"),
]
