"""All paths of the product, and the bare edit that its edits are compared with."""

import uuid

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST

from consult.models import Project
from showroom.urls import *  # noqa: F403
from showroom.urls import urlpatterns as of_the_product


@require_POST
def bare_edit(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """As little as an edit can be: the same middleware, one locked update, a short template."""
    with transaction.atomic():
        row = Project.objects.select_for_update().get(pk=project_id)
        Project.objects.filter(pk=row.pk).update(changed_at=timezone.now())
    return render(request, "bare_edit.html", {"row": row})


urlpatterns = [path("bare/<uuid:project_id>/", bare_edit), *of_the_product]
