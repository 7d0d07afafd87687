"""Paths of the consultation, by subject."""

from consult.urls import house, people, plan, playing, sheet

app_name = "consult"
urlpatterns = [
    *people.urlpatterns,
    *house.urlpatterns,
    *sheet.urlpatterns,
    *playing.urlpatterns,
    *plan.urlpatterns,
]
