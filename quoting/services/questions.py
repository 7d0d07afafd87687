"""Deeds on questions: a client asks about an issue, a room or a line; the office answers."""

from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Business, Person
from base.outbox import write
from quoting.issued import read_offer
from quoting.models import Link, Question, Revision
from quoting.offer import Offer

MOST_OPEN = 30  # an address that leaks must not fill the office's page


def places(offer: Offer) -> list[tuple[str, list[tuple[str, str]]]]:
    """What may be asked about: rooms and sections with their lines, by key and name."""
    found = [
        (room.name, [(room.key, room.name), *((x.key, x.client_name or x.description) for x in room.lines)])
        for room in offer.rooms
    ]  # fmt: skip
    for section in offer.sections():
        lines = [(x.key, x.client_name or x.description) for x in section.lines]
        found.append((section.title, lines))
    return found


@deed()
def question_ask(
    *, by: None = None, link: Link, text: str, about: str = "", site: str = ""
) -> Question:
    """A client's question. It is kept, and a letter tells the office."""
    if not text.strip():
        raise Refusal(_("Write your question."))
    fresh = Link.objects.select_related("revision__quote").get(pk=link.pk)
    if not fresh.works(at=timezone.now()) or fresh.audience != Link.Audience.CLIENT:
        raise Refusal(_("This link no longer works. Please ask the showroom for a new one."))
    if Question.objects.filter(revision=fresh.revision, answer="").count() >= MOST_OPEN:
        raise Refusal(_("Your earlier questions are not answered yet. Please wait for that."))
    asked = Question.objects.create(
        revision=fresh.revision,
        link=fresh,
        text=text.strip()[:2000],
        about=about,
        about_name=_name_of(fresh.revision, about),
    )
    if to := office_address(fresh.revision):
        ids = {"question": str(asked.pk), "site": site}
        write(name="question", to=to, ids=ids, about=str(fresh.revision_id))
    return asked


def _name_of(revision: Revision, about: str) -> str:
    if not about:
        return ""
    for group, members in places(read_offer(revision)):
        for key, name in members:
            if key == about:
                return name if name == group else f"{group}: {name}"
    raise Refusal(_("What you ask about is not part of this offer."))


@deed(locks="question")
def question_answer(*, by: Person, question: Question, answer: str, site: str = "") -> Question:
    """The office's answer. It shows on the client's page, and is mailed where there is an address."""
    if question.answer:
        raise Refusal(_("This question is answered already."))
    if not answer.strip():
        raise Refusal(_("Write the answer."))
    question.answer, question.answered_by = answer.strip(), by
    question.answered_at = timezone.now()
    question.version += 1
    question.save()
    if question.link and question.link.email:
        ids = {"question": str(question.pk), "site": site}
        to = question.link.email
        write(name="answer", to=to, ids=ids, about=str(question.revision_id), by=by)
    return question


def office_address(revision: Revision) -> str:
    """Where the office is written to: the business's own address, else whoever issued."""
    own = Business.objects.current().email
    return own or (revision.issued_by.email if revision.issued_by else "")
