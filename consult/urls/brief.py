"""Paths of the brief, notes, appointments, and of what is told before the visit."""

from django.urls import path

from consult.views import appointments, brief, visit_form, visits

urlpatterns = [
    path("projects/<uuid:project_id>/brief/", brief.brief, name="brief"),
    path("projects/<uuid:project_id>/brief/change/", brief.brief_change, name="brief_change"),
    path("projects/<uuid:project_id>/parties/add/", brief.party_add, name="party_add"),
    path("projects/parties/<uuid:party_id>/", brief.party_change, name="party_change"),
    path("projects/parties/<uuid:party_id>/remove/", brief.party_remove, name="party_remove"),
    path("projects/<uuid:project_id>/notes/", brief.notes, name="notes"),
    path("projects/<uuid:project_id>/notes/add/", brief.note_add, name="note_add"),
    path("rooms/<uuid:room_id>/notes/", brief.room_notes, name="room_notes"),
    path("projects/notes/<uuid:note_id>/", brief.note_change, name="note_change"),
    path("projects/notes/<uuid:note_id>/remove/", brief.note_remove, name="note_remove"),
    path("appointments/", appointments.appointments, name="appointments"),
    path(
        "projects/<uuid:project_id>/appointments/add/",
        appointments.appointment_add,
        name="appointment_add",
    ),
    path("appointments/<uuid:appointment_id>/", appointments.appointment, name="appointment"),
    path(
        "appointments/<uuid:appointment_id>/change/",
        appointments.appointment_change,
        name="appointment_change",
    ),
    path(
        "appointments/<uuid:appointment_id>/cancel/",
        appointments.appointment_cancel,
        name="appointment_cancel",
    ),
    path(
        "appointments/<uuid:appointment_id>/mail-again/",
        appointments.appointment_mail_again,
        name="appointment_mail_again",
    ),
    path(
        "appointments/<uuid:appointment_id>/appointment.ics",
        appointments.appointment_file,
        name="appointment_file",
    ),
    path(
        "projects/<uuid:project_id>/before-visit/make/",
        visits.visit_link_make,
        name="visit_link_make",
    ),
    path("before-visit/<uuid:link_id>/", visits.visit, name="visit_answers"),
    path("before-visit/<uuid:link_id>/remake/", visits.visit_link_remake, name="visit_link_remake"),
    path("before-visit/<uuid:link_id>/revoke/", visits.visit_link_revoke, name="visit_link_revoke"),
    path("before-visit/<uuid:link_id>/take-over/", visits.visit_take_over, name="visit_take_over"),
    path("before-visit/<uuid:link_id>/settle/", visits.visit_settle, name="visit_settle"),
]
# What a link opens, by its secret.
urlpatterns += [
    path("v/<str:secret>/", visit_form.visit_form, name="visit_form"),
    path("v/<str:secret>/wishes/", visit_form.visit_wishes, name="visit_wishes"),
    path("v/<str:secret>/rooms/add/", visit_form.visit_room_add, name="visit_room_add"),
    path(
        "v/<str:secret>/rooms/<uuid:room_id>/remove/",
        visit_form.visit_room_remove,
        name="visit_room_remove",
    ),
    path("v/<str:secret>/files/add/", visit_form.visit_files_add, name="visit_files_add"),
    path(
        "v/<str:secret>/files/<uuid:file_id>/remove/",
        visit_form.visit_file_remove,
        name="visit_file_remove",
    ),
    path("v/<str:secret>/send/", visit_form.visit_send, name="visit_send"),
    path("v/<str:secret>/appointment.ics", visit_form.visit_calendar, name="visit_calendar"),
]
