import { expect, test } from "vitest";
import { listPorts, type ListSystem } from "../../src/port/list.ts";

const folders: Record<string, readonly string[]> = {
  "/dev/serial/by-id": ["usb-Maker_Cable_A1-if00-port0"],
  "/dev": ["null", "ttyUSB0", "ttyS0", "tty1", "ttyACM3", "ttyprintk"],
};
const system: ListSystem = {
  list: () =>
    Promise.resolve([
      { path: "/dev/ttyS0" },
      { path: "/dev/ttyUSB0", manufacturer: "Maker", vendorId: "0403" },
    ]),
  names: (folder) => {
    const names = folders[folder];
    return names ? Promise.resolve(names) : Promise.reject(new Error("ENOENT"));
  },
  target: () => Promise.resolve("/dev/ttyUSB0"),
};
const cable = "usb-Maker_Cable_A1-if00-port0";

test("a plugged device comes first, by the name that stays when the plug moves", async () => {
  expect(await listPorts(system)).toEqual({
    ports: [
      { uri: `serial:///dev/serial/by-id/${cable}`, name: `${cable} (Maker)`, plugged: true },
      { uri: "serial:///dev/ttyS0", name: "ttyS0", plugged: false },
    ],
    why: null,
  });
});

test("without the system's device database the device files are listed, and why is said", async () => {
  const { ports, why } = await listPorts({
    ...system,
    list: () => Promise.reject(new Error("spawn udevadm ENOENT")),
  });
  expect(ports.map(({ uri, plugged }) => [uri, plugged])).toEqual([
    [`serial:///dev/serial/by-id/${cable}`, true],
    ["serial:///dev/ttyACM3", true],
    ["serial:///dev/ttyS0", false],
  ]);
  expect(why).toContain("spawn udevadm ENOENT");
});

test("a machine without any serial line has an empty list", async () => {
  const none = await listPorts({
    list: () => Promise.reject(new Error("no")),
    names: () => Promise.reject(new Error("ENOENT")),
    target: () => Promise.reject(new Error("ENOENT")),
  });
  expect(none.ports).toEqual([]);
});

test("on macOS the device that waits for no carrier is listed", async () => {
  const { ports } = await listPorts({
    ...system,
    list: () =>
      Promise.resolve([
        { path: "/dev/tty.Bluetooth-Incoming-Port" },
        { path: "/dev/tty.usbserial-1420", manufacturer: "Maker", vendorId: "0403" },
      ]),
    names: () => Promise.reject(new Error("ENOENT")),
  });
  expect(ports).toEqual([
    { uri: "serial:///dev/cu.usbserial-1420", name: "cu.usbserial-1420 (Maker)", plugged: true },
    {
      uri: "serial:///dev/cu.Bluetooth-Incoming-Port",
      name: "cu.Bluetooth-Incoming-Port",
      plugged: false,
    },
  ]);
});

test("a port of another system keeps its name", async () => {
  const { ports } = await listPorts({
    ...system,
    list: () => Promise.resolve([{ path: "COM3", vendorId: "0403" }]),
    names: () => Promise.reject(new Error("ENOENT")),
  });
  expect(ports).toEqual([{ uri: "serial:COM3", name: "COM3", plugged: true }]);
});
