"""Addresses: all of them are the pages of jobs."""

from django.urls import include, path

urlpatterns = [path("", include("jobs.urls"))]
