"""Paths of the catalogue."""

from django.urls import path

from catalogue.views import bench, editing, labour, photometric, prices, products, suppliers

app_name = "catalogue"
PRODUCT = "catalogue/product/<uuid:product_id>/"
urlpatterns = [
    path("catalogue/", products.products, name="products"),
    path("catalogue/suggest/", products.suggest, name="suggest"),
    path("catalogue/add/", editing.product_kinds, name="product_kinds"),
    path("catalogue/add/<str:kind>/", editing.product_add, name="product_add"),
    path(PRODUCT, products.product, name="product"),
    path(f"{PRODUCT}edit/", editing.product_edit, name="product_edit"),
    path(f"{PRODUCT}copy/", editing.product_copy, name="product_copy"),
    path(f"{PRODUCT}discontinue/", editing.product_discontinue, name="product_discontinue"),
    path(f"{PRODUCT}sell-again/", editing.product_sell_again, name="product_sell_again"),
    path(f"{PRODUCT}picture/", editing.product_picture, name="product_picture"),
    path(f"{PRODUCT}price/", prices.price_set, name="price_set"),
    path(f"{PRODUCT}price/<uuid:price_id>/remove/", prices.price_remove, name="price_remove"),
    path("catalogue/photometric/", photometric.photometric, name="photometric"),
    path(
        f"{PRODUCT}photometric/<int:feed_number>/",
        photometric.photometric_attach,
        name="photometric_attach",
    ),
    path(
        f"{PRODUCT}photometric/<int:feed_number>/remove/",
        photometric.photometric_remove,
        name="photometric_remove",
    ),
    path("catalogue/tried/", bench.bench, name="bench"),
    path("catalogue/tried/add/", bench.bench_add, name="bench_add"),
    path("catalogue/tried/<uuid:test_id>/", bench.bench_change, name="bench_change"),
    path("catalogue/tried/<uuid:test_id>/remove/", bench.bench_remove, name="bench_remove"),
    path("catalogue/suppliers/", suppliers.suppliers, name="suppliers"),
    path("catalogue/suppliers/add/", suppliers.supplier_add, name="supplier_add"),
    path("catalogue/suppliers/<uuid:supplier_id>/", suppliers.supplier, name="supplier"),
    path("catalogue/families/", suppliers.families, name="families"),
    path("catalogue/families/add/", suppliers.family_add, name="family_add"),
    path("catalogue/families/<uuid:family_id>/", suppliers.family, name="family"),
    path("catalogue/figures/<str:what>/", labour.dated, name="dated"),
    path("catalogue/figures/<str:what>/set/", labour.dated_set, name="dated_set"),
    path(
        "catalogue/figures/<str:what>/<uuid:row_id>/take-back/",
        labour.dated_take_back,
        name="dated_take_back",
    ),
]
