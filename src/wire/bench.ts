/** The present: everything that a page needs to show, sent at once on connect and after every change. */
import Type, { type Static } from "typebox";
import { Bag, BagTaken, BagTask } from "./bag.ts";
import { Batch } from "./batch.ts";
import { ScaleCheck } from "./kitchen.ts";
import { ScaleChosen } from "./seen.ts";
import { Id, Iso, LinkWord, nullable, PanWord, UnitWord, WeighingKind, words } from "./words.ts";

export const ScaleForm = Type.Object({
  form: Type.String(),
  title: Type.String({ description: "the form in words" }),
  divisionGrams: nullable(
    Type.Number({ description: "where the choice also settles where the point is" }),
  ),
  unit: nullable(Type.String({ description: "null: the person has to say the unit" })),
  example: Type.String({ description: "a line as the scale sent it" }),
  reads: Type.String({
    description: "what the line would mean in this form, in the figures of the scale's display",
  }),
});

export const Scale = Type.Object({
  id: Type.String(),
  uri: Type.String(),
  practice: Type.Boolean(),
  link: LinkWord,
  since: Iso,
  why: nullable(Type.String()),
  fix: nullable(Type.String()),
  form: nullable(Type.String()),
  unit: nullable(Type.String()),
  keys: Type.Optional(
    Type.Array(words(["tare", "zero", "unit"]), {
      description: "what can be sent to the scale, as if its key were pressed",
    }),
  ),
  asking: Type.Optional(
    nullable(
      Type.Object(
        { ask: nullable(Type.String()), everyMs: Type.Integer() },
        { description: "what a person said of asking it; `ask` null: it may not be asked" },
      ),
    ),
  ),
  offersAsking: Type.Optional(
    Type.Boolean({ description: "it says nothing by itself, and nobody said whether to ask it" }),
  ),
  candidates: Type.Array(ScaleForm, { description: "to choose from when the form is not certain" }),
  state: PanWord,
  grams: nullable(Type.Number()),
  settled: Type.Boolean(),
  divisionGrams: nullable(Type.Number()),
  zeroSeen: Type.Boolean(),
});

export const Question = Type.Object({
  load: Id,
  grams: Type.Number(),
  is: words(["which-tray", "zero-not-seen"]),
  why: Type.String(),
  candidates: Type.Array(
    Type.Object({
      batch: Id,
      tray: Id,
      name: Type.String(),
      kind: WeighingKind,
      portion: nullable(Id),
      probability: Type.Number(),
      netGrams: nullable(Type.Number()),
    }),
  ),
});

export const Taken = Type.Object({
  weighing: Id,
  batch: Id,
  tray: Id,
  name: Type.String(),
  kind: WeighingKind,
  portion: nullable(Id),
  food: nullable(Type.String({ description: "of the portion" })),
  grossGrams: Type.Number(),
  netGrams: nullable(Type.Number()),
  at: Iso,
});

/** What is being poured onto a tray. Net on the tray now: the reading, plus hidden, less before. */
export const Pour = Type.Object({
  batch: Id,
  tray: Id,
  name: Type.String(),
  portion: nullable(Id),
  portions: Type.Integer({ description: "of the tray" }),
  food: nullable(Type.String()),
  beforeGrams: Type.Number({ description: "the tray, empty or with the portions before" }),
  hiddenGrams: Type.Number({ description: "what the scale's own tare key hides; 0: nothing" }),
  targetGrams: nullable(Type.Number()),
  toleranceGrams: nullable(Type.Number()),
  load: nullable(Type.Integer({ description: "at rest and not taken by itself" })),
  isOn: Type.Boolean({ description: "this tray was the last thing taken on the scale" }),
});

export const ScaleTask = Type.Object({
  scale: Type.String(),
  next: nullable(
    Type.Object({
      batch: Id,
      tray: Id,
      name: Type.String(),
      kind: WeighingKind,
      portion: nullable(Id),
      chosen: Type.Boolean({ description: "a person chose it; else it is the next in order" }),
    }),
  ),
  chosen: ScaleChosen,
  pour: nullable(Pour),
  check: Type.Object({
    last: nullable(ScaleCheck),
    isDue: Type.Boolean({ description: "a check weight is in use, and it is time" }),
    waitsFor: nullable(
      Type.Object({ weight: Id, name: Type.String(), nominalGrams: Type.Number() }),
    ),
  }),
  question: nullable(Question),
  taken: nullable(Taken),
  bag: nullable(BagTask),
  bagTaken: nullable(BagTaken),
});

export const Alert = Type.Object({
  id: Id,
  code: words([
    "time-to-weigh",
    "stable",
    "needs-more",
    "stalled",
    "gaining",
    "unsure",
    "out-too-long",
    "scale-lost",
  ]),
  batch: nullable(Id),
  round: nullable(Type.Integer()),
  text: Type.String({ description: "in English" }),
  figures: Type.Record(
    Type.String(),
    Type.Union([Type.Number(), Type.String(), Type.Array(Type.String())]),
    { description: "what the text says, to word it in another language" },
  ),
  at: Iso,
  acknowledged: nullable(Iso),
});

export const Settings = Type.Object({
  limitPct: Type.Number({
    exclusiveMinimum: 0,
    maximum: 10,
    description: "water above what a working dryer leaves that still counts as dry, % of dry mass",
  }),
  displayUnit: UnitWord,
  webhook: nullable(Type.String({ maxLength: 2000 })),
  mqtt: nullable(
    Type.Object({
      url: Type.String(),
      prefix: Type.String(),
      user: nullable(Type.String()),
      hasPassword: Type.Boolean({ description: "the password itself is never shown" }),
    }),
  ),
  outTooLongMinutes: Type.Number({ minimum: 1, maximum: 1440 }),
  sound: Type.Boolean(),
  learning: Type.Boolean({
    description: "whether ended batches that were proved dry count for the next lot of a food",
  }),
});

export const Sending = Type.Object({
  channel: words(["webhook", "mqtt"]),
  at: nullable(Type.Unsafe<string>({ ...Iso, description: "when one was last sent" })),
  lateMinutes: Type.Integer({ description: "how long after it was raised that was" }),
  failed: nullable(Type.String({ description: "why the last try failed" })),
  waiting: Type.Integer({ description: "alerts that still stand and are tried again" }),
});

export const BackupState = Type.Object({
  folder: Type.String(),
  everyHours: Type.Number(),
  at: nullable(Type.Unsafe<string>({ ...Iso, description: "when the newest copy was made" })),
  failed: nullable(Type.String({ description: "why the last try failed" })),
});

export const Bench = Type.Object({
  program: Type.String(),
  practice: nullable(Type.String({ description: "why everything here is practice" })),
  timeFactor: Type.Number(),
  dataFolder: Type.String(),
  recording: Type.Boolean(),
  notRecordingWhy: nullable(Type.String()),
  clockJump: nullable(Type.String()),
  scales: Type.Array(Scale),
  tasks: Type.Array(ScaleTask),
  comparing: Type.Optional(
    nullable(
      Type.Object(
        {
          one: Type.String(),
          other: Type.String(),
          first: nullable(Type.Object({ scale: Type.String(), grams: Type.Number() })),
          why: nullable(
            words(["zero-not-seen", "too-light", "too-late", "still-on-first", "not-one-load"]),
          ),
        },
        { description: "two scales that wait for one load, first on one, then on the other" },
      ),
    ),
  ),
  nextBatchNumber: Id,
  nextWeighing: Type.Optional(
    Type.Unsafe<number>({
      ...Id,
      description: "rises with every weighing and correction, of batches that have ended too",
    }),
  ),
  bagsAsOf: Type.Optional(
    Type.Integer({
      description:
        "rises with every row that a bag is shown from, of bags that are gone and weighings of trays too",
    }),
  ),
  batches: Type.Array(Batch, { description: "those that have not ended" }),
  packing: Type.Array(Bag, { description: "bags that are planned or filled and not yet sealed" }),
  alerts: Type.Array(Alert, { description: "those that nobody acknowledged" }),
  settings: Settings,
  sending: Type.Array(Sending),
  backup: nullable(BackupState),
  practiceHand: nullable(Type.Object({ works: Type.Boolean(), doing: Type.String() })),
});

export type ScaleForm = Static<typeof ScaleForm>;
export type Scale = Static<typeof Scale>;
export type Question = Static<typeof Question>;
export type Taken = Static<typeof Taken>;
export type Pour = Static<typeof Pour>;
export type ScaleTask = Static<typeof ScaleTask>;
export type Alert = Static<typeof Alert>;
export type Settings = Static<typeof Settings>;
export type Sending = Static<typeof Sending>;
export type BackupState = Static<typeof BackupState>;
export type Bench = Static<typeof Bench>;
