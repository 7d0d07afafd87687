# One image for the web process and the task worker. docs/operations/containers.md tells how to run it.
FROM debian:trixie-slim AS packages
# Security updates matter more here than the same bytes twice.
# hadolint ignore=DL3008
RUN apt-get update \
    && apt-get install -y --no-install-recommends ca-certificates python3 python3-venv \
    && rm -rf /var/lib/apt/lists/*
COPY constraints.txt /tmp/constraints.txt
RUN python3 -m venv /opt/venv \
    && /opt/venv/bin/python -m pip install --no-cache-dir --no-input --require-hashes -r /tmp/constraints.txt

FROM debian:trixie-slim
# Pango and HarfBuzz lay out the PDFs; the fonts stand in for characters that the project's own fonts lack.
# Security updates matter more here than the same bytes twice.
# hadolint ignore=DL3008
RUN apt-get update \
    && apt-get install -y --no-install-recommends \
        fonts-dejavu-core libharfbuzz-subset0 libpango-1.0-0 libpangoft2-1.0-0 python3 \
    && rm -rf /var/lib/apt/lists/* \
    && useradd --no-log-init --uid 10001 --no-create-home --home-dir /tmp --shell /usr/sbin/nologin gloaming \
    && install -d -o gloaming -g gloaming /data
COPY --from=packages /opt/venv /opt/venv
WORKDIR /app
COPY . .
ENV PATH=/opt/venv/bin:$PATH \
    PYTHONUNBUFFERED=1 \
    PYTHONDONTWRITEBYTECODE=1 \
    HOME=/tmp \
    XDG_CACHE_HOME=/tmp/cache \
    VAR_DIR=/data \
    STATIC_ROOT=/app/collected \
    HOST=0.0.0.0 \
    PORT=8000
# Static files belong to the code, so they are made here and never written at run time. The key is for this step only.
RUN SECRET_KEY=only-while-building VAR_DIR=/tmp/build python manage.py collectstatic --noinput --verbosity 0 \
    && rm -rf /tmp/build \
    && python -m compileall -q /app
USER 10001
VOLUME /data
EXPOSE 8000
HEALTHCHECK --interval=15s --timeout=5s --start-period=30s --retries=4 CMD ["python", "script/health.py"]
CMD ["python", "-m", "gunicorn"]
