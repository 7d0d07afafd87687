"""Files and forms that the tests of visits share."""

import datetime
import io
import secrets

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from consult.services import visits


def a_picture(kind="JPEG", size=(64, 48), colour=(180, 140, 60)):
    kept = io.BytesIO()
    Image.new("RGB", size, colour).save(kept, kind)
    return kept.getvalue()


def a_pdf(pages=1, *, packed=True, password=""):
    import pikepdf

    pdf, kept = pikepdf.new(), io.BytesIO()
    for _page in range(pages):
        pdf.add_blank_page()
    mode = pikepdf.ObjectStreamMode.generate if packed else pikepdf.ObjectStreamMode.disable
    lock = {"encryption": pikepdf.Encryption(owner=password, user=password)} if password else {}
    pdf.save(kept, object_stream_mode=mode, **lock)
    return kept.getvalue()


def sent(content, name="plan.pdf", kind="application/pdf"):
    return SimpleUploadedFile(name, content, content_type=kind)


def a_visit_link(*, by, project, days=7, **values):
    """A link before the visit and its secret."""
    secret = secrets.token_urlsafe(32)
    until = timezone.now() + datetime.timedelta(days=days)
    given = {"for_whom": "Ida Marrow", "until": until, **values}
    return visits.visit_link_make(by=by, project=project, secret=secret, **given), secret


def an_appointment_form(by, *, days=9, **values):
    """What the form of an appointment sends."""
    day = timezone.localdate() + datetime.timedelta(days=days)
    return {
        "kind": "consultation", "day": day.isoformat(), "hour": "10:30", "minutes": "90",
        "place": "4 Pulley Lane", "guest": "Ida Marrow", "guest_email": "ida@post.example",
        "colleague": str(by.pk), "words": "Bring the plans.", **values,
    }  # fmt: skip
