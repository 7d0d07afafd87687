"""Paths of the consultation, by subject."""

from consult.urls import brief, house, light, people, plan, playing, sheet, table

app_name = "consult"
urlpatterns = [
    *people.urlpatterns,
    *brief.urlpatterns,
    *house.urlpatterns,
    *sheet.urlpatterns,
    *playing.urlpatterns,
    *plan.urlpatterns,
    *light.urlpatterns,
    *table.urlpatterns,
]
