"use strict";
// The module in a thread of its own, so that the page never waits for it. It opens the packed
// module once and then answers one request after the other.
let exported = null;

/** Base 85, as `examples/build_page.rs` writes it. */
function bytesOf(text) {
  const values = new Uint8Array(127);
  for (let code = 33, next = 0; code < 127; code += 1) if (!"\"&'-<\\`{}".includes(String.fromCharCode(code))) values[code] = next++;
  const bytes = new Uint8Array(Math.floor(text.length * 4 / 5));
  for (let from = 0, to = 0; from < text.length; from += 5) {
    let number = 0;
    for (let at = from; at < from + 5; at += 1) number = number * 85 + (at < text.length ? values[text.charCodeAt(at)] : 84);
    for (let shift = 24; shift >= 0 && to < bytes.length; shift -= 8) bytes[to++] = number >>> shift;
  }
  return bytes;
}

async function open(packed) {
  const bytes = bytesOf(packed);
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
