"""Work done after a request: the light of a whole house."""

from django.tasks import task


@task
def work_out_light(project_id: str, token: str) -> None:
    """Work out the light of every room of a project and draw its pictures. Safe to repeat."""
    from consult.light import whole_house

    whole_house.work(project_id, token)
