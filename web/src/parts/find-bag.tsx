/** The ways to a bag: a scanner that types, its number, the camera. */
import { useSignal } from "@preact/signals";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import { sayBags } from "../bag-texts.ts";
import { canRead, readCodes } from "../camera.ts";
import { afterStroke, bagNumberIn, nothingTyped } from "../wedge.ts";
import { Form, useAct } from "./act.tsx";
import { Field } from "./field.tsx";

type Props = { readonly onFound: (code: string) => void };

/** Hears a scanner anywhere on the page, but never takes a key from somebody who types. */
export function useScanner(onFound: (code: string) => void): void {
  const tell = useRef(onFound);
  tell.current = onFound;
  // With the page itself: a scan is no less meant for being quick.
  useLayoutEffect(() => {
    let typed = nothingTyped;
    const hear = (event: KeyboardEvent): void => {
      const { target } = event;
      const isField =
        target instanceof Element &&
        target.matches("input:not([type=checkbox], [type=radio]), select, textarea");
      if (isField || event.ctrlKey || event.altKey || event.metaKey) return;
      const after = afterStroke(typed, { key: event.key, code: event.code, atMs: event.timeStamp });
      ({ typed } = after);
      if (after.scanned === null) return;
      // The Enter of a scanner presses no button that happens to have the focus.
      event.preventDefault();
      tell.current(after.scanned);
    };
    document.addEventListener("keydown", hear);
    return () => document.removeEventListener("keydown", hear);
  }, []);
}

export function FindBag({ onFound }: Props) {
  const texts = sayBags().shelf;
  const value = useSignal("");
  const act = useAct();
  const find = (): void => {
    const number = bagNumberIn(value.peek());
    if (number === null) {
      act.refuse(texts.notANumber, value);
      return;
    }
    onFound(number);
    value.value = "";
  };
  return (
    <section class="find">
      <Form onSend={find} act={act}>
        <div class="find-row">
          <Field label={texts.number} hint={texts.numberHint} of={value} />
          <button type="submit" class="big">
            {texts.find}
          </button>
        </div>
      </Form>
      <Camera onFound={onFound} />
    </section>
  );
}

function Camera({ onFound }: Props) {
  const texts = sayBags().shelf.camera;
  const isOn = useSignal(false);
  const why = useSignal<string | null>(null);
  const ability = canRead();
  if (ability === "insecure") return <p class="quiet">{texts.insecure}</p>;
  if (ability !== "yes") return <p class="quiet">{texts.none}</p>;
  return (
    <div class="camera">
      <button type="button" class="big" onClick={() => (isOn.value = !isOn.peek())}>
        {isOn.value ? texts.close : texts.open}
      </button>
      {isOn.value && (
        <Viewfinder
          onCode={(code) => {
            const number = bagNumberIn(code);
            if (number === null) {
              why.value = texts.notOurs;
              return;
            }
            isOn.value = false;
            why.value = null;
            onFound(number);
          }}
          onFailed={() => {
            isOn.value = false;
            why.value = texts.refused;
          }}
        />
      )}
      {why.value !== null && (
        <p class="refused" role="alert">
          {why.value}
        </p>
      )}
    </div>
  );
}

function Viewfinder(props: {
  readonly onCode: (code: string) => void;
  readonly onFailed: () => void;
}) {
  const video = useRef<HTMLVideoElement>(null);
  const told = useRef(props);
  told.current = props;
  useEffect(() => {
    const element = video.current;
    if (element === null) return;
    let isGone = false;
    let stop: () => void = () => undefined;
    readCodes(element, (code) => {
      if (!isGone) told.current.onCode(code);
    }).then(
      (stopper) => {
        stop = stopper;
        if (isGone) stop();
      },
      () => told.current.onFailed(),
    );
    return () => {
      isGone = true;
      stop();
    };
  }, []);
  return (
    <video
      ref={video}
      class="viewfinder"
      muted
      playsInline
      aria-label={sayBags().shelf.camera.picture}
    />
  );
}
