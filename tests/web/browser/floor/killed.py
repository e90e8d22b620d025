"""Settings of a server that can be made to die after it has committed and before it answers.

Only this folder's tests start a server with them.
"""

import os
import signal

from witnessmark.web.settings import *  # noqa: F403 - settings are names of a module
from witnessmark.web.settings import CONFIG, MIDDLEWARE

ORDER = "die-before-the-next-answer"


class DiesBeforeAnswering:
    """Kills the server, parent and worker, once a delivery is committed and an order lies there."""

    def __init__(self, get_response):
        self._get_response = get_response

    def __call__(self, request):
        response = self._get_response(request)
        order = CONFIG.data.path / ORDER
        if request.method == "POST" and request.path.endswith("/sync") and order.exists():
            order.unlink()
            os.kill(os.getppid(), signal.SIGKILL)
            os.kill(os.getpid(), signal.SIGKILL)
        return response


MIDDLEWARE = ["killed.DiesBeforeAnswering", *MIDDLEWARE]
