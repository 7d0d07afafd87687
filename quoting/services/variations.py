"""Deeds on changes of an order after it was accepted."""

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed, lock
from base.models import Person
from consult.journal import apply, update
from consult.models import Option, Project
from quoting.models import Acceptance, Quote, QuoteOverride, Revision
from quoting.services.copies import copied
from quoting.varying import what_stands


@deed()
def variation_start(*, by: Person, revision: Revision) -> Quote:
    """A draft that changes an order. It begins with all that was ordered, the chosen options in."""
    lock(Quote(pk=revision.quote_id))
    order = revision.quote.varies or revision
    stands = what_stands(order)
    if stands is None:
        raise Refusal(_("Nobody has accepted this issue: start a revision of it instead."))
    _take_what_was_chosen(by, revision.quote.project, stands)
    source = stands.revision.quote
    made = copied(by=by, source=source, project=source.project)
    made.varies = order
    made.save(update_fields=["varies"])
    for row in QuoteOverride.objects.filter(quote=source):
        row.pk = None
        row._state.adding = True
        row.quote = made
        row.save()
    return made


def _take_what_was_chosen(by: Person, project: Project, stands: Acceptance) -> None:
    """The design takes the options that were ordered, so that only what changes is a change."""
    chosen = set(stands.options)
    changes = [
        update(option, is_in=str(option.pk) in chosen)
        for option in Option.objects.filter(project=project)
        if option.is_in != (str(option.pk) in chosen)
    ]
    if changes:
        lock(project)
        apply(
            project=project, by=by, title="option_take", about=str(stands.revision), changes=changes
        )
