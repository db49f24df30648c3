"""What the server does differently with the settings of `_jupyter_config`, as `kilncalc open` starts it."""

from typing import Any

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection

_WIDGET = "application/vnd.jupyter.widget-view+json"


class PromptConnection(ZMQChannelsWebsocketConnection):
    """The server's own connection of a kernel to the page, which sends small messages at once.

    By default TCP holds a small message back until the page has acknowledged the one before it, which
    a browser may put off by 40 ms: half of the time from a slider to its picture.
    """

    def connect(self) -> Any:
        """Handle a connection, as the server does."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()


def forget_widgets(model: dict[str, Any], **_: Any) -> None:
    """Leave widgets out of a notebook that is about to be saved, and keep the words beside them.

    Widgets live as long as their kernel. A notebook opened the next day would show "Error displaying
    widget" in their place; so it shows what was asked, or how to bring the picture back. A notebook
    that keeps the widgets' state with it is left alone.
    """
    content = model.get("content")
    if model.get("type") != "notebook" or not content or "widgets" in content["metadata"]:
        return
    for cell in content["cells"]:
        for output in cell.get("outputs", []):
            kinds = output.get("data", {})
            if "text/plain" in kinds:
                kinds.pop(_WIDGET, None)
