import { SerialPort } from "serialport";
import { afterEach, expect, onTestFinished, test, vi } from "vitest";
import type { LinkReport, Port, PortListener } from "../../src/port/port.ts";
import { serialPort, type SerialSystem } from "../../src/port/serial.ts";
import { openScale } from "../../src/port/scale.ts";
import { Pty } from "../rig/pty.ts";
import { clock } from "./fakes.ts";

const settings = {
  path: "/dev/ttyUSB7",
  baud: 9600,
  findsBaud: false,
  bits: 8,
  parity: "none",
  stop: 1,
} as const;

const open: { port: Port | null } = { port: null };
afterEach(async () => {
  await open.port?.close();
  open.port = null;
});

/** Until the test is over the program takes the computer for another. */
function playOn(other: NodeJS.Platform): void {
  const { platform } = process;
  onTestFinished(() => void Object.defineProperty(process, "platform", { value: platform }));
  Object.defineProperty(process, "platform", { value: other });
}

/** What a person is told when the system answers so. Run as root no device can refuse, so the answer is played. */
async function toldWhen(message: string, groupOf: SerialSystem["groupOf"]): Promise<LinkReport> {
  const system: SerialSystem = { open: () => Promise.reject(new Error(message)), groupOf };
  const port = serialPort(settings, clock, system);
  open.port = port;
  return new Promise((resolve) => {
    port.open({ chunk: () => undefined, link: resolve });
  });
}

test("no permission names the group that owns the device", async () => {
  const told = await toldWhen("Error: Permission denied, cannot open /dev/ttyUSB7", () =>
    Promise.resolve("uucp"),
  );
  expect(told).toMatchObject({ link: "denied", why: "no permission to open /dev/ttyUSB7" });
  expect(told.fix).toContain("usermod -aG uucp");
});

// Said by a unit whose DeviceAllow does not know the kind of device (systemd 252, ttyUSB of Linux 6.1).
test("a device that a service may not use is told apart from a missing permission", async () => {
  const told = await toldWhen("Error: Operation not permitted, cannot open /dev/ttyUSB7", () =>
    Promise.resolve("dialout"),
  );
  expect(told.link).toBe("denied");
  expect(told.why).toBe("what runs this program does not let it use /dev/ttyUSB7");
  expect(told.fix).toContain("start it again");
});

test("a device that another program holds is told apart from a missing permission", async () => {
  const told = await toldWhen("Error: Resource temporarily unavailable Cannot lock port", () =>
    Promise.resolve("dialout"),
  );
  expect(told).toMatchObject({ link: "denied", why: "another program has /dev/ttyUSB7 open" });
});

test("a device that is not there is searched for", async () => {
  const told = await toldWhen("Error: No such file or directory, cannot open /dev/ttyUSB7", () =>
    Promise.resolve(null),
  );
  expect(told).toMatchObject({ link: "searching", why: "/dev/ttyUSB7 is not there" });
});

test("a second program is refused the line by the system itself", async () => {
  const line = await Pty.start();
  const silent = { reading: () => undefined, link: () => undefined };
  const first = openScale(line.path, clock, silent);
  try {
    await expect.poll(() => first.state().link).toBe("up");
    const second = openScale(line.path, clock, silent);
    await expect.poll(() => second.state().link).toBe("denied");
    expect(second.state().why).toContain("another program has");
    await second.close();
  } finally {
    await first.close();
    await line.close();
  }
});

test("a request reaches the scale, and none is kept for later while it is away", async () => {
  const line = await Pty.start();
  const scale = openScale(line.path, clock, { reading: () => undefined, link: () => undefined });
  try {
    await expect.poll(() => scale.state().link).toBe("up");
    await scale.write(Buffer.from("SI\r\n"));
    await expect.poll(() => line.got()).toBe("SI\r\n");
    await line.pull();
    await expect.poll(() => scale.state().link).toBe("searching");
    await expect(scale.write(Buffer.from("T\r\n"))).rejects.toThrow("nothing was sent");
    await line.plug();
    await expect.poll(() => scale.state().link).toBe("up");
    await scale.write(Buffer.from("Z\r\n"));
    await expect.poll(() => line.got()).toBe("SI\r\nZ\r\n");
  } finally {
    await scale.close();
    await line.close();
  }
});

test("on Windows a port that is held says that access is denied", async () => {
  playOn("win32");
  const told = await toldWhen("Opening COM3: Access denied", () => Promise.resolve(null));
  expect(told).toMatchObject({ link: "denied", why: "another program has /dev/ttyUSB7 open" });
});

/** A line and a port that is open on it, until the test is over. */
async function openedLine(listener: PortListener): Promise<Pty> {
  const line = await Pty.start();
  const port = serialPort({ ...settings, path: line.path }, clock);
  onTestFinished(async () => {
    vi.restoreAllMocks();
    await port.close();
    await line.close();
  });
  port.open(listener);
  return line;
}

test.each([
  ["win32", [{ dtr: true, rts: true }]],
  ["linux", []],
] as const)(
  "what is done to the lines of a port on %s, and it is read",
  async (platform, wanted) => {
    playOn(platform);
    const raised: unknown[] = [];
    vi.spyOn(SerialPort.prototype, "set").mockImplementation((lines, done) => {
      raised.push(lines);
      done?.(new Error("a pseudo-terminal has no such lines"));
    });
    let heard = "";
    const links: string[] = [];
    const line = await openedLine({
      chunk: ({ bytes }) => (heard += Buffer.from(bytes).toString("latin1")),
      link: ({ link }) => links.push(link),
    });
    await expect.poll(() => links).toEqual(["up"]);
    line.send("1.0 g\r\n");
    await expect.poll(() => heard).toBe("1.0 g\r\n");
    expect(raised).toEqual(wanted);
  },
);

type Question = "getBaudRate" | "get";
/** What opens a device for the library. */
type Binding = { open(options: unknown): Promise<Record<Question, () => Promise<unknown>>> };

/** What is told of a silent scale until its port was asked five times, on a system that answers one question so. */
async function toldWhile(question: Question, answer: string): Promise<readonly string[]> {
  let asked = 0;
  const { binding } = SerialPort as unknown as { readonly binding: Binding };
  const openReally = binding.open.bind(binding);
  vi.spyOn(binding, "open").mockImplementation(async (options) => {
    const device = await openReally(options);
    device[question] = () => {
      asked += 1;
      return Promise.reject(new Error(answer));
    };
    return device;
  });
  const told: string[] = [];
  await openedLine({
    chunk: () => undefined,
    link: ({ link, why }) => told.push(why === null ? link : `${link}: ${why}`),
  });
  await expect.poll(() => asked, { timeout: 5000 }).toBeGreaterThanOrEqual(5);
  return told;
}

// ENOSYS was seen under QEMU's user mode; the words of macOS are the library's own (bindings-cpp 13, darwin.js).
test.each([
  "Error: Function not implemented, cannot get baud rate",
  "Error: Inappropriate ioctl for device, cannot get baud rate",
  "getBaudRate is not implemented on darwin",
])("a system that does not know the question keeps the scale: %s", async (answer) => {
  expect(await toldWhile("getBaudRate", answer)).toEqual(["up"]);
});

test("on macOS the control lines are asked for, and a device that is gone is lost", async () => {
  playOn("darwin");
  const told = await toldWhile("get", "Error: Device not configured, cannot get");
  expect(told[1]).toContain("Device not configured");
});
