"""The pages about what the studio has and owes: orders, moulds, kiln and the studio itself."""

from __future__ import annotations

from django.urls import path

from studio.views.casting import casting, plaster_stock
from studio.views.clay import clay
from studio.views.faults import faults
from studio.views.glaze import glaze
from studio.views.kiln import kiln, kiln_load, kiln_pack
from studio.views.kiln_firing import kiln_firing
from studio.views.members import workshop_invite, workshop_members
from studio.views.mould_lives import moulds_lives
from studio.views.moulds import moulds, moulds_form
from studio.views.offline import workshop_phone
from studio.views.order import order, order_new
from studio.views.orders import orders
from studio.views.plaster import plaster
from studio.views.profile import profile
from studio.views.reckoning import reckoning
from studio.views.shelf import shelf
from studio.views.size import size
from studio.views.trials import trials
from studio.views.when import when
from studio.views.workshop import workshop, workshop_first
from studio.views.workshop_forms import workshop_form, workshop_forms
from studio.views.workshop_kilns import workshop_glazes, workshop_kilns
from studio.views.workshop_other import workshop_other
from studio.views.workshop_people import workshop_people, workshop_person
from studio.views.workshop_studio import workshop_studio
from studio.views.workshop_tools import workshop_racks, workshop_stations
from studio.views.workshop_ware import workshop_ware

urlpatterns = [
    path("orders/", orders, name="orders"),
    path("orders/new/", order_new, name="order_new"),
    path("orders/<str:order>/", order, name="order"),
    path("shelf/", shelf, name="shelf"),
    path("when/", when, name="when"),
    path("moulds/", moulds, name="moulds"),
    path("moulds/plaster/", plaster, name="plaster"),
    path("moulds/lives/", moulds_lives, name="moulds_lives"),
    path("moulds/stock/", plaster_stock, name="plaster_stock"),
    path("moulds/cast/<str:cast>/", casting, name="casting"),
    path("moulds/<str:form>/", moulds_form, name="moulds_form"),
    path("clay/", clay, name="clay"),
    path("kiln/", kiln, name="kiln"),
    path("kiln/load/<str:firing>/", kiln_load, name="kiln_load"),
    path("kiln/<str:kiln>/pack/", kiln_pack, name="kiln_pack"),
    path("kiln/<str:kiln>/fires/<str:program>/", kiln_firing, name="kiln_firing"),
    path("workshop/", workshop, name="workshop"),
    path("faults/", faults, name="faults"),
    path("workshop/reckoning/", reckoning, name="reckoning"),
    path("workshop/first/", workshop_first, name="workshop_first"),
    path("workshop/studio/", workshop_studio, name="workshop_studio"),
    path("workshop/people/", workshop_people, name="workshop_people"),
    path("workshop/people/<str:person>/", workshop_person, name="workshop_person"),
    path("workshop/stations/", workshop_stations, name="workshop_stations"),
    path("workshop/racks/", workshop_racks, name="workshop_racks"),
    path("workshop/kilns/", workshop_kilns, name="workshop_kilns"),
    path("workshop/glazes/", workshop_glazes, name="workshop_glazes"),
    path("workshop/glazes/<str:glaze>/", glaze, name="glaze"),
    path("workshop/forms/", workshop_forms, name="workshop_forms"),
    path("workshop/forms/<str:form>/", workshop_form, name="workshop_form"),
    path("workshop/forms/<str:form>/profile/", profile, name="profile"),
    path("workshop/forms/<str:form>/trials/", trials, name="trials"),
    path("workshop/size/", size, name="size"),
    path("workshop/other/", workshop_other, name="workshop_other"),
    path("workshop/phone/", workshop_phone, name="workshop_phone"),
    path("workshop/ware/", workshop_ware, name="workshop_ware"),
    path("workshop/members/", workshop_members, name="workshop_members"),
    path("workshop/invite/", workshop_invite, name="workshop_invite"),
]
