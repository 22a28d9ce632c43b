// Keeps the floor mode for the time without a network: the newest page that was seen, its style, its sound.

const KEEP = "noonwall-floor";
const KEPT_PAGES = /^\/dances\/\d+\/floor$/;
const KEPT_FILES = /^\/(static\/|songs\/\d+\/sound$)/;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEEP).then((kept) => kept.addAll(KEPT_AT_ONCE)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

// The network first, so that a changed dance is seen; what was kept where there is none.
async function freshOrKept(request) {
  const kept = await caches.open(KEEP);
  try {
    const answer = await fetch(request);
    if (answer.status === 200) await kept.put(request, answer.clone());
    return answer;
  } catch (error) {
    const found = await kept.match(request);
    if (found) return found;
    throw error;
  }
}

self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== self.location.origin || event.request.headers.has("range")) return;
  if (KEPT_PAGES.test(pathname) || KEPT_FILES.test(pathname)) event.respondWith(freshOrKept(event.request));
});

// A page that was open before this script was there asks for itself to be kept.
self.addEventListener("message", (event) => {
  event.waitUntil(caches.open(KEEP).then((kept) => kept.addAll(event.data)));
});
