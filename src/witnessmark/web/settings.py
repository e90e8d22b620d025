"""Django's settings, from the environment and one file; nothing here is made or written.

`start.set_up` makes the data folder and its secret first. Where neither is there (a type checker
reads this file), the secret is a passing one.
"""

import hashlib
import secrets
from pathlib import Path

from witnessmark.web.config import MEGABYTE, read_config

CONFIG = read_config()
_UNDER_TLS = bool(CONFIG.tls)
_WEB = Path(__file__).resolve().parent

SECRET_KEY = CONFIG.data.secret() if CONFIG.data.keys.is_dir() else secrets.token_urlsafe()
DEBUG = False
ALLOWED_HOSTS = list(CONFIG.hosts)
ROOT_URLCONF = "witnessmark.web.urls"
WSGI_APPLICATION = "witnessmark.web.wsgi.application"

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "witnessmark.web.accounts",
    "witnessmark.web.jobs",
    "witnessmark.web.desk",
    "witnessmark.web.floor",
    "witnessmark.web.pages",
    "witnessmark.web.store",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "witnessmark.web.security.headers.HeadersMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "witnessmark.web.security.uploads.UploadLimitMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "witnessmark.web.accounts.middleware.SignedInMiddleware",
    "witnessmark.web.floor.pairing.NotebookOnlyMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "witnessmark.web.pages.refusals.RefusalMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [_WEB / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "witnessmark.web.pages.context.shell",
                "witnessmark.web.desk.audit_page.frame",
            ],
            "builtins": ["django.templatetags.static", "witnessmark.web.pages.templatetags.parts"],
        },
    },
]
FORM_RENDERER = "witnessmark.web.pages.forms.PaperRenderer"

DATABASES = CONFIG.databases
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True

# Accounts and sessions.
AUTH_USER_MODEL = "accounts.User"
LOGIN_URL = "accounts:sign-in"
LOGIN_REDIRECT_URL = "pages:home"
LOGOUT_REDIRECT_URL = "accounts:sign-in"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
_RULES = "django.contrib.auth.password_validation."
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"{_RULES}MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {
        "NAME": f"{_RULES}UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ["login_name", "display_name"]},
    },
    {"NAME": f"{_RULES}CommonPasswordValidator"},
    {"NAME": f"{_RULES}NumericPasswordValidator"},
]
# Browsers do not tell ports apart: two installations on one machine must not share their cookies.
_OWN = hashlib.sha256(f"cookies:{SECRET_KEY}".encode()).hexdigest()[:8]
SESSION_COOKIE_NAME = f"witnessmark_session_{_OWN}"
SESSION_COOKIE_AGE = 12 * 60 * 60
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = _UNDER_TLS
CSRF_COOKIE_NAME = f"witnessmark_csrf_{_OWN}"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SECURE = _UNDER_TLS
CSRF_FAILURE_VIEW = "witnessmark.web.pages.refusals.csrf_failure"
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

# What a page may do; see security/headers.py. The names are those of Django 6.
SECURE_CSP = {
    "default-src": ["'none'"],
    "script-src": ["'self'"],
    "style-src": ["'self'"],
    "img-src": ["'self'", "blob:", "data:"],
    "connect-src": ["'self'"],
    "font-src": ["'self'"],
    "worker-src": ["'self'"],
    "manifest-src": ["'self'"],
    "form-action": ["'self'"],
    "frame-ancestors": ["'none'"],
    "base-uri": ["'none'"],
}
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
# A day under the own root certificate, since such a machine may be served without TLS next week.
SECURE_HSTS_SECONDS = {"": 0, "auto": 86_400, "own": 31_536_000, "proxy": 31_536_000}[CONFIG.tls]
X_FRAME_OPTIONS = "DENY"

# What may come in. A view that takes more says so with `security.uploads.upload_limit`.
UPLOAD_LIMIT = CONFIG.upload_limit
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * MEGABYTE
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
DATA_UPLOAD_MAX_NUMBER_FILES = 50
FILE_UPLOAD_PERMISSIONS = 0o600

STATIC_URL = "/static/"
STATICFILES_DIRS = [_WEB / "static"]
STATIC_ROOT = CONFIG.data.static
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "witnessmark.web.security.static_files.HashedNames"},
}
WHITENOISE_MAX_AGE = 300

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"()": "witnessmark.web.security.logs.WithoutValues"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": [], "level": "WARNING", "propagate": True},
        "witnessmark": {"level": "INFO"},
    },
}
