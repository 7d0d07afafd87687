#!/usr/bin/env python
"""Django's command line for Gloaming."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "showroom.settings")
    # As in gunicorn.conf.py: for the task worker, which draws pictures too.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
