/**
 * The store: what people weighed and said, in one SQLite file in a data folder. In: facts and questions. Out: the
 * same, read back. What `record` was given is on the disk when it returns; masses are kept in whole milligrams,
 * divisions in micrograms, times in milliseconds.
 */
import type Database from "better-sqlite3";
import type { Bag } from "../bag/bag.ts";
import type { FormChoice } from "../reading/form.ts";
import type { Alive, AskingSaid, Batch, Fact, Kept } from "../service/bench.ts";
import type { ClockJump } from "../tray/clockdoubt.ts";
import type { Grams, UtcMs } from "../units/quantity.ts";
import type { BagsWanted } from "./bag.ts";
import type { BatchState } from "./batch.ts";
import { chainLines, headsIn, type ChainNoun } from "./chain.ts";
import type { ChangeKey } from "./changekey.ts";
import { databaseIn, makeFolder, openDatabase } from "./database.ts";
import {
  correctedBatches,
  listBatches,
  loadBatch,
  loadKept,
  ofEnded,
  type Corrected,
  type ListedBatch,
} from "./load.ts";
import { lockFolder } from "./lock.ts";
import { settleMark, type Mark } from "./mark.ts";
import { nounsIn } from "./nouns.ts";
import type { NewPhoto, PhotoKept } from "./photo.ts";
import { probeIn, type Recording } from "./probe.ts";
import { write } from "./record.ts";
import { stepsFolder, stepsIn } from "./steps.ts";
import type { RedriedIn } from "./tray.ts";
import { onDisk } from "./trouble.ts";

export type StoreOptions = {
  /** A practice store never becomes a real one. */
  readonly practice: boolean;
  /** Above 1 only in practice. */
  readonly timeFactor: number;
  /** Now: the creation time of a new store, and the name of the copy made before a new layout. */
  readonly at: UtcMs;
};

/** Every call that writes throws the Faults store.full, store.unwritable or store.damaged, and has then kept nothing. */
export type Store = {
  readonly folder: string;
  readonly mark: Mark;
  /**
   * Keeps all of the facts or none, and with them the key under which they were asked for, if any. A batch brings along
   * everything that it holds: its trays need no fact of their own.
   */
  record(facts: readonly Fact[], asked?: ChangeKey | null): void;
  /** Whether facts were kept under this key lately. */
  wasKept(key: string): boolean;
  load(): Kept;
  loadBatch(id: number): Batch | null;
  /** The batch that a weighing is of, open or ended; null: there is no such weighing. */
  batchOfWeighing(id: number): number | null;
  /** What is learned of the weighings of ended batches, as `load` gives it. */
  ofEnded(): Pick<Kept, "weighedAgain" | "emptyTrays">;
  /** Those of `among` that were put into bags and of which a weighing was put right, before or since. */
  correctedBatches(among: ReadonlySet<number>): Corrected[];
  listBatches(state: BatchState): ListedBatch[];
  /** In the order of their ids, those that are gone included. */
  bags(wanted: BagsWanted): Bag[];
  /** The id of the bag that a label names: a batch's number and the bag's within it. */
  bagNamed(batchNumber: number, sequence: number): number | null;
  /** A batch that is not there, or a tray or bag that is not the batch's, is a bug of the caller. */
  addPhoto(photo: NewPhoto): void;
  photos(batchId: number): PhotoKept[];
  photo(id: number): { readonly photo: PhotoKept; readonly bytes: Buffer } | null;
  removePhoto(id: number): void;
  /** The last digest of each chain. */
  heads(): Readonly<Record<ChainNoun, string>>;
  /** The rows of all chains, for others to check: see chain.ts. */
  chainLines(): Iterable<string>;
  /** The tray onto which a bag's food went to be dried again; null: none. */
  redriedIn(bagId: number): RedriedIn | null;
  /** Of a food's pieces, mm, as it was stated last; null: never. */
  thicknessOf(food: string): number | null;
  alive(moment: Alive): void;
  /** When the newest of what was weighed, said and told was kept; null: nothing was. */
  newestAt(): UtcMs | null;
  /** In the order in which they were noticed. */
  clockJumps(): ClockJump[];
  noteJump(jump: ClockJump): void;
  /** What the scale at a place is called, for good; the first call names it. */
  nameOfScale(place: string): string;
  /** The coarsest division with which this scale weighed trays of late; null: it weighed none. */
  divisionOf(scale: string): Grams | null;
  rememberScale(uri: string): void;
  /** Also forgets how its lines are to be read. */
  forgetScale(uri: string): void;
  chooseForm(uri: string, choice: FormChoice): void;
  /** How a person said that the lines of the scale at this address are to be read; null: nobody did. */
  chosenForm(uri: string): FormChoice | null;
  sayAsking(uri: string, said: AskingSaid): void;
  /** Whether the scale at this address may be asked; null: nobody said. */
  askingSaid(uri: string): AskingSaid | null;
  /** Tries a write of the size of a weighing. About 30 kB go to the disk: ask every few seconds at most. */
  canRecord(): Recording;
  hasRealWeighings(): boolean;
  /** Brings everything into the one file and lets go of the folder. */
  close(): void;
};

/**
 * Opens the store of a data folder; makes both when they are missing. Throws store.in-use, store.not-ours,
 * store.newer-than-program, store.wrong-kind, store.damaged, store.full and store.unwritable; the folder is then as
 * it was before.
 */
export function openStore(folder: string, options: StoreOptions): Store {
  return onDisk(folder, () => {
    makeFolder(folder);
    const lock = lockFolder(folder);
    let db: Database.Database | null = null;
    try {
      db = openDatabase(folder, stepsIn(stepsFolder), options.at);
      return storeOn(db, folder, settleMark(db, folder, options), () => lock.release());
    } catch (thrown) {
      db?.close();
      lock.release();
      throw thrown;
    }
  });
}

/** The store on a database that is open and has the newest layout. */
export function storeOn(
  db: Database.Database,
  folder: string,
  mark: Mark,
  afterClose: () => void = () => undefined,
): Store {
  const nouns = nounsIn(db);
  const probe = probeIn(db);
  const heads = headsIn(db);
  const writeAll = db.transaction((facts: readonly Fact[], asked: ChangeKey | null) => {
    for (const fact of facts) write(fact, nouns);
    if (asked !== null) nouns.changeKeys.add(asked);
  });
  const careful = <T>(work: () => T): T => onDisk(databaseIn(folder), work);

  return {
    folder,
    mark,
    record: (facts, asked = null) => {
      if (facts.length > 0) careful(() => writeAll.immediate(facts, asked));
    },
    wasKept: (key) => careful(() => nouns.changeKeys.has(key)),
    load: () => careful(() => loadKept(db, nouns)),
    loadBatch: (id) => careful(() => loadBatch(id, nouns)),
    batchOfWeighing: (id) => careful(() => nouns.weighings.batchOf(id)),
    ofEnded: () => careful(() => ofEnded(nouns)),
    correctedBatches: (among) => careful(() => correctedBatches(among, nouns)),
    listBatches: (state) => careful(() => listBatches(state, nouns)),
    bags: (wanted) => careful(() => nouns.bags.list(wanted)),
    bagNamed: (batchNumber, sequence) => careful(() => nouns.bags.idOf(batchNumber, sequence)),
    redriedIn: (bagId) => careful(() => nouns.trays.redriedIn(bagId)),
    thicknessOf: (food) => careful(() => nouns.trays.thicknessOf(food)),
    newestAt: () => careful(() => nouns.alive.newest()),
    clockJumps: () => careful(() => nouns.clockJumps.all()),
    noteJump: (jump) => careful(() => nouns.clockJumps.add(jump)),
    addPhoto: (photo) => careful(() => nouns.photos.add(photo)),
    photos: (batchId) => careful(() => nouns.photos.ofBatch(batchId)),
    photo: (id) => careful(() => nouns.photos.find(id)),
    removePhoto: (id) => careful(() => nouns.photos.remove(id)),
    heads: () => careful(() => heads()),
    chainLines: () => chainLines(db),
    alive: (moment) => careful(() => nouns.alive.set(moment)),
    nameOfScale: (place) => careful(() => nouns.scales.nameAt(place)),
    divisionOf: (scale) => careful(() => nouns.weighings.divisionOf(scale)),
    rememberScale: (uri) => careful(() => nouns.scales.remember(uri)),
    forgetScale: (uri) => careful(() => nouns.scales.forget(uri)),
    chooseForm: (uri, choice) => careful(() => nouns.scales.chooseForm(uri, choice)),
    chosenForm: (uri) => careful(() => nouns.scales.chosenForm(uri)),
    sayAsking: (uri, said) => careful(() => nouns.scales.sayAsking(uri, said)),
    askingSaid: (uri) => careful(() => nouns.scales.askingSaid(uri)),
    canRecord: () => probe(databaseIn(folder)),
    hasRealWeighings: () => careful(() => !mark.practice && nouns.weighings.any()),
    close: () => {
      if (!db.open) return;
      // Closing the last connection checkpoints; when the disk is full, the log simply stays and is read next time.
      db.close();
      afterClose();
    },
  };
}
