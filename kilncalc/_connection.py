"""The kernel's connection to the page, for JupyterLab as `kilncalc open` starts it."""

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """The server's own connection, which sends small messages at once.

    By default TCP holds a small message back until the page has acknowledged the one before it, which
    a browser may put off by 40 ms: half of the time from a slider to its picture.
    """

    def connect(self) -> Any:
        """Handle a connection, as the server does."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()
