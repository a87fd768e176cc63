/**
 * The catalogue of refusals: every way in which the program says no to a person or a program. Anything else that
 * is thrown is a bug. `title` is fixed for a code; the detail of one case is written where it happens. `hintOfCommand`: the
 * hint at the command line, where what was begun is over and the service would go on.
 */
export const faults = {
  "batch.ended": {
    status: 409,
    title: "The batch has ended",
    hint: "Put its weighings right in the record; start a new batch for more drying",
  },
  "batch.not-found": {
    status: 404,
    title: "There is no such batch",
    hint: "GET /api/batches lists the batches that are there",
  },
  "batch.wrong-phase": {
    status: 409,
    title: "The batch is not at that point",
    hint: "Look at the batch's drying clock and at what it waits for",
  },
  "bag.not-found": {
    status: 404,
    title: "There is no such bag",
    hint: "GET /api/bags?state=all lists every bag; a label reads like 12-3",
  },
  "bag.nothing-left": {
    status: 409,
    title: "The tray does not have so much left to pack",
    hint: "Ask for less, or cancel a planned bag",
  },
  "bag.too-small": {
    status: 422,
    title: "The food does not go into that package",
    hint: "Choose a larger package or more bags",
  },
  "bag.wrong-state": {
    status: 409,
    title: "The bag is not at that point",
    hint: "Look at the bag's state and at the weighings that it has",
  },
  "change.kept-before": {
    status: 409,
    title: "That was done already, before the program was stopped",
    hint: "Look at it as it is now",
  },
  "clock.not-found": {
    status: 404,
    title: "There is no such moment in the drying clock",
    hint: "The batch's history lists the moments of its drying clock",
  },
  "clock.out-of-order": {
    status: 409,
    title: "The drying clock cannot run backwards",
    hint: "Give a time between the moment before and the moment after it",
  },
  "alert.not-found": {
    status: 404,
    title: "There is no such alert",
    hint: "GET /api/bench lists the open alerts",
  },
  "device.not-found": {
    status: 404,
    title: "There is no such device",
    hint: "GET /api/devices lists the devices that are paired",
  },
  "edit.crossed": {
    status: 412,
    title: "Somebody changed that in the meantime",
    hint: "The list of errors says what; look at it as it is now, then change it again",
  },
  "gap.not-found": {
    status: 404,
    title: "There is no such gap in the record",
    hint: "GET /api/bench lists the gaps that wait for an answer",
  },
  "input.invalid": {
    status: 400,
    title: "The request does not have the right form",
    hint: "The list of errors says which part and why; GET /api/openapi.json has the forms",
  },
  "label.too-many": {
    status: 503,
    title: "Too many labels are being drawn",
    hint: "Wait some seconds, then ask again; several bags can go into one file",
  },
  "link.refused": {
    status: 400,
    title: "That scale address cannot be used",
    hint: "Use serial:///dev/…, tcp://host:port or a path such as /dev/ttyUSB0",
  },
  "load.gone": {
    status: 409,
    title: "That load is no longer on the scale",
    hint: "Put it on the scale again",
  },
  "network.cannot-listen": {
    status: 500,
    title: "The service cannot listen at that address",
    hint: "Choose another port with --port or an address of this computer with --host, or stop the other program",
  },
  "network.forbidden": {
    status: 403,
    title: "The request comes from a place that is not allowed",
    hint: "Open the page under the address that the program printed at its start",
  },
  "network.no-certificate": {
    status: 500,
    title: "The certificate cannot be used",
    hint: "Give --cert and --key the files of a certificate and of its key, both as PEM",
  },
  "pairing.code-refused": {
    status: 403,
    title: "That code lets nobody in",
    hint: "A code works once and for ten minutes; stillweight pair, or a paired page, makes a new one",
  },
  "pairing.needed": {
    status: 401,
    title: "This device has to be paired first",
    hint: "Open the page and type the code that the program printed at its start, or that stillweight pair prints",
  },
  "pairing.read-only": {
    status: 403,
    title: "This device may only look",
    hint: "Pair it anew with a code for full access",
  },
  "practice.only": {
    status: 409,
    title: "That works only in practice",
    hint: "Start without a scale to practise",
  },
  "scale.held": {
    status: 409,
    title: "Another page reads that scale",
    hint: "Let go of it there, or close that page, then read it here",
  },
  "scale.not-of-a-page": {
    status: 409,
    title: "That scale is not read by a page",
    hint: "Hand bytes over only for a scale whose address begins with page:",
  },
  "scale.too-fast": {
    status: 429,
    title: "More bytes came than a scale can send",
    hint: "Hand over what the device sends as it comes, and nothing twice",
  },
  "scale.no-such-key": {
    status: 409,
    title: "That scale cannot be told to do that",
    hint: "Press the key on the scale itself",
  },
  "scale.not-connected": {
    status: 409,
    title: "The scale is not connected: nothing was sent",
    hint: "Look at the cable and at the scale's switch, then send it again",
  },
  "scale.not-found": {
    status: 404,
    title: "There is no such scale",
    hint: "GET /api/bench lists the scales that are set up",
  },
  "store.damaged": {
    status: 500,
    title: "The store is damaged",
    hint: "Run stillweight check; bring back the newest backup with stillweight restore",
  },
  "store.full": {
    status: 507,
    title: "The disk has no room: nothing was kept",
    hint: "Make room on the disk; the program goes on by itself",
    hintOfCommand: "Make room on the disk; then call the command again",
  },
  "store.newer-than-program": {
    status: 500,
    title: "The store was written by a newer version of the program",
    hint: "Install that version or a later one; nothing was changed",
  },
  "store.not-ours": {
    status: 500,
    title: "The file is not a store of this program",
    hint: "Choose another file, or another folder with --data",
  },
  "store.unwritable": {
    status: 503,
    title: "The store cannot be written: nothing was kept",
    hint: "Look at the disk and at the rights of the data folder; the program goes on by itself",
    hintOfCommand:
      "Look at the disk and at the rights of the data folder; then call the command again",
  },
  "store.in-use": {
    status: 503,
    title: "Another program has this data folder open",
    hint: "Stop the other one, or choose another folder with --data",
  },
  "store.wrong-kind": {
    status: 409,
    title: "Practice and real records never share a folder",
    hint: "Choose another folder with --data",
  },
  "tray.not-found": {
    status: 404,
    title: "There is no such tray",
    hint: "GET /api/batches/{batch} lists the trays of a batch",
  },
  "tray.not-dry": {
    status: 409,
    title: "A tray is not stable with its thickest piece checked",
    hint: "Dry it on or break its thickest piece; or give a reason, which stays on the record (although)",
  },
  "tray.no-tare": {
    status: 409,
    title: "The empty tray's mass is not known",
    hint: "Weigh the empty tray, or type its mass",
  },
  "weighing.edited-meanwhile": {
    status: 409,
    title: "Somebody changed that weighing in the meantime",
    hint: "Look at it again, then correct it",
  },
  "weighing.impossible": {
    status: 422,
    title: "That mass cannot be",
    hint: "Look at the scale, the tray and the unit",
  },
  "food.not-found": {
    status: 404,
    title: "There is no such food of your own",
    hint: "GET /api/kitchen lists your foods with their numbers",
  },
  "weight.not-found": {
    status: 404,
    title: "There is no such check weight",
    hint: "GET /api/kitchen lists the check weights with their numbers",
  },
  "photo.not-a-picture": {
    status: 400,
    title: "That is no picture that can be kept",
    hint: "Send a JPEG, PNG or WebP file of at most 1 MiB, as the body itself",
  },
  "photo.not-found": {
    status: 404,
    title: "There is no such photograph",
    hint: "The list of the batch's photographs has their numbers",
  },
  "photo.too-many": {
    status: 409,
    title: "The batch has as many photographs as it may have",
    hint: "Take one away first",
  },
  "lesson.not-found": {
    status: 404,
    title: "There is no such lesson",
    hint: "The list of lessons has their numbers",
  },
  "weighing.not-found": {
    status: 404,
    title: "There is no such weighing",
    hint: "The batch's history lists its weighings",
  },
  "word.unknown-command": {
    status: 400,
    title: "There is no such command or option",
    hint: "stillweight --help lists the commands and their options",
  },
} as const satisfies Record<
  string,
  { status: number; title: string; hint: string; hintOfCommand?: string }
>;

export type FaultCode = keyof typeof faults;

/** A refusal with a code of the catalogue. `detail`: what happened, to which thing, with the value seen. */
export class Fault extends Error {
  readonly code: FaultCode;
  readonly errors: readonly { readonly pointer: string; readonly detail: string }[];
  constructor(
    code: FaultCode,
    detail: string,
    more: {
      errors?: readonly { readonly pointer: string; readonly detail: string }[];
      cause?: unknown;
    } = {},
  ) {
    super(detail, { cause: more.cause });
    this.name = "Fault";
    this.code = code;
    this.errors = more.errors ?? [];
  }
}

export const isFault = (thrown: unknown, code?: FaultCode): thrown is Fault =>
  thrown instanceof Fault && (code === undefined || thrown.code === code);
