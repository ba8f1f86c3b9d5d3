"""The files that are the same for everybody: style, script, icon, and what a phone needs to keep the page."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.site import Site
from sentinel.edges.web.templating import STATIC, message, version

KINDS = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".png": "image/png"}

FOR_EVER = "public, max-age=31536000, immutable"
"""A static file is asked for by its version, so what a browser has of it never grows old."""


def routes(site: Site) -> list[Route]:
    """Where these files are."""
    known = {path.name: path for path in STATIC.iterdir() if path.suffix in KINDS}

    def static(request: Request) -> Response:
        path = known.get(request.path_params["name"])
        if path is None:
            raise HTTPException(404)
        headers = {**HEADERS, "Cache-Control": FOR_EVER} if request.query_params.get("v") == version() else HEADERS
        return Response(path.read_bytes(), media_type=KINDS[path.suffix], headers=headers)

    def worker(request: Request) -> Response:
        text = (STATIC / "worker.js").read_text(encoding="utf-8").replace("VERSION", version())
        return Response(text, media_type="text/javascript", headers={**HEADERS, "Cache-Control": "no-cache"})

    def not_here(request: Request) -> Response:
        say = site.words().say
        return message(
            site,
            say("Not on this phone"),
            say("There is no signal, and this page is not kept on this phone. It opens once there is signal again."),
            say("This phone keeps Now, the round, the herd, and the alerts that were open when there last was signal."),
            links=(("/", say("Now")), ("/round", say("Round"))),
        )

    def manifest(request: Request) -> Response:
        return JSONResponse(_manifest(site), headers=HEADERS, media_type="application/manifest+json")

    return [
        Route("/static/{name}", static, methods=["GET"]),
        Route("/worker.js", worker, methods=["GET"]),
        Route("/not-on-this-phone", not_here, methods=["GET"]),
        Route("/manifest.webmanifest", manifest, methods=["GET"]),
    ]


def _manifest(site: Site) -> dict[str, object]:
    """What a phone needs to put the page on its home screen; it names no farm, as it opens without a session."""
    icons = [
        {"src": f"/static/icon.svg?v={version()}", "sizes": "any", "type": "image/svg+xml", "purpose": "any"},
        {"src": f"/static/icon-192.png?v={version()}", "sizes": "192x192", "type": "image/png"},
        {"src": f"/static/icon-512.png?v={version()}", "sizes": "512x512", "type": "image/png", "purpose": "maskable"},
    ]
    return {
        "name": "Sentinel",
        "short_name": "Sentinel",
        "lang": site.reader.farm().language,
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#f7f4ea",
        "theme_color": "#20382e",
        "icons": icons,
    }
