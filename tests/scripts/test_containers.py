"""The image and the compose file fit the project and each other.

No container engine runs these tests, so they read the files: what the compose specification asks of
the keys used here, and what the project needs of them.
"""

import re
import subprocess
import tomllib
from typing import Any

import pytest
import yaml

from tests.scripts.conftest import ROOT

COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]
APP_SERVICES = {
    name: service for name, service in SERVICES.items() if service["image"] == "gloaming"
}
DOCKERFILE = (ROOT / "Dockerfile").read_text()

# Keys of a service in the compose specification (compose-spec, "05-services"), with the type of
# the form that is used here.
SERVICE_KEYS: dict[str, type | tuple[type, ...]] = {
    "build": str,
    "cap_drop": list,
    "command": list,
    "depends_on": dict,
    "environment": dict,
    "healthcheck": dict,
    "image": str,
    "init": bool,
    "ports": list,
    "read_only": bool,
    "restart": str,
    "security_opt": list,
    "shm_size": str,
    "stop_grace_period": str,
    "tmpfs": list,
    "volumes": list,
}
HEALTHCHECK_KEYS = {"test", "interval", "timeout", "retries", "start_period", "disable"}
CONDITIONS = {"service_started", "service_healthy", "service_completed_successfully"}


def test_the_top_level_has_only_keys_of_the_specification() -> None:
    assert {key for key in COMPOSE if not key.startswith("x-")} == {"name", "services", "volumes"}


@pytest.mark.parametrize("name", SERVICES)
def test_a_service_has_only_keys_of_the_specification_with_their_types(name: str) -> None:
    for key, value in SERVICES[name].items():
        assert isinstance(value, SERVICE_KEYS[key]), key
    assert SERVICES[name]["restart"] in {"no", "always", "on-failure", "unless-stopped"}
    assert set(SERVICES[name].get("healthcheck", {})) <= HEALTHCHECK_KEYS


@pytest.mark.parametrize("name", SERVICES)
def test_settings_are_text_or_numbers(name: str) -> None:
    """YAML would make a boolean of yes and no, which the specification refuses in an environment."""
    for key, value in SERVICES[name].get("environment", {}).items():
        assert isinstance(value, str | int) and not isinstance(value, bool), key


@pytest.mark.parametrize("name", SERVICES)
def test_what_a_service_waits_for_exists_and_can_come_true(name: str) -> None:
    for other, how in SERVICES[name].get("depends_on", {}).items():
        assert how["condition"] in CONDITIONS
        if how["condition"] == "service_healthy":
            assert "test" in SERVICES[other]["healthcheck"]
        if how["condition"] == "service_completed_successfully":
            assert SERVICES[other]["restart"] == "no", "what starts again never completes"


@pytest.mark.parametrize("name", SERVICES)
def test_named_volumes_are_declared(name: str) -> None:
    for volume in SERVICES[name].get("volumes", []):
        assert volume.split(":")[0] in COMPOSE["volumes"]


def test_web_worker_and_migration_share_one_image_and_the_database() -> None:
    assert set(APP_SERVICES) == {"web", "worker", "migrate"}
    for service in APP_SERVICES.values():
        assert "@database:5432/" in service["environment"]["DATABASE_URL"]
        assert service["read_only"] is True
        assert "/tmp" in service["tmpfs"]
        assert "data:/data" in service["volumes"]
        assert "database" in service["depends_on"]


def test_the_database_keeps_its_data_and_has_a_password() -> None:
    database = SERVICES["database"]
    assert "database:/var/lib/postgresql/data" in database["volumes"]
    assert database["environment"]["POSTGRES_PASSWORD"].startswith("${POSTGRES_PASSWORD:?")
    assert "ports" not in database, "nobody outside needs it"


def test_the_published_port_is_the_one_that_the_image_serves() -> None:
    served = re.search(r"^EXPOSE (\d+)$", DOCKERFILE, re.MULTILINE)
    assert served
    (published,) = SERVICES["web"]["ports"]
    assert published.endswith(f":{served[1]}")
    assert f"PORT={served[1]}" in DOCKERFILE


def test_every_variable_of_the_compose_file_is_in_the_example() -> None:
    used = set(re.findall(r"\$\{(\w+)", (ROOT / "docker-compose.yml").read_text()))
    offered = set(re.findall(r"^(\w+)=", (ROOT / ".env.example").read_text(), re.MULTILINE))
    assert used == offered


def test_every_setting_of_the_compose_file_is_one_that_the_app_reads() -> None:
    read = (ROOT / "showroom/settings.py").read_text() + (ROOT / "gunicorn.conf.py").read_text()
    for service in APP_SERVICES.values():
        for name in service["environment"]:
            assert f'"{name}"' in read, name


def allowed() -> list[str]:
    lines = (ROOT / ".dockerignore").read_text().splitlines()
    return [line.removeprefix("!") for line in lines if line.startswith("!")]


def test_every_package_gets_into_the_image() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    packages = project["tool"]["importlinter"]["root_packages"]
    assert {*packages, "templates", "static", "manage.py", "constraints.txt"} <= set(allowed())


def test_nothing_private_gets_into_the_image() -> None:
    assert (ROOT / ".dockerignore").read_text().splitlines()[1] == "*"
    assert not {".env", "var", ".git", ".venv", "tests"} & set(allowed())
    ignored = subprocess.run(
        ["git", "check-ignore", "--no-index", *allowed()], cwd=ROOT, capture_output=True, text=True
    )
    assert ignored.stdout == ""


def stage(number: int) -> str:
    return re.split(r"^FROM ", DOCKERFILE, flags=re.MULTILINE)[number]


def test_the_image_does_not_run_as_root() -> None:
    (user,) = re.findall(r"^USER (\S+)$", stage(2), re.MULTILINE)
    assert user not in {"root", "0"}
    assert stage(2).rindex("\nRUN ") < stage(2).rindex("\nUSER ") < stage(2).rindex("\nCMD ")


def test_the_image_has_the_libraries_that_pdfs_need() -> None:
    import check_libraries

    for package in check_libraries.LIBRARIES:
        assert re.search(rf"\b{re.escape(package)}\b", stage(2)), package


def test_packages_are_installed_by_their_hashes_only() -> None:
    assert re.findall(r"pip install[^\n]*", DOCKERFILE) == [
        "pip install --no-cache-dir --no-input --require-hashes -r /tmp/constraints.txt"
    ]
