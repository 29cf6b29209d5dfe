"""in_three.py BASE: three.js in Chromium without a window, on page.html beside this file. Names and volumes of what it
loads; what it draws (kept as BASE.three.png) against what its rays hit."""
import base64
import functools
import http.server
import json
import os
import re
import subprocess
import sys
import tempfile
import threading

import wanted

here = os.path.dirname(os.path.abspath(__file__))
base = sys.argv[1]
arrived, result = threading.Event(), {}


class Server(http.server.SimpleHTTPRequestHandler):
    """This folder, the file, and a place to leave the result."""

    def translate_path(self, path):
        name = path.split("?")[0]
        return os.path.abspath(base + ".glb") if name == "/scene.glb" else super().translate_path(path)

    def do_POST(self):
        result.update(json.loads(self.rfile.read(int(self.headers["Content-Length"]))))
        self.send_response(204)
        self.end_headers()
        arrived.set()

    def log_message(self, *_):
        pass


server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Server, directory=here))
threading.Thread(target=server.serve_forever, daemon=True).start()
# The browser's last processes may still write there.
with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
    browser = subprocess.Popen(
        ["chromium", "--headless=new", "--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
         "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run",
         "--disable-dev-shm-usage", f"--user-data-dir={profile}",
         f"http://127.0.0.1:{server.server_port}/page.html?file=scene.glb"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    arrived.wait(180)
    browser.terminate()
    browser.wait()

wrong = []
if not result or "error" in result:
    wanted.report("three.js", base, "nothing", [result.get("error", "no answer within three minutes")])
with open(base + ".three.png", "wb") as file:
    file.write(base64.b64decode(result["png"]))
document = wanted.gltf(base)
# three.js drops from names what its animations could not address.
plain = lambda name: re.sub(r"[\[\].:/]", "", re.sub(r"\s", "_", name))
volumes = {plain(name): volume for name, volume in result["volumes"].items()}
wrong += [f'no mesh "{name}"' for name in wanted.solids(document) if plain(name) not in volumes]
if len(result["names"]) != len(wanted.solids(document)):
    wrong.append(f"{len(result['names'])} meshes of {len(wanted.solids(document))}")
want = wanted.volumes(base)
named = {name: volumes.get(plain(name), 0) for name in wanted.solids(document)}
wrong += wanted.differences(want, wanted.summed(want, named), 1e-4, 2e-6)
seen = result["seen"]
if seen["hits"] < 0.05 * seen["rays"] or seen["hits"] == seen["rays"]:
    wrong.append("it fills none or all of the picture")
if seen["disagree"] > 0:
    wrong.append(f"{seen['disagree']} pixels show another thing than their ray meets")
if result["colours"] < 5:
    wrong.append(f"only {result['colours']} coarse colours")
if [a[0] for a in result["animations"]] != ["Lift apart"]:
    wrong.append("the animation is another")
wanted.report(
    f"three.js r{result['three']}", base,
    f"{len(result['names'])} meshes by their names, {len(want)} layers of {sum(want.values()):.4f} m3, {seen['rays']} rays "
    f"of which {seen['hits']} hit and {seen['disagree']} disagree with their pixel, {result['colours']} coarse colours", wrong)
