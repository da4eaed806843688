"use strict";
// The module in a thread of its own, so that the page never waits for it. It opens the packed
// module once and then answers one request after the other.
let exported = null;

async function open(packed) {
  const letters = atob(packed);
  const bytes = new Uint8Array(letters.length);
  for (let at = 0; at < letters.length; at += 1) bytes[at] = letters.charCodeAt(at);
  // WebKit cannot read a blob of a page that was opened from a disk.
  const packedBytes = new ReadableStream({ start: (to) => { to.enqueue(bytes); to.close(); } });
  const stream = packedBytes.pipeThrough(new DecompressionStream("gzip"));
  const whole = await new Response(stream).arrayBuffer();
  exported = (await WebAssembly.instantiate(whole, {})).instance.exports;
}

function ask(request) {
  const bytes = new TextEncoder().encode(request);
  const room = exported.take_room(bytes.length);
  new Uint8Array(exported.memory.buffer, room, bytes.length).set(bytes);
  const packed = BigInt.asUintN(64, exported.respond(room, bytes.length));
  const at = Number(packed >> 32n);
  const length = Number(packed & 0xffffffffn);
  const text = new TextDecoder().decode(new Uint8Array(exported.memory.buffer, at, length));
  exported.give_room(at, length);
  return JSON.parse(text);
}

onmessage = async ({ data }) => {
  try {
    if (data.packed) {
      await open(data.packed);
      postMessage({ ready: true });
    } else {
      postMessage({ id: data.id, answer: ask(data.request) });
    }
  } catch (error) {
    postMessage({ id: data.id, broken: String(error) });
  }
};
