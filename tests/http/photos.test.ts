import { deflateSync } from "node:zlib";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Api } from "../../src/http/api.ts";
import { photoTypeOf } from "../../src/http/photobytes.ts";
import { photoLimitBytes } from "../../src/http/routes/photos.ts";
import fc from "../rig/properties.ts";
import { fakeService, host, makeTestServer, onePixel } from "./fake.ts";

let server: Api;
const service = fakeService();
beforeAll(async () => {
  server = await makeTestServer(service);
  await server.ready();
});
afterAll(() => server.close());

const send = (payload: Buffer, type: string, url = "/api/batches/3/photos?tray=5") =>
  server.inject({ method: "POST", url, payload, headers: { host, "content-type": type } });

/** The smallest frames of the formats, with no picture worth seeing in them. */
const jpeg = Buffer.concat([
  Buffer.from([0xff, 0xd8, 0xff, 0xe0]),
  Buffer.alloc(40),
  Buffer.from([0xff, 0xd9]),
]);
const webp = Buffer.concat([
  Buffer.from("RIFF"),
  Buffer.from([32, 0, 0, 0]),
  Buffer.from("WEBPVP8 "),
  Buffer.alloc(24),
]);

test("a picture is known by its bytes", () => {
  expect(photoTypeOf(onePixel)).toBe("image/png");
  expect(photoTypeOf(jpeg)).toBe("image/jpeg");
  expect(photoTypeOf(webp)).toBe("image/webp");
});

test("a part of a picture, and what only begins like one, is none", () => {
  for (const whole of [onePixel, jpeg, webp])
    for (let length = 0; length < whole.length; length++)
      expect(photoTypeOf(whole.subarray(0, length))).toBeNull();
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
      expect(photoTypeOf(Buffer.from(bytes))).toBeNull();
    }),
  );
});

test("a picture is handed on with what it is, whatever was said of it", async () => {
  const answer = await send(onePixel, "image/jpeg");
  expect(answer.statusCode).toBe(200);
  const asked = service.calls.at(-1);
  expect(asked?.name).toBe("addPhoto");
  expect(asked?.given).toMatchObject([3, { tray: 5, bag: null }, { type: "image/png" }]);
});

test.each([
  ["a page", Buffer.from("<html><script>alert(1)</script></html>".padEnd(64)), "image/png", 400],
  ["a drawing that may hold scripts", Buffer.from("<svg/>".padEnd(64)), "image/svg+xml", 415],
  ["nothing", Buffer.alloc(0), "image/png", 400],
  ["too much", Buffer.concat([jpeg, Buffer.alloc(photoLimitBytes)]), "image/jpeg", 413],
  ["packed rubbish", deflateSync(Buffer.alloc(5000)), "image/webp", 400],
])("%s is refused as a photograph", async (_name, payload, type, status) => {
  const before = service.calls.length;
  expect((await send(payload, type)).statusCode).toBe(status);
  expect(service.calls).toHaveLength(before);
});

test("no other route takes a picture for its body", async () => {
  const answer = await send(onePixel, "image/png", "/api/weighings");
  expect(answer.statusCode).toBe(415);
});

test("a picture comes back as a picture and nothing else", async () => {
  const answer = await server.inject({ url: "/api/photos/1", headers: { host } });
  expect(answer.headers["content-type"]).toBe("image/png");
  expect(answer.headers["x-content-type-options"]).toBe("nosniff");
  expect(answer.rawPayload.equals(onePixel)).toBe(true);
});

test("the photographs of a batch are listed, and one is taken away", async () => {
  const listed = await server.inject({ url: "/api/batches/3/photos", headers: { host } });
  expect(listed.json()).toMatchObject([{ id: 1, batch: 3, tray: 5 }]);
  const taken = await server.inject({
    method: "DELETE",
    url: "/api/photos/1",
    headers: { host },
  });
  expect(taken.json()).toEqual([]);
  expect(service.calls.at(-1)).toMatchObject({ name: "removePhoto", given: [1] });
});
