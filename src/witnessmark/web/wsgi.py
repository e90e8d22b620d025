"""What the server program calls: one application for the data folder that the environment names."""

from django.conf import settings
from django.core.wsgi import get_wsgi_application
from granian.utils.proxies import wrap_wsgi_with_proxy_headers

from witnessmark.web.end_with import end_with_parent
from witnessmark.web.start import set_up

end_with_parent()
set_up()
application = get_wsgi_application()
if settings.CONFIG.trusted_proxies:
    application = wrap_wsgi_with_proxy_headers(
        application, trusted_hosts=list(settings.CONFIG.trusted_proxies)
    )
