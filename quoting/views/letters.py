"""Sending an issue, its letters, its questions, its files for other programs, what changed in it."""

import uuid
from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from base import outbox
from base.models import Outbox
from consult.models import Project
from consult.views.shared import press
from quoting.documents.differing import groups, sums
from quoting.documents.rendering import render_pdf
from quoting.exports import csv_table, json_document, ubl_quotation, workbook
from quoting.forms import AnswerForm
from quoting.issued import read_offer
from quoting.models import Question, Quote, Revision
from quoting.services import links, questions
from quoting.views.issues import _link_of, revision_of

# How each file is written, its ending and its type.
WRITERS: dict[str, tuple[Callable[..., bytes], str, str]] = {
    "xlsx": (
        workbook.write,
        "xlsx",
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ),
    "csv": (csv_table.write, "csv", "text/csv; charset=utf-8"),
    "ubl": (ubl_quotation.write, "xml", "application/xml"),
    "json": (json_document.write, "json", "application/json"),
}


@require_safe
def export(request: HttpRequest, revision_id: uuid.UUID, form: str) -> HttpResponse:
    """The offer of an issue as a file for another program. It holds nothing of the costs."""
    if form not in WRITERS:
        raise Http404
    revision = revision_of(request, revision_id)
    write, ending, media_type = WRITERS[form]
    content = write(offer=read_offer(revision).to_content())
    response = HttpResponse(content, content_type=media_type)
    name = f"{revision.number}-{revision.letter}.{ending}"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _two_issues(request: HttpRequest, revision_id: uuid.UUID) -> dict[str, Any]:
    """An issue and the one before, or the one of `?from=` its letter, and what changed. Or 404."""
    new = revision_of(request, revision_id)
    earlier = Revision.objects.filter(quote=new.quote_id, order__lt=new.order)
    letter = request.GET.get("from", "")
    old = (earlier.filter(letter=letter) if letter else earlier).order_by("-order").first()
    if old is None:
        raise Http404
    before, after = read_offer(old), read_offer(new)
    return {
        "revision": new,
        "old": old,
        "before": before,
        "offer": after,
        "sums": sums(old=before, new=after),
        "groups": groups(old=before, new=after),
        "earlier": earlier.defer("offer", "internal"),
    }


@require_safe
def differences(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    """What changed since the issue before, or since the one of `?from=` its letter."""
    context = _two_issues(request, revision_id)
    context["project"] = context["revision"].quote.project
    return render(request, "quoting/differences.html", context)


@require_safe
def differences_pdf(request: HttpRequest, revision_id: uuid.UUID) -> HttpResponse:
    """The same on paper, made afresh from the two frozen offers."""
    context = _two_issues(request, revision_id)
    content = render_pdf("documents/differences.html", context)
    response = HttpResponse(content, content_type="application/pdf")
    new, old = context["revision"], context["old"]
    name = f"{new.number}-{old.letter}-{new.letter}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


@require_POST
def link_send(request: HttpRequest, link_id: uuid.UUID) -> HttpResponse:
    link = _link_of(request, link_id)
    return press(
        request,
        deed=links.link_send,
        onward=link.revision.get_absolute_url() + "#letters",
        said=_("The letter is on its way."),
        link=link,
        site=request.build_absolute_uri("/"),
        with_pdf=request.POST.get("pdf") == "1",
    )


def _letter_of(request: HttpRequest, letter_id: uuid.UUID) -> tuple[Outbox, str]:
    letter = get_object_or_404(Outbox, pk=letter_id)
    mine = Revision.objects.filter(quote__in=Quote.objects.for_user(request.user))
    revision = mine.filter(pk=_key(letter.about)).first()
    if revision is not None:
        return letter, revision.get_absolute_url() + "#letters"
    project = Project.objects.for_user(request.user).filter(design_fee=_key(letter.about)).first()
    if project is None:
        raise Http404
    return letter, reverse("quoting:fee", args=[project.pk]) + "#letters"


def _key(text: str) -> uuid.UUID:
    try:
        return uuid.UUID(text)
    except ValueError:
        return uuid.UUID(int=0)


@require_POST
def letter_again(request: HttpRequest, letter_id: uuid.UUID) -> HttpResponse:
    letter, onward = _letter_of(request, letter_id)
    return press(request, deed=outbox.letter_again, onward=onward, letter=letter)


@require_POST
def letter_settle(request: HttpRequest, letter_id: uuid.UUID) -> HttpResponse:
    letter, onward = _letter_of(request, letter_id)
    was_sent = request.POST.get("was_sent") == "1"
    return press(
        request, deed=outbox.letter_settle, onward=onward, letter=letter, was_sent=was_sent
    )


@require_POST
def question_answer(request: HttpRequest, question_id: uuid.UUID) -> HttpResponse:
    mine = Quote.objects.for_user(request.user)
    rows: Any = Question.objects.filter(revision__quote__in=mine).select_related("revision")
    question = get_object_or_404(rows, pk=question_id)
    form = AnswerForm(request.POST)
    answer = form.cleaned_data["answer"] if form.is_valid() else ""
    return press(
        request,
        deed=questions.question_answer,
        onward=question.revision.get_absolute_url() + "#questions",
        question=question,
        answer=answer,
        site=request.build_absolute_uri("/"),
    )
