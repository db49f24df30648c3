"""What the server does differently with the settings of `jupyter/config`, as `kilncalc open` starts it."""

import asyncio
from dataclasses import asdict
from pathlib import Path
from typing import Any

from jupyter_server.base.handlers import APIHandler
from jupyter_server.services.contents.fileio import FileManagerMixin
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from jupyter_server.utils import ensure_async, url_path_join
from tornado import web

from kilncalc.page import lessons

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


class CheckHandler(APIHandler):
    """Says whether code that a page is about to run by itself is the code of a lesson."""

    @web.authenticated
    def post(self) -> None:
        """Answer {"lesson": label or "", "why": sentence} to {"code": [source, ...], "lesson": label}."""
        asked = self.get_json_body()
        if not isinstance(asked, dict):
            raise web.HTTPError(400, "what was asked is no object")
        code, claimed = asked.get("code"), asked.get("lesson")
        if not isinstance(code, list) or not all(isinstance(source, str) for source in code):
            raise web.HTTPError(400, "code is not a list of texts")
        self.finish(asdict(lessons.check(code, claimed if isinstance(claimed, str) else "")))


class FolderHandler(APIHandler):
    """Says which lessons lie in a folder, what is answered of them, and in which units people work there."""

    @web.authenticated
    async def get(self) -> None:
        """Answer for ?folder=PATH, counted from where the server's files begin."""
        manager = self.contents_manager
        place = self.get_argument("folder", "")
        if not isinstance(manager, FileManagerMixin) or await ensure_async(manager.is_hidden(place)):
            raise web.HTTPError(404)
        path = Path(manager._get_os_path(place))
        told = await asyncio.to_thread(lessons.folder, path)  # to mark answers may take a moment
        self.finish(asdict(told))


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": "kilncalc.page.server"}]


def _load_jupyter_server_extension(app: Any) -> None:
    where = app.web_app.settings["base_url"]
    app.web_app.add_handlers(
        ".*$",
        [
            (url_path_join(where, "kilncalc", "check"), CheckHandler),
            (url_path_join(where, "kilncalc", "folder"), FolderHandler),
        ],
    )
