from django.urls import path

from jobs.web.views import customer, feeds, handover, outside

urlpatterns = [
    path("calendar/<str:token>.ics", feeds.calendar_feed, name="calendar_feed"),
    path("t/<str:token>/", outside.trade_page, name="trade_page"),
    path("t/<str:token>/answer/", outside.answer_visit, name="answer_visit"),
    path("c/<str:token>/", customer.customer_page, name="customer_page"),
    path("c/<str:token>/found/<int:pk>/", customer.customer_variation, name="customer_variation"),
    path("c/<str:token>/photos/<int:pk>/", customer.customer_photo, name="customer_photo"),
    path("c/<str:token>/photos/<int:pk>/small/", customer.customer_thumbnail, name="customer_thumbnail"),
    path("c/<str:token>/pack/", handover.customer_pack, name="customer_pack"),
    path("c/<str:token>/pack/pdf/", handover.customer_pack_pdf, name="customer_pack_pdf"),
    path("c/<str:token>/pack/photos/<int:pk>/", handover.customer_pack_photo, name="customer_pack_photo"),
    path("robots.txt", outside.robots, name="robots"),
]
