// Whoever signs in next may be somebody else: no page that was kept of a list is theirs, prices and all. What waits to be
// sent stays, under the name of who entered it.
"use strict";

if ("caches" in window) { caches.delete("lists-pages"); }
