/** What the service offers to those who speak for it (HTTP, the websocket). Shapes are those of wire/. */
import type {
  Bag,
  BagChoice,
  BagLine,
  BagsPreview,
  BagState,
  BagWeighed,
  BagWeighingEdit,
  FateSet,
  FateTakenBack,
  LabelField,
  LabelLanguage,
  LabelStock,
  LabelText,
  LotLine,
  NewBags,
  StockLine,
  Unpacked,
} from "../wire/bag.ts";
import type { Batch, BatchSummary, Curve, History } from "../wire/batch.ts";
import type { BatchExport } from "../wire/export.ts";
import type { Bench } from "../wire/bench.ts";
import type { DecimalMark } from "./csv.ts";
import type { BatchSearch } from "./search.ts";
import type { Health } from "../wire/health.ts";
import type {
  CheckChoice,
  CompareChoice,
  CheckWeightSet,
  DishAsked,
  DishPreview,
  DryerSet,
  Kitchen,
  LoadLook,
  OwnFoodSet,
} from "../wire/kitchen.ts";
import type { Photo } from "../wire/photo.ts";
import type { FromService } from "../wire/messages.ts";
import type {
  InterruptionEnd,
  ClockEdit,
  ClockSet,
  CoreCheck,
  FoodFound,
  FormChoice,
  KeyPress,
  PageBytes,
  PageWrites,
  GapAnswer,
  LessonEdit,
  LessonShown,
  LoadAnswer,
  LogImport,
  NewBatch,
  NewImport,
  NewInterruption,
  NewScale,
  NewTray,
  Ports,
  PracticeAct,
  SettingsEdit,
  AskingSaid,
  TareKeySaid,
  TaskChoice,
  TrayEdit,
  TypedWeighing,
  WeighingEdit,
  WeighingSwap,
} from "../wire/requests.ts";

import type { Yields } from "../wire/yield.ts";

export type { Health };

type Unnumbered<M> = M extends unknown ? Omit<M, "v" | "seq"> : never;
/** A message before the hub has given it its number. */
export type Shown = Unnumbered<FromService>;

/**
 * Every call answers after what it changed is on disk. A refusal is thrown as a Fault; anything else that is thrown
 * is a bug.
 */
export type Service = BagService & {
  health(): Health;
  bench(): Bench;
  batches(state: "open" | "ended" | "all", search: BatchSearch): BatchSummary[];
  /** GET /api/batches/:batch/export.json */
  exportBatch(batch: number): BatchExport;
  batch(batch: number): Batch;
  curves(batch: number): Curve[];
  history(batch: number): History;
  /** CSV with the headers of `stillweight judge`. */
  weighingsCsv(batch: number, mark: DecimalMark): string;
  /** Every chained row with its digest, as lines of JSON. */
  recordLines(): Iterable<string>;
  foods(typed: string, most: number): FoodFound[];
  photos(batch: number): Photo[];
  addPhoto(
    batch: number,
    of: { readonly tray: number | null; readonly bag: number | null },
    picture: Picture,
  ): Photo[];
  photo(photo: number): Picture;
  removePhoto(photo: number): Photo[];
  /** What a hand-kept log would become; with problems by line where it cannot be read. */
  previewImport(asked: NewImport): LogImport;
  /** Keeps all batches of the log as ended ones, or refuses with the problems and keeps none. */
  importLog(asked: NewImport): LogImport;
  /** What ended batches found of their foods, oldest first. */
  lessons(): LessonShown[];
  editLesson(lesson: number, asked: LessonEdit): LessonShown[];
  ports(): Promise<Ports>;
  /** GET /api/batches/:batch/yields */
  yields(batch: number): Yields;
  /** GET /api/batches/:batch/load: what is worth saying of the load. */
  lookAtBatch(batch: number): LoadLook;
  /** POST /api/batches/look: the same of a plan, with nothing kept. */
  lookAtPlan(asked: NewBatch): LoadLook;
  kitchen(): Kitchen;
  setDryer(asked: DryerSet): Kitchen;
  /** `food` null: a new one. */
  setOwnFood(food: number | null, asked: OwnFoodSet): Kitchen;
  /** What a recipe would be, with nothing kept. */
  dish(asked: DishAsked): DishPreview;
  setCheckWeight(weight: number | null, asked: CheckWeightSet): Kitchen;
  /** The next load on a scale is this check weight. */
  chooseCheck(scale: string, asked: CheckChoice): Bench;
  /** The next load goes on this scale and another; null: no longer. */
  compareScales(scale: string, asked: CompareChoice): Bench;
  /** It stays on the record and counts no more. */
  takeBackComparison(comparison: number): Kitchen;

  startBatch(asked: NewBatch): Batch;
  addTray(batch: number, asked: NewTray): Batch;
  editTray(batch: number, tray: number, asked: TrayEdit): Batch;
  /** `secondsAgo`: real seconds since a person touched, where what asks for it had to be sent again. */
  setClock(batch: number, asked: ClockSet, secondsAgo?: number): Batch;
  editMoment(batch: number, moment: number, asked: ClockEdit): Batch;
  noteInterruption(batch: number, asked: NewInterruption): Batch;
  endInterruption(batch: number, interruption: number, asked: InterruptionEnd): Batch;
  answerGap(gap: number, asked: GapAnswer): Batch;
  checkCore(tray: number, asked: CoreCheck): Batch;
  endBatch(batch: number): Batch;

  chooseTask(scale: string, asked: TaskChoice): Bench;
  answerLoad(scale: string, asked: LoadAnswer): Bench;
  /** Whether the scale's own tare key was pressed with the tray that is being loaded on it. */
  sayTared(scale: string, asked: TareKeySaid): Bench;
  typeWeighing(asked: TypedWeighing): Batch;
  editWeighing(weighing: number, asked: WeighingEdit): Batch;
  swapWeighings(weighing: number, asked: WeighingSwap): Batch;

  acknowledge(alert: number): Bench;
  editSettings(asked: SettingsEdit): Bench;
  /** Sends a trial alert; resolves to null, or why it failed. */
  tryAlert(channel: "webhook" | "mqtt"): Promise<string | null>;
  addScale(asked: NewScale): Promise<Bench>;
  removeScale(scale: string): Promise<Bench>;
  chooseForm(scale: string, asked: FormChoice): Bench;
  /** Whether a scale that says nothing by itself may be asked, and what is sent to it. */
  sayAsking(scale: string, asked: AskingSaid): Bench;
  /** Sent when it answers; refused otherwise, and then never sent. */
  pressKey(scale: string, asked: KeyPress): Promise<Bench>;
  /** Bytes of a scale that is plugged into the device of a page. Nothing is sent again that was not taken. */
  takeBytes(scale: string, asked: PageBytes): PageWrites;
  practice(asked: PracticeAct): Bench;

  /** Does `work`; what it changes at once is kept together with the key under which it was asked for. */
  under(key: string, work: () => void): void;
  /** Whether a change was kept under this key lately, also before the program was last stopped. */
  wasKept(key: string): boolean;

  /** Counters and gauges for /metrics. */
  measures(): readonly Measure[];
  /** Calls back with each message to show, in order, after what it tells is on disk. Returns the way to stop. */
  onShow(listener: (message: Shown) => void): () => void;
  close(): Promise<void>;
};

/** From verdict to shelf. The same promise as above: what is answered is on disk. */
type BagService = {
  /** GET /api/bags?state=&q=&batch= : newest first. */
  bags(asked: BagsAsked): BagLine[];
  /** GET /api/stock: what is in store by food, oldest first. */
  stock(): StockLine[];
  /** GET /api/lots: which lot of packaging gains more often, the worst first. */
  lots(): LotLine[];
  /** GET /api/bags/:bag?limitPct= : the moisture (wet basis) to which months are counted; null: the usual 10 %. */
  bag(bag: number, limitPct: number | null): Bag;
  /** GET /api/bags/:bag/label.pdf?stock= and GET /api/labels.pdf */
  bagLabels(asked: LabelsAsked): Promise<LabelFile>;
  /** GET /api/bags/:bag/code.svg */
  bagCode(bag: number): string;
  /** GET /api/labels: the same as texts, for a page to print. */
  labelTexts(
    bags: readonly number[],
    fields: readonly LabelField[],
    language: LabelLanguage,
  ): LabelText[];
  /** POST /api/batches/:batch/bags/preview: what a plan would give, with nothing kept. */
  previewBags(batch: number, asked: NewBags): BagsPreview;
  /** GET /api/batches/:batch/unpacked: what of each tray is not in bags yet. */
  unpacked(batch: number): Unpacked;
  /** POST /api/batches/:batch/bags */
  planBags(batch: number, asked: NewBags): Bag[];
  /** POST /api/bags/:bag/weighings */
  weighBag(bag: number, asked: BagWeighed): Bag;
  /** PATCH /api/bags/:bag/weighings/:weighing */
  editBagWeighing(bag: number, weighing: number, asked: BagWeighingEdit): Bag;
  /** PATCH /api/bags/:bag */
  setFate(bag: number, asked: FateSet): Bag;
  /** What became of it was said by mistake: it is again what it was before, and the record keeps both. */
  takeFateBack(bag: number, asked: FateTakenBack): Bag;
  /** Its plan's bags are sealed all the same, though their food took up moisture on the bench. */
  acceptGain(bag: number): Bag;
  /** POST /api/scales/:scale/bag: the next load on a scale is this bag. */
  chooseBag(scale: string, asked: BagChoice): Bench;
};

export type BagsAsked = {
  readonly state: BagState | "in-store" | "to-dry" | "all";
  /** Of the code, the product or the supplier. */
  readonly q: string;
  readonly batch: number | null;
};

export type LabelsAsked = {
  readonly bags: readonly number[];
  readonly stock: LabelStock;
  /** Labels that were already taken off the first sheet. */
  readonly skip: number;
  readonly fields: readonly LabelField[];
  readonly language: LabelLanguage;
};

export type Picture = { readonly type: string; readonly bytes: Uint8Array };

export type LabelFile = { readonly pdf: Uint8Array; readonly name: string };

export type Measure = {
  readonly name: string;
  readonly help: string;
  readonly type: "gauge" | "counter";
  readonly values: readonly {
    readonly labels: Readonly<Record<string, string>>;
    readonly value: number;
  }[];
};
