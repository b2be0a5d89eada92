"""The pages of one studio, all below ``/s/<studio>/``."""

from __future__ import annotations

from django.urls import path

from studio.urls_workshop import urlpatterns as workshop
from studio.views.do import do
from studio.views.plan import plan
from studio.views.record import record, record_fact
from studio.views.shopping import shopping
from studio.views.today import seen, today
from studio.views.unplanned import unplanned
from studio.views.week import week
from studio.views.wrong import wrong

app_name = "studio"

urlpatterns = [
    path("", today, name="today"),
    path("do/", do, name="do"),
    path("seen/", seen, name="seen"),
    path("week/", week, name="week"),
    path("shopping/", shopping, name="shopping"),
    path("plan/", plan, name="plan"),
    path("unplanned/", unplanned, name="unplanned"),
    path("record/", record, name="record"),
    path("record/<str:fact>/", record_fact, name="record_fact"),
    path("wrong/", wrong, name="wrong"),
    path("wrong/<str:what>/", wrong, name="wrong_about"),
    *workshop,
]
