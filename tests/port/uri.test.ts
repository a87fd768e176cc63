import { expect, test } from "vitest";
import { isRefused, isSamePlace, readAddress, readScaleUri } from "../../src/port/uri.ts";
import fc from "../rig/properties.ts";

const place = (uri: string): unknown => {
  const read = readAddress(uri);
  return isRefused(read) ? read.why : read.place;
};
const line = { is: "serial", baud: 9600, findsBaud: true, bits: 8, parity: "none", stop: 1 };

test.each([
  ["/dev/ttyUSB0", { ...line, path: "/dev/ttyUSB0" }],
  ["COM3", { ...line, path: "COM3" }],
  [
    "serial:COM12?baud=2400&bits=7&parity=even&stop=2",
    { is: "serial", path: "COM12", baud: 2400, findsBaud: false, bits: 7, parity: "even", stop: 2 },
  ],
  ["com3", { ...line, path: "COM3" }],
  ["\\\\.\\COM10", { ...line, path: "COM10" }],
  ["serial:\\\\.\\com10", { ...line, path: "COM10" }],
  ["/dev/tty.usbserial-1420", { ...line, path: "/dev/cu.usbserial-1420" }],
  ["serial:/dev/ttyACM0", { ...line, path: "/dev/ttyACM0" }],
  [
    "serial:///dev/serial/by-id/usb-Maker_Scale%201?baud=115200&form=auto",
    { ...line, path: "/dev/serial/by-id/usb-Maker_Scale 1", baud: 115200, findsBaud: false },
  ],
  ["tcp://192.168.1.20:4001", { is: "tcp", host: "192.168.1.20", port: 4001 }],
  ["tcp://[fe80::1]:23", { is: "tcp", host: "fe80::1", port: 23 }],
  ["practice:", { is: "practice" }],
  ["replay:/tmp/a.txt?speed=0", { is: "replay", file: "/tmp/a.txt", speed: 0 }],
])("%s", (uri, wanted) => {
  expect(place(uri)).toEqual(wanted);
});

test("what is declared comes with the address", () => {
  const read = readAddress(
    "/dev/ttyS0?form=implied-point&unit=oz&division=2.8349523125&ask=SI%0D%0A+",
  );
  expect(read).toMatchObject({
    declared: { form: "implied-point", facts: { unit: "oz", division: 2.8349523125, comma: null } },
    ask: "SI\r\n+",
  });
  expect(readAddress("practice:")).toMatchObject({ declared: { form: null }, ask: null });
});

test.each([
  ["", "empty"],
  ["scale", "neither a path nor"],
  ["seriel:///dev/ttyUSB0", "did you mean serial:?"],
  ["hid:/etc/passwd", "a device, such as hid:///dev/hidraw0"],
  ["hid:?baud=9600", 'no option "baud"'],
  ["serial:", "needs a path"],
  ["serial://dev/ttyUSB0", "needs a path"],
  ["tcp://scale.local", "needs a host and a port"],
  ["tcp://scale.local:0", "needs a host and a port"],
  ["tcp://scale.local:70000", "needs a host and a port"],
  ["tcp://h:1?baud=9600", 'tcp: has no option "baud"'],
  ["/dev/ttyUSB0?buad=9600", 'no option "buad"; the nearest is "baud"'],
  ["/dev/ttyUSB0?pairty=even", 'the nearest is "parity"'],
  ["/dev/ttyUSB0?baud=fast", "baud=fast is not a number"],
  ["/dev/ttyUSB0?baud=0", "not a speed"],
  ["/dev/ttyUSB0?baud=9600.5", "not a speed"],
  ["/dev/ttyUSB0?baud=9600&baud=2400", "given twice"],
  ["/dev/ttyUSB0?baud", "has no value"],
  ["/dev/ttyUSB0?bits=9", "none of 7, 8"],
  ["/dev/ttyUSB0?parity=mark", "none of none, even, odd"],
  ["/dev/ttyUSB0?unit=ct", "unit=ct is none of"],
  ["/dev/ttyUSB0?division=0", "more than 0 g"],
  ["/dev/ttyUSB0?form=nonsense", 'no form is called "nonsense"'],
  ["/dev/ttyUSB0?ask=%zz", "not percent-encoded"],
  ["practice:x", "takes nothing"],
])("%j is refused and the reason is named", (uri, why) => {
  expect(place(uri)).toContain(why);
  expect(() => readScaleUri(uri)).toThrow(why);
});

test("whatever is typed is read or refused, never a crash", () => {
  fc.assert(
    fc.property(
      fc.string({ maxLength: 60 }),
      fc.constantFrom("", "/dev/x?", "serial:", "tcp://"),
      (text, start) => {
        readAddress(start + text);
      },
    ),
    { numRuns: 500 },
  );
});

test.each([
  ["/dev/ttyUSB0", "serial:///dev/ttyUSB0?baud=2400", true],
  ["serial:COM3", "serial:COM4", false],
  ["serial:COM3", "com3?baud=2400", true],
  ["/dev/tty.usbmodem1", "/dev/cu.usbmodem1", true],
  ["tcp://Scale.lan:4001", "tcp://scale.lan:4001?form=marked", true],
  ["tcp://scale.lan:4001", "tcp://scale.lan:4002", false],
  ["hid:", "hid:///dev/hidraw0", true],
  ["hid:///dev/hidraw1", "hid:///dev/hidraw0", false],
  ["/dev/ttyUSB0", "tcp://scale.lan:4001", false],
])("%s and %s are one scale: %s", (one, other, isOne) => {
  const [a, b] = [readAddress(one), readAddress(other)];
  if (isRefused(a) || isRefused(b)) throw new Error("both are addresses");
  expect(isSamePlace(a.place, b.place)).toBe(isOne);
});
