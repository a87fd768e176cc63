/** What a page or a program may ask for. Every schema refuses parts that it does not know. */
import Type, { type Static } from "typebox";
import { Settings } from "./bench.ts";
import { ScaleChoice, seenSays, toldOnce } from "./seen.ts";
import {
  closed,
  CoreFinding,
  Id,
  Iso,
  Name,
  nullable,
  UnitWord,
  WeighingKind,
  words,
} from "./words.ts";

const Reason = Type.String({ minLength: 1, maxLength: 500 });

const FoodSaid = {
  food: Type.Optional(nullable(Type.String({ maxLength: 200 }))),
  waterPct: Type.Optional(nullable(Type.Number({ exclusiveMinimum: 0, exclusiveMaximum: 100 }))),
  thicknessMm: Type.Optional(
    nullable(
      Type.Number({
        exclusiveMinimum: 0,
        maximum: 200,
        description: "of the pieces, the shortest way through; left out: any",
      }),
    ),
  ),
};
/** One of the foods that are poured onto a tray one after the other. */
export const NewPortion = Type.Object(
  {
    ...FoodSaid,
    targetGrams: Type.Optional(
      nullable(
        Type.Number({
          exclusiveMinimum: 0,
          maximum: 100_000,
          description: "net; at the scale it is taken by itself when this is reached",
        }),
      ),
    ),
    bag: Type.Optional(
      nullable(
        Type.Union([Id, Type.String({ maxLength: 40 })], {
          description: "dried before: the bag that it is taken from, by number or label",
        }),
      ),
    ),
  },
  closed,
);
export const NewTray = Type.Object(
  {
    name: Name,
    tareGrams: Type.Optional(nullable(Type.Number({ exclusiveMinimum: 0, maximum: 100_000 }))),
    ...FoodSaid,
    portions: Type.Optional(
      Type.Array(NewPortion, {
        maxItems: 12,
        description:
          "in the order in which they are poured; instead of food, waterPct and thicknessMm",
      }),
    ),
  },
  closed,
);
export const NewBatch = Type.Object(
  {
    name: Type.Optional(Type.String({ maxLength: 120 })),
    dryer: Name,
    number: Type.Optional(
      nullable(
        Type.Integer({
          minimum: 1,
          maximum: 999_999_999,
          description: "carries on from a notebook; set once, and never lower than the last",
        }),
      ),
    ),
    trays: Type.Array(NewTray, { maxItems: 60 }),
  },
  closed,
);
export const TrayEdit = Type.Partial(
  Type.Object({
    ...NewTray.properties,
    seen: Type.Object(
      {
        name: Type.Optional(Type.String()),
        tareGrams: Type.Optional(nullable(Type.Number())),
        food: Type.Optional(nullable(Type.String())),
        waterPct: Type.Optional(nullable(Type.Number())),
        thicknessMm: Type.Optional(nullable(Type.Number())),
        portions: Type.Optional(Type.Array(NewPortion)),
      },
      { ...closed, description: seenSays },
    ),
  }),
  closed,
);
export const ClockSet = Type.Object(
  {
    is: words(["in", "out"]),
    at: Type.Optional(Iso),
    trays: Type.Optional(nullable(Type.Array(Id, { minItems: 1 }))),
  },
  closed,
);
export const ClockEdit = Type.Object(
  { at: Type.Optional(Iso), struck: Type.Optional(Type.Boolean()), reason: Reason },
  closed,
);
export const NewInterruption = Type.Object(
  { from: Iso, to: Type.Optional(nullable(Iso)), reason: Reason },
  closed,
);
export const GapAnswer = Type.Object(
  {
    dryerRan: Type.Boolean(),
    seen: Type.Optional(
      Type.Object({ dryerRan: nullable(Type.Boolean()) }, { ...closed, description: toldOnce }),
    ),
  },
  closed,
);
export const InterruptionEnd = Type.Object(
  {
    to: nullable(Iso),
    seen: Type.Optional(Type.Object({ to: nullable(Iso) }, { ...closed, description: toldOnce })),
  },
  closed,
);
export const TaskChoice = Type.Object(
  {
    tray: nullable(Id),
    kind: Type.Optional(WeighingKind),
    portion: Type.Optional(Id),
    seen: Type.Optional(ScaleChoice),
  },
  closed,
);
export const LoadAnswer = Type.Object(
  {
    load: Id,
    tray: nullable(Id),
    kind: Type.Optional(WeighingKind),
    portion: Type.Optional(Id),
  },
  closed,
);
export const AskingSaid = Type.Object(
  {
    ask: nullable(
      Type.String({
        // The store takes a text that begins with NUL for an empty one.
        pattern: "^[\\u0001-\\u00ff][\\u0000-\\u00ff]{0,31}$",
        description:
          "the bytes to send, in latin1, such as SI CR LF, the first not NUL; null: it may not be asked",
      }),
    ),
    everyMs: Type.Optional(
      Type.Integer({
        minimum: 100,
        maximum: 60_000,
        description: "how long after an answer it is asked again; left out: 100",
      }),
    ),
  },
  closed,
);
export const TareKeySaid = Type.Object(
  { pressed: Type.Boolean({ description: "the scale's own tare key, with the tray on it" }) },
  closed,
);
export const TypedWeighing = Type.Object(
  {
    tray: Id,
    kind: WeighingKind,
    portion: Type.Optional(
      Type.Integer({ minimum: 1, description: "poured last, or after drying alone on its tray" }),
    ),
    value: Type.Number({ exclusiveMinimum: 0, maximum: 1_000_000 }),
    unit: Type.Optional(UnitWord),
    divisionGrams: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1000 })),
    at: Type.Optional(Iso),
  },
  closed,
);
export const WeighingEdit = Type.Object(
  {
    tray: Type.Optional(Id),
    kind: Type.Optional(WeighingKind),
    grossGrams: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1_000_000 })),
    struck: Type.Optional(Type.Boolean()),
    foodTaken: Type.Optional(
      Type.Boolean({
        description:
          "Food was taken off the tray since it was weighed before. A correction that does not say so takes it back.",
      }),
    ),
    reason: Reason,
  },
  closed,
);
export const WeighingSwap = Type.Object({ with: Id, reason: Reason }, closed);
export const CoreCheck = Type.Object({ finding: CoreFinding }, closed);
export const NewScale = Type.Object({ uri: Type.String({ minLength: 1, maxLength: 500 }) }, closed);
export const FormChoice = Type.Object(
  {
    form: Type.String({ minLength: 1, maxLength: 60 }),
    unit: Type.Optional(nullable(Type.String({ maxLength: 10 }))),
    divisionGrams: Type.Optional(nullable(Type.Number({ exclusiveMinimum: 0, maximum: 1000 }))),
  },
  closed,
);
/** A broker as a person sets it. A password that is left out stays; null takes it away. */
export const MqttEdit = Type.Object(
  {
    url: Type.String({ minLength: 1, maxLength: 500 }),
    prefix: Type.String({ minLength: 1, maxLength: 100 }),
    user: nullable(Type.String({ maxLength: 200 })),
    password: Type.Optional(nullable(Type.String({ maxLength: 500 }))),
  },
  closed,
);
export const SettingsEdit = Type.Partial(
  Type.Object({
    ...Settings.properties,
    mqtt: nullable(MqttEdit),
    seen: Type.Partial(Settings, { ...closed, description: seenSays }),
  }),
  closed,
);
export const AlertTrial = Type.Object(
  { channel: Type.Optional(words(["webhook", "mqtt"], "webhook when left out")) },
  closed,
);
export const KeyPress = Type.Object({ what: words(["tare", "zero", "unit"]) }, closed);
const Hex = (most: number) =>
  Type.String({ pattern: "^([0-9a-f]{2})*$", maxLength: most, description: "bytes in hex" });
export const PageBytes = Type.Object(
  {
    sender: Type.String({
      minLength: 8,
      maxLength: 64,
      description: "names the page, the same for as long as it holds its device; made up by it",
    }),
    chunks: Type.Array(
      Type.Object(
        {
          agoMs: Type.Number({
            minimum: 0,
            maximum: 10_000,
            description: "how long ago these bytes came from the device",
          }),
          hex: Hex(4096),
        },
        closed,
      ),
      { maxItems: 64, description: "in the order in which they came; none is a sign of life" },
    ),
    ended: Type.Optional(
      Type.Boolean({ description: "the page lets go of its device: as if it were unplugged" }),
    ),
  },
  closed,
);
export const PageWrites = Type.Object({
  send: nullable(Type.String({ description: "bytes in hex, to be written to the scale now" })),
});
export const PracticeAct = Type.Object(
  {
    works: Type.Optional(
      Type.Boolean({ description: "whether the practice hand does the work by itself" }),
    ),
    place: Type.Optional(
      nullable(
        Type.Union([
          Type.Object({ tray: Id, empty: Type.Optional(Type.Boolean()) }, closed),
          Type.Object(
            {
              bag: Id,
              share: Type.Optional(
                Type.Number({ minimum: 0, maximum: 2, description: "of what goes into it; 1" }),
              ),
            },
            closed,
          ),
        ]),
      ),
    ),
  },
  closed,
);

/** A log kept by hand, in the columns that `judge` reads. */
export const NewImport = Type.Object(
  {
    csv: Type.String({ minLength: 1, maxLength: 1_000_000 }),
    dryer: Name,
    startedAt: Type.Optional(Iso),
  },
  closed,
);
export const LogImport = Type.Object({
  batches: Type.Array(
    Type.Object({
      batch: Id,
      name: Type.String(),
      startedAt: Iso,
      endedAt: Iso,
      trays: Type.Array(
        Type.Object({
          name: Type.String(),
          food: nullable(Type.String()),
          freshGrams: nullable(Type.Number()),
          lastGrams: nullable(Type.Number()),
          weighings: Type.Integer({ description: "after drying" }),
        }),
      ),
    }),
  ),
  problems: Type.Array(
    Type.Object({ line: Type.Integer({ description: "of the file" }), text: Type.String() }),
    { description: "with any of them nothing is brought in" },
  ),
  notes: Type.Array(Type.String(), { description: "what was filled in" }),
});

export const FoodFound = Type.Object({
  number: Type.String(),
  name: Type.String(),
  group: Type.String(),
  waterPct: Type.Number(),
  waterSdPct: Type.Number(),
  sdIsOfGroup: Type.Boolean(),
  source: Type.String(),
  cautions: Type.Array(Type.String()),
  thicknessMm: nullable(
    Type.Number({ description: "of its pieces the last time that somebody stated it" }),
  ),
  own: nullable(
    Type.Object(
      {
        batches: Type.Integer({ description: "how many of one's own batches it was learned from" }),
        waterPct: Type.Number(),
        waterSdPct: Type.Number(),
      },
      {
        description: "what the next lot is expected to hold, from one's own batches and the table",
      },
    ),
  ),
});
export const LessonShown = Type.Object({
  id: Id,
  batch: Id,
  batchNumber: Type.Integer(),
  food: Type.String(),
  freshGrams: Type.Number(),
  dryGrams: Type.Number({ description: "net when every tray was stable" }),
  waterPct: Type.Number({ description: "water of the fresh food that follows" }),
  ratePerHour: nullable(
    Type.Number({
      description: "rate constant at which its last water left, 1/h; null: not shown",
    }),
  ),
  thicknessMm: nullable(Type.Number({ description: "of the pieces, at which that was" })),
  at: Iso,
  counts: Type.Boolean(),
  why: nullable(Type.String({ description: "why it was withdrawn, or counts again" })),
});
export const LessonEdit = Type.Object({ counts: Type.Boolean(), reason: Reason }, closed);
export const PortFound = Type.Object({ uri: Type.String(), name: Type.String() });
export const Ports = Type.Object({ ports: Type.Array(PortFound), why: nullable(Type.String()) });

export const AlertTried = Type.Object({
  sent: Type.Boolean(),
  why: nullable(Type.String({ description: "why it could not be sent" })),
});

export const Problem = Type.Object({
  type: Type.String(),
  title: Type.String(),
  status: Type.Integer(),
  detail: Type.Optional(Type.String()),
  instance: Type.Optional(Type.String()),
  hint: Type.Optional(Type.String()),
  errors: Type.Optional(Type.Array(Type.Object({ pointer: Type.String(), detail: Type.String() }))),
});

export type AskingSaid = Static<typeof AskingSaid>;
export type TareKeySaid = Static<typeof TareKeySaid>;
export type NewPortion = Static<typeof NewPortion>;
export type NewTray = Static<typeof NewTray>;
export type NewBatch = Static<typeof NewBatch>;
export type TrayEdit = Static<typeof TrayEdit>;
export type ClockSet = Static<typeof ClockSet>;
export type ClockEdit = Static<typeof ClockEdit>;
export type NewInterruption = Static<typeof NewInterruption>;
export type InterruptionEnd = Static<typeof InterruptionEnd>;
export type GapAnswer = Static<typeof GapAnswer>;
export type TaskChoice = Static<typeof TaskChoice>;
export type LoadAnswer = Static<typeof LoadAnswer>;
export type TypedWeighing = Static<typeof TypedWeighing>;
export type WeighingEdit = Static<typeof WeighingEdit>;
export type WeighingSwap = Static<typeof WeighingSwap>;
export type CoreCheck = Static<typeof CoreCheck>;
export type NewScale = Static<typeof NewScale>;
export type FormChoice = Static<typeof FormChoice>;
export type MqttEdit = Static<typeof MqttEdit>;
export type KeyPress = Static<typeof KeyPress>;
export type PageBytes = Static<typeof PageBytes>;
export type PageWrites = Static<typeof PageWrites>;
export type SettingsEdit = Static<typeof SettingsEdit>;
export type PracticeAct = Static<typeof PracticeAct>;
export type FoodFound = Static<typeof FoodFound>;
export type NewImport = Static<typeof NewImport>;
export type LogImport = Static<typeof LogImport>;
export type LessonShown = Static<typeof LessonShown>;
export type LessonEdit = Static<typeof LessonEdit>;
export type Ports = Static<typeof Ports>;
export type AlertTried = Static<typeof AlertTried>;
export type AlertTrial = Static<typeof AlertTrial>;
export type Problem = Static<typeof Problem>;
