"use strict";
// Keeps the page on the device, so that it opens without a signal. A new version comes in
// whole or not at all, and takes over at the next start.
const VERSION = "{{version}}";
const FILES = ["./", "index.html", "manifest.webmanifest", "icon-192.png", "icon-512.png"];

addEventListener("install", (event) => {
  event.waitUntil(caches.open(VERSION).then((kept) => kept.addAll(FILES)).then(() => skipWaiting()));
});

addEventListener("activate", (event) => {
  event.waitUntil(caches.keys()
    .then((names) => Promise.all(names.filter((it) => it !== VERSION).map((it) => caches.delete(it))))
    .then(() => clients.claim()));
});

addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  event.respondWith(caches.open(VERSION)
    .then((kept) => kept.match(event.request, { ignoreSearch: true }))
    .then((found) => found ?? fetch(event.request)));
});
