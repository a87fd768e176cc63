import { effect } from "@preact/signals";
import { render } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";
import { keepFocus } from "./keep-focus.ts";
import { announced, bench, isOutside, route, start } from "./page.ts";
import { lazily } from "./parts/lazily.tsx";
import { AlertBar } from "./parts/alert-bar.tsx";
import { Connection, Foot, Nav, OnlyLooking, Practice, SoundOff } from "./parts/frame.tsx";
import { BatchPage } from "./pages/batch.tsx";
import { PairPage } from "./pages/pair.tsx";
import { WeighPage } from "./pages/weigh.tsx";
import "./style.css";

const PlanPage = lazily(() => import("./pages/plan.tsx").then((page) => page.PlanPage));
const RecordPage = lazily(() => import("./pages/record.tsx").then((page) => page.RecordPage));
const SetUpPage = lazily(() => import("./pages/set-up.tsx").then((page) => page.SetUpPage));
const PackPage = lazily(() => import("./pages/pack.tsx").then((page) => page.PackPage));
const ShelfPage = lazily(() => import("./pages/shelf.tsx").then((page) => page.ShelfPage));
const LabelsPage = lazily(() => import("./pages/labels.tsx").then((page) => page.LabelsPage));

function CurrentPage() {
  const at = route.value;
  switch (at.page) {
    case "weigh":
      return <WeighPage scale={at.scale} />;
    case "batch":
      return <BatchPage batch={at.batch} tray={at.tray} />;
    case "plan":
      return <PlanPage />;
    case "pack":
      return <PackPage batch={at.batch} />;
    case "shelf":
      return <ShelfPage bag={at.bag} code={at.code ?? null} />;
    case "labels":
      return <LabelsPage bags={at.bags} />;
    case "record":
      return <RecordPage batch={at.batch} tray={at.tray} />;
    case "setup":
      return <SetUpPage />;
  }
}

function Page() {
  const main = useRef<HTMLElement>(null);
  const shown = useRef<string | null>(null);
  const { page } = route.value;
  useLayoutEffect(() => {
    // A person who cannot see it has to be put at the start of the new page; the first is not moved to. Later than the
    // page itself, it would take the focus back from a control that the Tab key has come to.
    if (shown.current !== null && shown.current !== page) {
      window.scrollTo(0, 0);
      main.current?.focus({ preventScroll: true });
    }
    shown.current = page;
  }, [page]);
  if (isOutside.value) return <PairPage />;
  return (
    <>
      <Nav />
      <header class="above">
        <Practice />
        <Connection />
        <OnlyLooking />
        <AlertBar />
        <SoundOff />
      </header>
      <main id="main" ref={main} tabIndex={-1} class={`page-${page}`}>
        <CurrentPage />
      </main>
      <Foot />
      <p class="unseen" role="status">
        {announced.value}
      </p>
    </>
  );
}

/** A scale that this page read before it was loaded anew. */
effect(() => {
  const scales = bench.value?.scales;
  if (scales !== undefined && scales.some(({ uri }) => uri.startsWith("page:")))
    void import("./serial.ts").then(({ readHereAgain }) => readHereAgain(scales));
});

const root = document.getElementById("page");
void start().then(() => {
  if (root === null) return;
  render(<Page />, root);
  keepFocus(root);
});
