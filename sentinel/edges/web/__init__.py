"""The page on the phone: what stands, why, the round's list, and one tap for what was found or done.

In reading order: `links` (who somebody is, signed), `guard` (headers and the cookie), `attempts` (bad links counted),
`shown` (what it asks of the farm), `words` with `labels` (its language), `desk` (who is there), `given` (what is
sent, read with suspicion), `acts` (what people say, taken once), `photo`, `screens` and `books` (what is looked at),
`files` (style, script, icon), `app` (which address opens what), `door` (how many connections, for how long), `serve`
(runs it beside the service).
"""

from sentinel.edges.web.app import make_app
from sentinel.edges.web.auth.links import LINK_FOR_S, sign_entry, sign_link
from sentinel.edges.web.farm_reader import Access, Look, Shown, Unkept
from sentinel.edges.web.server import Page

__all__ = ["LINK_FOR_S", "Access", "Look", "Page", "Shown", "Unkept", "make_app", "sign_entry", "sign_link"]
