import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { afterAll, expect, test } from "vitest";
import { CaptureWriter, readCapture } from "../../src/port/capture.ts";
import { openScale, type ScaleReport } from "../../src/port/scale.ts";
import type { Reading } from "../../src/reading/reading.ts";
import { monoMs, utcMs } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import { clock } from "./fakes.ts";

const folder = mkdtempSync(join(tmpdir(), "stillweight-capture-"));
afterAll(() => rmSync(folder, { recursive: true }));
let count = 0;
const newFile = (): string => join(folder, `${count++}.txt`);

const startedUtc = Date.UTC(2026, 0, 31, 8, 15);

test("what is kept comes back byte for byte, with its times", () => {
  const chunks = fc.array(
    fc.tuple(
      fc.uint8Array({ minLength: 1, maxLength: 40 }),
      fc.integer({ min: 0, max: 9_999_999 }),
    ),
    { maxLength: 20 },
  );
  fc.assert(
    fc.property(chunks, (kept) => {
      const file = newFile();
      const writer = new CaptureWriter(file, "COM3", { mono: monoMs(0), utc: startedUtc });
      writer.link("up", monoMs(0));
      for (const [bytes, at] of kept) {
        writer.chunk({ bytes, atMonoMs: monoMs(at / 1000), atUtcMs: utcMs(0) });
      }
      writer.link("silent", monoMs(1));
      writer.link("searching", monoMs(2));
      writer.close();
      const { scale, startedUtcMs, events } = readCapture(readFileSync(file, "utf8"));
      expect([scale, startedUtcMs]).toEqual(["COM3", startedUtc]);
      expect(events).toEqual([
        { is: "up", atMs: 0 },
        ...kept.map(([bytes, at]) => ({ is: "bytes", bytes: Buffer.from(bytes), atMs: at / 1000 })),
        { is: "lost", atMs: 2 },
      ]);
    }),
    { numRuns: 30 },
  );
});

test("a file that is there is not written over", () => {
  const file = newFile();
  writeFileSync(file, "mine");
  expect(() => new CaptureWriter(file, "COM3", { mono: monoMs(0), utc: 0 })).toThrow("EEXIST");
  expect(readFileSync(file, "utf8")).toBe("mine");
});

test("a capture grows no further than its limit, and what it holds can be read", () => {
  const file = newFile();
  const writer = new CaptureWriter(file, "COM3", { mono: monoMs(0), utc: startedUtc }, 400);
  writer.link("up", monoMs(0));
  for (let at = 1; at <= 100; at++) {
    writer.chunk({ bytes: Buffer.from("  250.3 g\r\n"), atMonoMs: monoMs(at), atUtcMs: utcMs(0) });
    // A shorter line that would still fit must not follow one that did not.
    writer.chunk({ bytes: Buffer.from("\n"), atMonoMs: monoMs(at), atUtcMs: utcMs(0) });
  }
  writer.close();
  expect(writer.isFull).toBe(true);
  const text = readFileSync(file, "utf8");
  expect(text.length).toBeLessThanOrEqual(400);
  const { events } = readCapture(text);
  expect(events.length).toBeGreaterThan(5);
  const bytes = events.slice(1).map((one) => (one.is === "bytes" ? one.bytes.length : 0));
  expect(bytes).toEqual(bytes.map((_, at) => (at % 2 === 0 ? 11 : 1)));
});

const header = '{"capture":1,"scale":"COM3","startedAt":"2026-01-31T08:15:00.000Z"}';
test.each([
  ["", "line 1"],
  ["{}", "line 1"],
  ["not json", "line 1"],
  ['{"capture":2,"scale":"COM3","startedAt":"2026-01-31T08:15:00.000Z"}', "line 1"],
  [`${header}\n12.5 ab\n12.6 abc\n`, "line 3"],
  [`${header}\n12.5\n`, "line 2"],
])("a capture with a fault is refused with its line: %j", (text, line) => {
  expect(() => readCapture(text)).toThrow(line);
});

const hex = (text: string): string => Buffer.from(text, "latin1").toString("hex");

function recorded(gapMs: number): string {
  const file = newFile();
  const line = hex("ST,GS,+    123.4 g\r\n");
  const rows = Array.from({ length: 20 }, (_, at) => `${(at + 4) * gapMs} ${line}`);
  writeFileSync(file, [header, "0 up", ...rows, `${30 * gapMs} lost`, ""].join("\n"));
  return file;
}

async function replayed(uri: string): Promise<{ readings: Reading[]; reports: ScaleReport[] }> {
  const readings: Reading[] = [];
  const reports: ScaleReport[] = [];
  const scale = openScale(uri, clock, {
    reading: (reading) => readings.push(reading),
    link: (report) => reports.push(report),
  });
  await expect.poll(() => reports.at(-1)?.why).toContain("has ended");
  await scale.close();
  return { readings, reports };
}

test("a replay without waiting keeps the recorded gaps between its readings", async () => {
  const { readings, reports } = await replayed(`replay:${recorded(5000)}?speed=0`);
  expect(readings).toHaveLength(20);
  const gaps = readings.slice(1).map((one, at) => one.atMonoMs - (readings[at]?.atMonoMs ?? 0));
  expect(Math.max(...gaps.map((gap) => Math.abs(gap - 5000)))).toBeLessThan(1e-6);
  expect(reports.map(({ link }) => link)).toContain("up");
});

test("a replay at its own speed takes as long as the recording", async () => {
  const started = performance.now();
  const [{ readings }, timerMs] = await Promise.all([
    replayed(`replay:${recorded(20)}`),
    // What a busy machine makes of the same 600 ms.
    pause(600).then(() => performance.now() - started),
  ]);
  const tookMs = performance.now() - started;
  expect(readings.length).toBeGreaterThanOrEqual(19);
  expect(tookMs).toBeGreaterThan(590);
  expect(tookMs).toBeLessThan(timerMs + 900);
});

test("a capture that cannot be read is told, not thrown", async () => {
  const reports: ScaleReport[] = [];
  const scale = openScale(`replay:${join(folder, "none")}`, clock, {
    reading: () => undefined,
    link: (report) => reports.push(report),
  });
  await expect.poll(() => reports.at(-1)?.link).toBe("denied");
  await scale.close();
});
