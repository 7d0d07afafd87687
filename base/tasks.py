"""Work done after a request: letters are handed over."""

from django.tasks import task


@task
def deliver_letter(key: str) -> None:
    """Hand over one letter, if it is due. A failed one is tried again by `manage.py deliver_mail`."""
    from base import outbox

    outbox.deliver(key)
