from django.urls import path

from jobs.web.views import stores, stores_book, stores_items, stores_jobs, stores_orders

urlpatterns = [
    path("", stores.stores, name="stores"),
    path("items/add/", stores_items.add_item, name="add_item"),
    path("items/<int:pk>/", stores.stores_item, name="stores_item"),
    path("items/<int:pk>/edit/", stores_items.edit_item, name="edit_item"),
    path("drums/", stores.drum_list, name="drum_list"),
    path("drums/<int:pk>/", stores.drum, name="drum"),
    path("book/<slug:what>/", stores_book.book_stock, name="book_stock"),
    path("count/", stores_book.count_list, name="count_list"),
    path("count/<int:pk>/", stores_book.count_stock, name="count_stock"),
    path("orders/", stores_orders.order_list, name="order_list"),
    path("orders/add/<int:supplier_pk>/", stores_orders.add_order, name="add_order"),
    path("orders/<int:pk>/", stores_orders.order, name="order"),
    path("orders/<int:pk>/receive/", stores_orders.receive_order, name="receive_order"),
    path("orders/<int:pk>/expect/", stores_orders.expect_order, name="expect_order"),
    path("orders/<int:pk>/cancel/", stores_orders.cancel_order, name="cancel_order"),
    path("suppliers/add/", stores_items.add_supplier, name="add_supplier"),
    path("suppliers/<int:pk>/edit/", stores_items.edit_supplier, name="edit_supplier"),
    path("job/<int:pk>/", stores_jobs.job_materials, name="job_materials"),
    path("job/<int:pk>/cuts/", stores_jobs.cut_list, name="cut_list"),
    path("van/", stores_jobs.van_load, name="van_load"),
]
