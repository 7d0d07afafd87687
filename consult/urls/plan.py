"""Paths of the control plan, its diagram, the findings and the comparison."""

from django.urls import path

from consult.views import comparison, findings, plan

urlpatterns = [
    path("projects/<uuid:project_id>/plan/", plan.plan, name="plan"),
    path("projects/<uuid:project_id>/plan/diagram/", plan.diagram, name="diagram"),
    path("projects/<uuid:project_id>/plan/cost/", plan.plan_cost, name="plan_cost"),
    path("projects/<uuid:project_id>/plan/free/", plan.plan_free, name="plan_free"),
    path("projects/<uuid:project_id>/plan/closed/", plan.plan_closed, name="plan_closed"),
    path("projects/<uuid:project_id>/fixed/add/<slug:kind>/", plan.fixed_add, name="fixed_add"),
    path("fixed/<uuid:fixed_id>/remove/", plan.fixed_remove, name="fixed_remove"),
    path("projects/<uuid:project_id>/findings/", findings.findings, name="findings"),
    path("rooms/<uuid:room_id>/findings/", findings.room_findings, name="room_findings"),
    path("projects/<uuid:project_id>/findings/aside/", findings.set_aside, name="finding_aside"),
    path("findings/<uuid:aside_id>/take-up/", findings.take_up, name="finding_take_up"),
    path("projects/<uuid:project_id>/comparison/", comparison.comparison, name="comparison"),
    path(
        "projects/<uuid:project_id>/comparison/cost/",
        comparison.comparison_cost,
        name="comparison_cost",
    ),
    path(
        "projects/<uuid:project_id>/comparison/pieces/",
        comparison.pieces,
        name="switching_pieces",
    ),
]
