/**
 * A program of its own: opens a store, which brings it to the newest layout. Arguments: the data folder, and the call
 * on the database before which the program kills itself (0: none).
 */
import Database from "better-sqlite3";
import { writeSync } from "node:fs";
import { openStore } from "../../src/store/store.ts";
import { noon } from "./facts.ts";

const [, , folder = "", at = "0"] = process.argv;
let calls = 0;
function count(): void {
  calls += 1;
  if (calls === Number(at)) process.kill(process.pid, "SIGKILL");
}

type Method = (this: Database.Database, ...given: readonly unknown[]) => unknown;
const exec = Reflect.get(Database.prototype, "exec") as Method;
const pragma = Reflect.get(Database.prototype, "pragma") as Method;
Database.prototype.pragma = function (this: Database.Database, ...given) {
  count();
  return pragma.apply(this, given);
};
/** One statement at a time, so that the program can die between any two of a step. */
Database.prototype.exec = function (this: Database.Database, sql: string) {
  for (const one of statements(sql)) {
    count();
    exec.call(this, one);
  }
  return this;
};

/** A trigger's body holds statements of its own, and ends with END. */
function statements(sql: string): string[] {
  const whole: string[] = [];
  let open = "";
  for (const part of sql.split(/(?<=;[ \t]*\n)/)) {
    open += part;
    const isTrigger = /CREATE\s+(TEMP\s+)?TRIGGER/i.test(open);
    if (isTrigger && !/\bEND\s*;\s*$/i.test(open)) continue;
    whole.push(open);
    open = "";
  }
  return open.trim() === "" ? whole : [...whole, open];
}

writeSync(1, "opening\n");
openStore(folder, { practice: false, timeFactor: 1, at: noon }).close();
writeSync(1, `opened after ${calls} calls\n`);
