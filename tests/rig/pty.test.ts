import { closeSync, constants, existsSync, openSync, readSync, writeSync } from "node:fs";
import { setTimeout as pause } from "node:timers/promises";
import { expect, test } from "vitest";
import { Pty } from "./pty.ts";

async function read(fd: number): Promise<string> {
  const into = Buffer.alloc(256);
  for (let tries = 0; tries < 200; tries++) {
    try {
      const length = readSync(fd, into, 0, into.length, null);
      if (length > 0) return into.toString("latin1", 0, length);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== "EAGAIN") throw error;
    }
    await pause(10);
  }
  throw new Error("nothing came");
}

test("a line sent reaches the program, its answer comes back, and a pull takes the path away", async () => {
  const line = await Pty.start();
  try {
    const fd = openSync(line.path, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
    line.send("+  1.0 g\r\n");
    expect(await read(fd)).toBe("+  1.0 g\r\n");
    line.zero();
    line.sendAt(30, new Uint8Array([0x81, 0x0d]));
    expect(await read(fd)).toBe("\x81\r");
    writeSync(fd, "SI\r\n");
    await expect.poll(() => line.got()).toBe("SI\r\n");
    await line.pull();
    expect(existsSync(line.path)).toBe(false);
    closeSync(fd);
    await line.plug();
    expect(existsSync(line.path)).toBe(true);
  } finally {
    await line.close();
  }
});
