/** A page that comes over the line when it is first opened, so that the first weight is not kept waiting by it. */
import { signal } from "@preact/signals";
import type { ComponentType } from "preact";
import { partsArrived } from "../later-texts.ts";
import { say } from "../page.ts";

export function lazily<P extends object>(load: () => Promise<ComponentType<P>>): ComponentType<P> {
  const loaded = signal<ComponentType<P> | "loading" | "failed" | null>(null);
  const begin = (): void => {
    loaded.value = "loading";
    load()
      .then(async (component) => {
        await partsArrived();
        loaded.value = component;
      })
      .catch(() => (loaded.value = "failed"));
  };
  return function Lazily(props: P) {
    if (loaded.peek() === null) begin();
    const Page = loaded.value;
    if (Page === "failed") return <Failed />;
    if (Page === null || Page === "loading") return <p class="quiet">{say().look.connecting}</p>;
    return <Page {...props} />;
  };
}

/** After an update of the program the old page's parts are no longer there. */
function Failed() {
  const texts = say().lazy;
  return (
    <div class="refused" role="alert">
      <p>{texts.failed}</p>
      <p>
        <button type="button" class="big" onClick={() => location.reload()}>
          {texts.again}
        </button>
      </p>
    </div>
  );
}
