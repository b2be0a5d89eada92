"""The pages about what the studio has and owes: orders, moulds, kiln and the studio itself."""

from __future__ import annotations

from django.urls import path

from studio.views.kiln import kiln, kiln_load, kiln_pack
from studio.views.moulds import moulds, moulds_form
from studio.views.order import order, order_new
from studio.views.orders import orders

urlpatterns = [
    path("orders/", orders, name="orders"),
    path("orders/new/", order_new, name="order_new"),
    path("orders/<str:order>/", order, name="order"),
    path("moulds/", moulds, name="moulds"),
    path("moulds/<str:form>/", moulds_form, name="moulds_form"),
    path("kiln/", kiln, name="kiln"),
    path("kiln/load/<str:firing>/", kiln_load, name="kiln_load"),
    path("kiln/<str:kiln>/pack/", kiln_pack, name="kiln_pack"),
]
