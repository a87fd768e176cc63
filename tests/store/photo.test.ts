import { expect, test } from "vitest";
import { openStore } from "../../src/store/store.ts";
import { oneBatch, later } from "./facts.ts";
import { real, tempFolder } from "./folder.ts";

const picture = Buffer.from(Array.from({ length: 200 }, (_, i) => i % 251));
const ofTray = {
  batchId: 1,
  trayId: 1,
  bagId: null,
  type: "image/jpeg",
  bytes: picture,
  at: later(5),
};

test("a photograph is read back as it was kept, and its number is never given again", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch]);
  store.addPhoto(ofTray);
  store.addPhoto({ ...ofTray, trayId: null });
  store.removePhoto(2);
  store.addPhoto({ ...ofTray, type: "image/png" });
  store.close();
  const again = openStore(folder, real);
  expect(again.photos(1).map(({ id, trayId, size, type }) => [id, trayId, size, type])).toEqual([
    [1, 1, 200, "image/jpeg"],
    [3, 1, 200, "image/png"],
  ]);
  expect(again.photo(1)?.bytes.equals(picture)).toBe(true);
  expect(again.photo(2)).toBeNull();
  again.close();
});

test("a photograph of another batch's tray, or of more than a mebibyte, is not kept", () => {
  const store = openStore(tempFolder(), real);
  store.record([oneBatch]);
  expect(() => store.addPhoto({ ...ofTray, trayId: 9 })).toThrow();
  expect(() => store.addPhoto({ ...ofTray, bytes: Buffer.alloc(1_048_577) })).toThrow();
  expect(store.photos(1)).toEqual([]);
  store.close();
});
