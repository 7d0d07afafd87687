"""How gunicorn serves the app, here and in a container. It reads this file by itself."""

import gc
import os
import sys

# Threads of the matrix library that wait for one another cost more than they bring on a busy server.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# The search for the cheapest plan gives way to what people wait for.
os.environ.setdefault("PLANS_APART", "1")

wsgi_app = "showroom.wsgi:application"
bind = f"{os.environ.get('HOST', '127.0.0.1')}:{os.environ.get('PORT', '8000')}"
worker_class = "gthread"
workers = int(os.environ.get("WEB_WORKERS", "2"))
threads = int(os.environ.get("WEB_THREADS", "4"))
# A large PDF or upload takes seconds; whatever takes longer than this hangs.
timeout = 60
graceful_timeout = 8
# A worker's sign of life is a file: on a disk it can stall behind other writing.
worker_tmp_dir = "/dev/shm" if os.path.isdir("/dev/shm") else None  # noqa: PTH112, S108
# The control socket wants a writable home, which a container has not.
control_socket_disable = True
accesslog = "-" if os.environ.get("ACCESS_LOG") == "1" else None
loglevel = os.environ.get("WEB_LOG_LEVEL", "warning")


def post_worker_init(worker: object) -> None:
    """A short request that waits for the database often must not wait each time for a long one.

    Threads take turns every half a millisecond instead of every five: an edit asks the database a
    dozen times, and would else stand behind a plan being worked out after each. What is kept in
    memory lives long: it is looked through for garbage seldom, and not at all where it was there at
    the start.
    """
    sys.setswitchinterval(0.0005)
    gc.collect()
    gc.freeze()
    gc.set_threshold(10_000, 20, 100)
