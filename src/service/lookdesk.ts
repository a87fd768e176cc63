/** What others look at: the present, the record, its curves and exports, lessons, photographs and imported logs. */
import { isoOf, utcFrom } from "../clock.ts";
import { Fault } from "../faults.ts";
import { listPorts } from "../port/list.ts";
import type { Batch as WireBatch, BatchSummary, Curve, History } from "../wire/batch.ts";
import type { Photo } from "../wire/photo.ts";
import type * as ask from "../wire/requests.ts";
import type { BatchExport } from "../wire/export.ts";
import type { Yields } from "../wire/yield.ts";
import { weighingsCsv, type DecimalMark } from "./csv.ts";
import { batchesFrom, importChanges, mostRows, showImport, type Imported } from "./imports.ts";
import { dryerNamed } from "./kitchen.ts";
import { editLesson, showLesson } from "./lessons.ts";
import { wordOf } from "./look.ts";
import { mostPhotos, refuseStrangePhoto, showPhoto, type PhotoOf } from "./photos.ts";
import { measuresOf } from "./measures.ts";
import type { Health, Measure, Picture, Service } from "./service.ts";
import { showCurves, showHistory, showSummary } from "./showbatch.ts";
import { findBatches, type BatchSearch } from "./search.ts";
import { showYields } from "./yields.ts";
import type { Work } from "./work.ts";

type LookDesk = Pick<
  Service,
  | "health"
  | "measures"
  | "batches"
  | "batch"
  | "curves"
  | "history"
  | "weighingsCsv"
  | "exportBatch"
  | "recordLines"
  | "ports"
  | "yields"
  | "lessons"
  | "editLesson"
  | "photos"
  | "addPhoto"
  | "photo"
  | "removePhoto"
  | "previewImport"
  | "importLog"
>;

export function lookDesk(work: Work): LookDesk {
  function anyPhoto(photoId: number) {
    const found = work.set.store.photo(photoId);
    if (found === null)
      throw new Fault("photo.not-found", `no photograph has the number ${photoId}`);
    return found;
  }

  function readImport({ csv, dryer, startedAt }: ask.NewImport): Imported {
    const now = work.set.clock.utc();
    const asked = {
      dryer,
      startedAt: startedAt === undefined ? now : utcFrom(startedAt),
      now,
      practice: work.engine.present.practice,
    };
    return batchesFrom(work.set.foods.readLog(csv, mostRows), asked, work.engine.present.next);
  }

  const desk: LookDesk = {
    health(): Health {
      const { recording, why } = work.engine.recording();
      return {
        status: recording ? "ok" : "not-recording",
        scales: work.engine.present.scales.map(({ id, link }) => ({
          id,
          link: link.link,
          since: isoOf(link.sinceUtcMs),
          why: link.why,
        })),
        store: { recording, why, backup: work.backups?.state() ?? null },
      };
    },

    measures(): readonly Measure[] {
      const { present, counts } = work.engine;
      return measuresOf(present, counts, work.engine.recording().recording, work.engine.now().at);
    },

    batches(state: "open" | "ended" | "all", search: BatchSearch): BatchSummary[] {
      const open = state === "ended" ? [] : work.engine.present.batches;
      const ended = state === "open" ? [] : work.set.store.listBatches("ended");
      const all = [
        ...open.map((batch) => showSummary(batch, wordOf(batch))),
        ...ended.map((batch) => showSummary(batch, batch.word)),
      ].toSorted((a, b) => b.number - a.number);
      return findBatches(all, search);
    },

    batch(batchId: number): WireBatch {
      return work.shownBatch(batchId);
    },

    curves(batchId: number): Curve[] {
      return showCurves(work.openOrEnded(batchId));
    },

    history(batchId: number): History {
      const { kitchen } = work.engine.present;
      return showHistory(work.openOrEnded(batchId), kitchen, work.engine.now());
    },

    weighingsCsv(batchId: number, mark: DecimalMark): string {
      const { timeFactor } = work.engine.now();
      const head = work.set.store.heads().weighing;
      return weighingsCsv(work.openOrEnded(batchId), timeFactor, head, mark);
    },

    exportBatch(batchId: number): BatchExport {
      const bags = work.set.store.bags({ is: "batch", id: batchId });
      return {
        program: work.set.program,
        exportedAt: isoOf(work.set.clock.utc()),
        batch: desk.batch(batchId),
        history: desk.history(batchId),
        curves: desk.curves(batchId),
        yields: desk.yields(batchId),
        bags: bags.map(({ id }) => work.service.bag(id, null)),
        heads: { ...work.set.store.heads() },
      };
    },

    recordLines(): Iterable<string> {
      return work.set.store.chainLines();
    },

    async ports(): Promise<ask.Ports> {
      const { ports, why } = await listPorts();
      return { ports: ports.map(({ uri, name }) => ({ uri, name })), why };
    },

    yields(batchId: number): Yields {
      const batch = work.openOrEnded(batchId);
      const dryer = dryerNamed(work.engine.present.kitchen, batch.dryer);
      return showYields(batch, dryer, work.engine.now().at);
    },

    lessons(): ask.LessonShown[] {
      return work.engine.present.lessons.map(showLesson);
    },

    editLesson(lesson: number, asked: ask.LessonEdit): ask.LessonShown[] {
      work.engine.act((bench) => editLesson(bench, lesson, asked, work.set.clock.utc()));
      return desk.lessons();
    },

    photos(batchId: number): Photo[] {
      const photos = work.set.store.photos(batchId);
      const isOfBag = photos.some(({ bagId }) => bagId !== null);
      const bags = isOfBag ? work.set.store.bags({ is: "batch", id: batchId }) : [];
      return photos.map((photo) => showPhoto(photo, bags));
    },

    addPhoto(batchId: number, of: PhotoOf, { type, bytes }: Picture): Photo[] {
      const batch = work.openOrEnded(batchId);
      refuseStrangePhoto(batch, of, work.set.store.bags({ is: "batch", id: batchId }));
      if (desk.photos(batchId).length >= mostPhotos)
        throw new Fault("photo.too-many", `batch ${batch.number} has ${mostPhotos} photographs`);
      const at = work.set.clock.utc();
      work.set.store.addPhoto({ batchId, trayId: of.tray, bagId: of.bag, type, bytes, at });
      return desk.photos(batchId);
    },

    photo(photoId: number): Picture {
      const { photo, bytes } = anyPhoto(photoId);
      return { type: photo.type, bytes };
    },

    removePhoto(photoId: number): Photo[] {
      const { photo } = anyPhoto(photoId);
      work.set.store.removePhoto(photoId);
      return desk.photos(photo.batchId);
    },

    previewImport(asked: ask.NewImport): ask.LogImport {
      return showImport(readImport(asked));
    },

    importLog(asked: ask.NewImport): ask.LogImport {
      const imported = readImport(asked);
      if (imported.problems.length > 0)
        throw new Fault("input.invalid", "the log has rows that cannot be read; nothing was kept", {
          errors: imported.problems.map(({ line, text }) => ({
            pointer: "#/csv",
            detail: `line ${line}: ${text}`,
          })),
        });
      work.engine.act(() => importChanges(imported.batches));
      return showImport(imported);
    },
  };
  return desk;
}
