import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";
import { say } from "../page.ts";

type Props = {
  /** What the table is of, for those who come to it by keyboard or by ear. */
  readonly label: string;
  readonly children: ComponentChildren;
};

/**
 * A table that may be wider than the screen. Where it is, that is said, its edge is broken on the side on which it goes
 * on, and the keyboard can move it.
 */
export function Wide({ label, children }: Props) {
  const box = useRef<HTMLDivElement>(null);
  const goesOn = useSignal("");
  const look = (): void => {
    const { scrollLeft = 0, scrollWidth = 0, clientWidth = 0 } = box.current ?? {};
    const left = scrollLeft > 1 ? " left" : "";
    const right = scrollLeft + clientWidth < scrollWidth - 1 ? " right" : "";
    goesOn.value = left + right;
  };
  useLayoutEffect(() => {
    const seen = box.current;
    if (seen === null) return;
    look();
    const watch = new ResizeObserver(look);
    watch.observe(seen);
    if (seen.firstElementChild !== null) watch.observe(seen.firstElementChild);
    return () => watch.disconnect();
  }, []);
  const isWide = goesOn.value !== "";
  return (
    <>
      <div
        ref={box}
        class={`wide${goesOn.value}`}
        onScroll={look}
        {...(isWide && { role: "region", "aria-label": label, tabIndex: 0 })}
      >
        {children}
      </div>
      {isWide && <p class="hint">{say().look.moveTable}</p>}
    </>
  );
}
