"""What every way of running the portal shares."""

import os
from datetime import timedelta
from pathlib import Path
from typing import Any

import dj_database_url

from portal.core import languages

ROOT = Path(__file__).resolve().parents[2]
# Everything a run writes goes below here.
VAR_DIR = Path(os.environ.get("RIMJOIST_VAR") or ROOT / "var").resolve()


def database(url: str) -> dict[str, Any]:
    """Django's settings for a database address."""
    config: dict[str, Any] = {**dj_database_url.parse(url)}
    if config["ENGINE"] == "django.db.backends.sqlite3":
        config["OPTIONS"] = {
            # Web and worker write at once: a write-ahead log lets readers go on, and a
            # transaction takes the write lock at its start, because one that reads first
            # cannot wait for the lock later.
            "init_command": (
                "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;"
            ),
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
        }
    else:
        config["CONN_MAX_AGE"] = 60
        config["CONN_HEALTH_CHECKS"] = True
    return config


def broker(url: str) -> dict[str, Any]:
    """Celery's transport settings for a broker address."""
    if url.startswith("filesystem:"):
        folder = VAR_DIR / "broker"
        return {
            "CELERY_BROKER_TRANSPORT": "portal.core.broker:FolderTransport",
            "CELERY_BROKER_TRANSPORT_OPTIONS": {
                "data_folder_in": str(folder / "messages"),
                "data_folder_out": str(folder / "messages"),
                "control_folder": str(folder / "control"),
                # The default looks once a second, and each job would wait for that.
                "polling_interval": 0.02,
            },
        }
    return {
        # A broker that is down must not hold up the request: the job's row is there.
        "CELERY_BROKER_TRANSPORT_OPTIONS": {"socket_connect_timeout": 2, "socket_timeout": 10},
    }


# -- Apps ------------------------------------------------------------------------------

INSTALLED_APPS = [
    "portal.places",
    "portal.reports",
    "portal.works",
    "portal.rebates",
    "portal.modeling",
    "portal.intake",
    "portal.scheduling",
    "portal.enrollment",
    "portal.accounts",
    "portal.core",
    "allauth",
    "allauth.account",
    "rest_framework",
    "drf_spectacular",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.humanize",
    "django.contrib.messages",
    "django.contrib.sessions",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "portal.core.middleware.ContentPolicyMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "portal.urls"
WSGI_APPLICATION = "portal.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "portal.places.context.frame",
                "portal.accounts.context.demo_signins",
            ],
        },
    },
]
# Form fields are drawn by our own components; widgets may be overridden in templates/.
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
INSTALLED_APPS.append("django.forms")

# -- Where things are kept ---------------------------------------------------------------

DATABASE_URL = os.environ.get("DATABASE_URL") or f"sqlite:///{VAR_DIR / 'portal.sqlite3'}"
DATABASES = {"default": database(DATABASE_URL)}

MEDIA_ROOT = VAR_DIR / "media"
STATIC_URL = "static/"
# In an image the collected files lie beside the code, not on the volume of var/.
STATIC_ROOT = Path(os.environ.get("STATIC_ROOT") or VAR_DIR / "static")
# The fonts are made by the command of that name.
FONTS_DIR = VAR_DIR / "fonts"
STATICFILES_DIRS = [ROOT / "portal" / "static", ("fonts", FONTS_DIR)]
STORAGES: dict[str, dict[str, Any]] = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
# Served from where they lie, without a collecting step, except in production.
WHITENOISE_USE_FINDERS = True

# -- Jobs --------------------------------------------------------------------------------

CELERY_BROKER_URL = os.environ.get("CELERY_BROKER_URL") or "filesystem://"
globals().update(broker(CELERY_BROKER_URL))
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_TIME_LIMIT = 15 * 60
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
# Laying out a long PDF takes memory that Python does not give back.
CELERY_WORKER_MAX_TASKS_PER_CHILD = 200
CELERY_WORKER_MAX_MEMORY_PER_CHILD = 900_000  # kilobytes
# Nobody asks workers about themselves; the queues for it would only fill the folder.
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_TIMEOUT = 2
CELERY_TIMEZONE = "UTC"
SWEEP_EVERY_S = 5.0
CELERY_BEAT_SCHEDULE = {
    "sweep": {
        "task": "core.sweep",
        "schedule": SWEEP_EVERY_S,
        # With the worker away these would pile up, and one is as good as a hundred.
        "options": {"expires": SWEEP_EVERY_S},
    },
}

CACHES: dict[str, dict[str, Any]] = {
    "default": (
        {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": CELERY_BROKER_URL,
            "KEY_PREFIX": "portal",
        }
        if CELERY_BROKER_URL.startswith(("redis:", "rediss:"))
        else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
    )
}

# -- Mail --------------------------------------------------------------------------------

SITE_URL = os.environ.get("SITE_URL", "http://localhost:8000").rstrip("/")
EMAIL_BACKEND = "portal.core.mail.FolderBackend"
EMAIL_FOLDER = VAR_DIR / "mail"
DEFAULT_FROM_EMAIL = os.environ.get(
    "DEFAULT_FROM_EMAIL", "Quillmark Light & Gas home energy program <program@qlg.example>"
)

# -- Language and time -------------------------------------------------------------------

LANGUAGE_CODE = "en"
LOCALE_PATHS = [ROOT / "portal" / "locale"]
# Pages and letters come in a language only when its catalog is complete.
LANGUAGES = languages.written(LOCALE_PATHS[0])
USE_I18N = True
USE_TZ = True
TIME_ZONE = "America/New_York"
# Added to the machine's clock; only the demo, which stands still in its own week, has one.
CLOCK_OFFSET = timedelta(0)

# -- Who may come in ---------------------------------------------------------------------

AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = [
    "django.contrib.auth.backends.ModelBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "/"

ACCOUNT_ADAPTER = "portal.accounts.adapter.AccountAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
# A person signs in by a code sent to the address: having the mailbox is the proof, and
# nobody has a password to lose.
ACCOUNT_SIGNUP_FIELDS = ["email*"]
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
ACCOUNT_LOGIN_BY_CODE_SUPPORTS_RESEND = True
ACCOUNT_LOGIN_BY_CODE_TIMEOUT = 15 * 60
ACCOUNT_EMAIL_VERIFICATION = "mandatory"
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_ENABLED = True
ACCOUNT_EMAIL_VERIFICATION_SUPPORTS_RESEND = True
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_LOGOUT_ON_GET = False

# -- Headers -----------------------------------------------------------------------------

SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
SECURE_REDIRECT_EXEMPT = [r"^health$"]
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

# -- API ---------------------------------------------------------------------------------

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": [
        "rest_framework.permissions.IsAuthenticated",
        "portal.core.access.HasRole",
    ],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": [
        "rest_framework.parsers.JSONParser",
        "rest_framework.parsers.MultiPartParser",
    ],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "portal.core.api.exception_handler",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
    # Amounts of money travel as text, so that no reader rounds them.
    "COERCE_DECIMAL_TO_STRING": True,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Rimjoist",
    "DESCRIPTION": "The operations of a home energy audit program, from request to payment.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "COMPONENT_SPLIT_REQUEST": True,
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "portal.core.api_schema.describe_path_parts",
    ],
}

# -- Log ---------------------------------------------------------------------------------

# To standard output. An error is logged by its class and place, without its message, which
# may quote a name or an account number.
LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "plain": {
            "()": "portal.core.logs.PlaceFormatter",
            "format": "%(levelname)s %(name)s: %(message)s",
        },
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["console"], "level": "INFO"},
    "loggers": {
        # Its own handlers mail tracebacks to administrators; ours goes to the console only.
        "django": {"handlers": ["console"], "level": "INFO", "propagate": False},
        "celery.worker.strategy": {"level": "WARNING"},
        "celery.app.trace": {"level": "WARNING"},
        "celery.beat": {"level": "WARNING"},
        # The file broker has no host, and is told so at every start.
        "kombu.connection": {"level": "ERROR"},
        "fontTools": {"level": "WARNING"},
        "weasyprint": {"level": "ERROR"},
    },
}


def kept_secret(name: str) -> str:
    """A random key made at the first start and kept in var/; for demo and development."""
    import secrets

    path = VAR_DIR / name
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        # Linked into place whole, so that web and worker starting together read one key.
        draft = path.with_name(f".{name}.{os.getpid()}")
        draft.touch(mode=0o600)
        draft.write_text(secrets.token_urlsafe(48))
        try:
            os.link(draft, path)
        except FileExistsError:
            pass
        finally:
            draft.unlink()
    return path.read_text().strip()
