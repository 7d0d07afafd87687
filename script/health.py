"""Asks a Gloaming on this machine whether it is ready. Exit code 0 says that it is.

For a container's health check and for script/serve.py. Needs only the standard library.
"""

import http.client
import os
import sys


def allowed_host() -> str:
    """A host name that the app answers to, from ALLOWED_HOSTS as the app reads it."""
    first = os.environ.get("ALLOWED_HOSTS", "127.0.0.1").split(",")[0].strip().lstrip(".")
    return first if first not in {"", "*"} else "127.0.0.1"


def is_ready(port: int, timeout_s: float = 3) -> bool:
    """Whether the app on this port of this machine says that it is ready.

    It is asked under its own name and as if over HTTPS, so that neither ALLOWED_HOSTS nor SECURE
    stands in the way. No proxy of the environment is used.
    """
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=timeout_s)
    headers = {"Host": allowed_host(), "X-Forwarded-Proto": "https"}
    try:
        connection.request("GET", "/health/ready", headers=headers)
        return connection.getresponse().status == 200
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


if __name__ == "__main__":
    sys.exit(0 if is_ready(int(os.environ.get("PORT", "8000"))) else 1)
