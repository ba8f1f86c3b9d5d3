"""The page on the phone: open alerts and why, the round's list, and one tap for what was found or done.

In reading order: `screens` (every screen, registered once; `screen` is the shape of a row), `app` (which address opens
what), `site` and `request_context` (what all requests share, what a handler is given of one), `farm_reader` (what is
asked of the farm), `auth` (who may enter), `handlers` (what each screen does), `templating` with `page_language` and
`code_labels` (how it is said), `request_input` (what is sent, read with suspicion), `submissions` (what people say,
taken once), `refusals` (what is said instead of a page), `assets` (style, script, icon), `server` (runs it beside the
service).
"""

from sentinel.edges.web.app import make_app
from sentinel.edges.web.auth.links import LINK_FOR_S, sign_entry, sign_link
from sentinel.edges.web.farm_reader import Access, FarmReader, Unkept
from sentinel.edges.web.server import WebServer

__all__ = ["LINK_FOR_S", "Access", "FarmReader", "Unkept", "WebServer", "make_app", "sign_entry", "sign_link"]
