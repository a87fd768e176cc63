import type Database from "better-sqlite3";
import { alertsIn } from "./alert.ts";
import { aliveIn } from "./alive.ts";
import { bagsIn } from "./bag.ts";
import { batchesIn } from "./batch.ts";
import { changeKeysIn } from "./changekey.ts";
import { clockJumpsIn } from "./clockjump.ts";
import { coreChecksIn } from "./corecheck.ts";
import { gapsIn } from "./gap.ts";
import { interruptionsIn } from "./interruption.ts";
import { kitchenIn } from "./kitchen.ts";
import { lessonsIn } from "./lesson.ts";
import { momentsIn } from "./moment.ts";
import { photosIn } from "./photo.ts";
import { scalesIn } from "./scale.ts";
import { settingsIn } from "./settings.ts";
import { traysIn } from "./tray.ts";
import { verdictsIn } from "./verdict.ts";
import { weighingsIn } from "./weighing.ts";

/** Everything that is kept, by noun, each with its statements prepared. */
export const nounsIn = (db: Database.Database) => ({
  alerts: alertsIn(db),
  alive: aliveIn(db),
  bags: bagsIn(db),
  batches: batchesIn(db),
  changeKeys: changeKeysIn(db),
  clockJumps: clockJumpsIn(db),
  coreChecks: coreChecksIn(db),
  gaps: gapsIn(db),
  interruptions: interruptionsIn(db),
  kitchen: kitchenIn(db),
  lessons: lessonsIn(db),
  moments: momentsIn(db),
  photos: photosIn(db),
  scales: scalesIn(db),
  settings: settingsIn(db),
  trays: traysIn(db),
  verdicts: verdictsIn(db),
  weighings: weighingsIn(db),
});

export type Nouns = ReturnType<typeof nounsIn>;
