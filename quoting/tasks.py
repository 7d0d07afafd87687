"""Work done after a request: documents of an issue."""

from django.tasks import task


@task
def make_documents(revision_id: str) -> None:
    """Render the documents of an issue and keep them with their digests. Safe to repeat."""
    from quoting.documents import keep_documents

    keep_documents(revision_id)
