"""Firefox without a window, driven by what the W3C calls WebDriver BiDi: as much of it as a test needs."""

import json
import os
import re
import subprocess
import threading
import time
from pathlib import Path
from typing import Any

import websocket

FIREFOX = Path(os.environ.get("KILNCALC_FIREFOX", "/usr/bin/firefox-esr"))
ENTER = "\ue007"


class Firefox:
    """A browser with a memory of its own, in a folder; what it downloads lies in another."""

    def __init__(self, folder: Path, downloads: Path, seconds: float) -> None:
        self.seconds, self.asked = seconds, 0
        folder.mkdir(exist_ok=True)
        settings = {
            "browser.download.folderList": 2,  # the one named next
            "browser.download.dir": str(downloads),
            "network.connectivity-service.enabled": False,
            "network.proxy.type": 1,  # everything but localhost goes nowhere
            "network.proxy.http": "127.0.0.1",
            "network.proxy.http_port": 9,
            "network.proxy.ssl": "127.0.0.1",
            "network.proxy.ssl_port": 9,
        }
        lines = [f"user_pref({json.dumps(name)}, {json.dumps(value)});" for name, value in settings.items()]
        (folder / "user.js").write_text("\n".join(lines), encoding="utf-8")
        command = [FIREFOX, "--headless", "--no-remote", "--profile", folder, "--remote-debugging-port=0"]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
        address = next(found[0] for line in self.process.stderr if (found := re.search(r"ws://\S+", line)))
        threading.Thread(target=self.process.stderr.read, daemon=True).start()
        self.socket = websocket.create_connection(f"{address}/session", suppress_origin=True, timeout=seconds)
        self._ask("session.new", capabilities={})
        self.context = self._ask("browsingContext.getTree")["contexts"][0]["context"]

    def _ask(self, method: str, **given: Any) -> dict[str, Any]:
        self.asked += 1
        self.socket.send(json.dumps({"id": self.asked, "method": method, "params": given}))
        while (said := json.loads(self.socket.recv())).get("id") != self.asked:
            pass
        assert said["type"] == "success", said
        return said["result"]

    def go(self, address: str) -> None:
        """Open an address."""
        self._ask("browsingContext.navigate", context=self.context, url=address, wait="interactive")

    def look(self, script: str) -> Any:
        """Return the value of an expression of the page: text, number, yes or no."""
        target = {"context": self.context}
        said = self._ask("script.evaluate", expression=script, target=target, awaitPromise=True)
        assert said["type"] == "success", said
        return said["result"].get("value")

    def wait_until(self, script: str) -> None:
        """Wait until an expression of the page is true."""
        late = time.monotonic() + self.seconds
        while not self.look(f"Boolean({script})"):
            assert time.monotonic() < late, (script, self.look("document.body.innerText"))
            time.sleep(0.2)

    def press(self, keys: str) -> None:
        """Type with the keyboard."""
        both = [{"type": kind, "value": key} for key in keys for kind in ("keyDown", "keyUp")]
        actions = [{"type": "key", "id": "keyboard", "actions": both}]
        self._ask("input.performActions", context=self.context, actions=actions)

    def close(self) -> None:
        """End it; what it keeps stays in its folder."""
        self._ask("browser.close")
        self.socket.close()
        self.process.wait(self.seconds)
